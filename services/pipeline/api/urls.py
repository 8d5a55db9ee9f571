from django.urls import path

from services.pipeline.api import views as v

urlpatterns = [
    path("changes", v.ChangesView.as_view(), name="changes"),
    path("changes/<uuid:change>/retry", v.RetryView.as_view(), name="retry-change"),
]
