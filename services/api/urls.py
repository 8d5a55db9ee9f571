"""`urlpatterns` belong at the root, `v1_patterns` below /api/v1/."""

from django.urls import path
from drf_spectacular.views import SpectacularYAMLAPIView

from services.api import pages

urlpatterns = [
    path("problems/", pages.problem_list, name="problem_list"),
    path("problems/<slug:code>", pages.problem, name="problem"),
]

v1_patterns = [
    path("openapi.yaml", SpectacularYAMLAPIView.as_view(), name="openapi"),
    path("docs", pages.Documentation.as_view(url_name="openapi"), name="documentation"),
]
