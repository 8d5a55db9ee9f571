from django.urls import URLPattern, path

from athletes.api import assessment_views as t
from athletes.api import athlete_views as a
from athletes.api import group_views as g
from athletes.api import import_views as i
from athletes.api import progress_views as p
from athletes.api.load_urls import load_patterns
from athletes.api.safety_urls import safety_patterns
from athletes.api.wellness_urls import wellness_patterns

urlpatterns: list[URLPattern] = [
    path("imports/athletes", i.AthleteImportView.as_view(), name="import-athletes"),
    path("groups/<uuid:group>/members", g.GroupMembersView.as_view(), name="group-members"),
    path("groups/<uuid:group>/members/<uuid:group_member>", g.GroupMemberView.as_view(), name="group-member"),
    path("groups/<uuid:group>/progression", p.GroupProgressionView.as_view(), name="group-progression"),
    path("athletes", a.AthletesView.as_view(), name="athletes"),
    path("athletes/<uuid:athlete>", a.AthleteView.as_view(), name="athlete"),
    path("athletes/<uuid:athlete>/body-mass", a.BodyMassesView.as_view(), name="body-masses"),
    path("athletes/<uuid:athlete>/limitations", a.LimitationsView.as_view(), name="limitations"),
    path(
        "athletes/<uuid:athlete>/limitations/<uuid:limitation>",
        a.LimitationView.as_view(),
        name="limitation",
    ),
    path("athletes/<uuid:athlete>/assessments", t.AssessmentsView.as_view(), name="assessments"),
    path(
        "athletes/<uuid:athlete>/assessments/<uuid:assessment>",
        t.AssessmentView.as_view(),
        name="assessment",
    ),
    path(
        "athletes/<uuid:athlete>/assessments/<uuid:assessment>/corrections",
        t.CorrectionsView.as_view(),
        name="assessment-corrections",
    ),
    path("athletes/<uuid:athlete>/capacities", t.CapacitiesView.as_view(), name="capacities"),
    path("athletes/<uuid:athlete>/capacities/<uuid:variation>", t.CapacityView.as_view(), name="capacity"),
    path(
        "athletes/<uuid:athlete>/capacities/<uuid:movement>/history",
        t.CapacityHistoryView.as_view(),
        name="capacity-history",
    ),
    path("athletes/<uuid:athlete>/progression", p.ProgressionView.as_view(), name="progression"),
    *safety_patterns,
    *load_patterns,
    *wellness_patterns,
]
