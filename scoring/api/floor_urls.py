"""Routes of the floor and of decisions about prescriptions; part of `scoring.api.urls`."""

from django.urls import path

from scoring.api import floor_views as f
from scoring.api import override_views as o
from scoring.api import profile_views as p
from scoring.api import reach_views as r
from scoring.api import what_if_views as w

urlpatterns = [
    path("prescriptions/<uuid:prescription>/check-sets", f.CheckSetsView.as_view(), name="check-sets"),
    path("scheduled-sessions/<uuid:session>/day-changes", f.DayChangesView.as_view(), name="day-changes"),
    path("day-changes/<uuid:day_change>", f.DayChangeView.as_view(), name="day-change"),
    path(
        "prescriptions/<uuid:prescription>/overrides",
        o.PrescriptionOverridesView.as_view(),
        name="prescription-overrides",
    ),
    path("overrides", o.OverridesView.as_view(), name="overrides"),
    path("overrides/<uuid:override>/withdrawals", o.WithdrawalsView.as_view(), name="withdrawals"),
    path("prescriptions/<uuid:prescription>/explanation", o.ExplanationView.as_view(), name="explanation"),
    path(
        "prescriptions/<uuid:prescription>/profile", p.PrescriptionProfileView.as_view(), name="plan-profile"
    ),
    path("prescriptions/<uuid:prescription>/brief", p.BriefView.as_view(), name="brief"),
    path("attempts/<uuid:attempt>/profile", p.AttemptProfileView.as_view(), name="log-profile"),
    path("prescriptions/<uuid:prescription>/what-if", w.WhatIfView.as_view(), name="what-if"),
    path("reach-checks", r.ReachChecksView.as_view(), name="reach-checks"),
]
