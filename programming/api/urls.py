"""Routes below /api/v1/organisations/{organisation}/."""

from django.urls import URLPattern, path

from programming.api import catalogue_views as c
from programming.api import session_views as s
from programming.api import template_views as t

urlpatterns: list[URLPattern] = [
    path("movements", c.MovementsView.as_view(), name="movements"),
    path("movements/<uuid:movement>", c.MovementView.as_view(), name="movement"),
    path("variations", c.VariationsView.as_view(), name="variations"),
    path("variations/<uuid:variation>", c.VariationView.as_view(), name="variation"),
    path(
        "variations/<uuid:variation>/versions", c.VariationVersionsView.as_view(), name="variation-versions"
    ),
    path("locations/<uuid:location>/kit", s.KitView.as_view(), name="kit"),
    path("templates", t.TemplatesView.as_view(), name="templates"),
    path("templates/<uuid:template>", t.TemplateView.as_view(), name="template"),
    path("templates/<uuid:template>/revisions", t.RevisionsView.as_view(), name="revisions"),
    path("revisions/<uuid:revision>", t.RevisionView.as_view(), name="revision"),
    path("scheduled-sessions", s.SessionsView.as_view(), name="scheduled-sessions"),
    path("scheduled-sessions/<uuid:session>", s.SessionView.as_view(), name="scheduled-session"),
    path("scheduled-sessions/<uuid:session>/cancel", s.SessionCancelView.as_view(), name="cancel-session"),
]
