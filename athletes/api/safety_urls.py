"""Routes of safety; `athletes.api.urls` includes them."""

from django.urls import URLPattern, path

from athletes.api import report_views as r
from athletes.api import safety_views as h
from athletes.api import screening_views as c

ATHLETE = "athletes/<uuid:athlete>"

safety_patterns: list[URLPattern] = [
    path("guidance", h.GuidanceView.as_view(), name="guidance"),
    path("screening-questions", h.ScreeningQuestionsView.as_view(), name="screening-questions"),
    path("safety-settings", h.SafetySettingsView.as_view(), name="safety-settings"),
    path("holds", h.HeldAthletesView.as_view(), name="held-athletes"),
    path("reports", r.ReportsView.as_view(), name="reports"),
    path(
        "reports/<uuid:report>/acknowledgements",
        r.AcknowledgementsView.as_view(),
        name="report-acknowledgements",
    ),
    path(f"{ATHLETE}/screenings", c.ScreeningsView.as_view(), name="screenings"),
    path(
        f"{ATHLETE}/screenings/<uuid:screening>/voids", c.ScreeningVoidView.as_view(), name="screening-voids"
    ),
    path(f"{ATHLETE}/absences", c.AbsencesView.as_view(), name="absences"),
    path(
        f"{ATHLETE}/absences/<uuid:absence>/answers", c.AbsenceAnswersView.as_view(), name="absence-answers"
    ),
    path(f"{ATHLETE}/reports", r.AthleteReportsView.as_view(), name="athlete-reports"),
    path(f"{ATHLETE}/holds", h.AthleteHoldsView.as_view(), name="athlete-holds"),
    path(f"{ATHLETE}/hold-releases", h.HoldReleasesView.as_view(), name="hold-releases"),
]
