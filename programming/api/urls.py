"""Routes below /api/v1/organisations/{organisation}/."""

from django.urls import URLPattern, path

from programming.api import calendar_views as k
from programming.api import catalogue_views as c
from programming.api import group_views as g
from programming.api import local_views as o
from programming.api import revision_views as r
from programming.api import session_views as s
from programming.api import supply_views as y
from programming.api import template_views as t

urlpatterns: list[URLPattern] = [
    path("movements", c.MovementsView.as_view(), name="movements"),
    path("movements/<uuid:movement>", c.MovementView.as_view(), name="movement"),
    path("variations", c.VariationsView.as_view(), name="variations"),
    path("variations/<uuid:variation>", c.VariationView.as_view(), name="variation"),
    path(
        "variations/<uuid:variation>/versions", c.VariationVersionsView.as_view(), name="variation-versions"
    ),
    path("catalogue-updates", y.CatalogueUpdatesView.as_view(), name="catalogue-updates"),
    path("equipment", y.EquipmentView.as_view(), name="equipment"),
    path("locations/<uuid:location>/kit", s.KitView.as_view(), name="kit"),
    path("templates", t.TemplatesView.as_view(), name="templates"),
    path("templates/<uuid:template>", t.TemplateView.as_view(), name="template"),
    path("templates/<uuid:template>/copies", t.TemplateCopiesView.as_view(), name="template-copies"),
    path("templates/<uuid:template>/archive", t.TemplateArchiveView.as_view(), name="archive-template"),
    path("templates/<uuid:template>/restore", t.TemplateRestoreView.as_view(), name="restore-template"),
    path("template-checks", r.TemplateChecksView.as_view(), name="template-checks"),
    path("templates/<uuid:template>/revisions", t.RevisionsView.as_view(), name="revisions"),
    path("revisions/<uuid:revision>", t.RevisionView.as_view(), name="revision"),
    path("revisions/<uuid:revision>/differences", r.RevisionDifferencesView.as_view(), name="differences"),
    path("local-versions", o.LocalVersionsView.as_view(), name="local-versions"),
    path("local-versions/<uuid:local_version>", o.LocalVersionView.as_view(), name="local-version"),
    path("groups", g.GroupsView.as_view(), name="groups"),
    path("groups/<uuid:group>", g.GroupView.as_view(), name="group"),
    path("placements", k.PlacementsView.as_view(), name="placements"),
    path("week-copies", k.WeekCopiesView.as_view(), name="week-copies"),
    path("scheduled-sessions", s.SessionsView.as_view(), name="scheduled-sessions"),
    path("scheduled-sessions/<uuid:session>", s.SessionView.as_view(), name="scheduled-session"),
    path(
        "scheduled-sessions/<uuid:session>/revision", o.SessionRevisionView.as_view(), name="session-revision"
    ),
    path("scheduled-sessions/<uuid:session>/cancel", s.SessionCancelView.as_view(), name="cancel-session"),
]
