from django.urls import path

from scoring.api import balance_views as b
from scoring.api import external_load_views as e
from scoring.api import floor_urls
from scoring.api import forecast_check_views as c
from scoring.api import prescription_views as p
from scoring.api import result_views as r

urlpatterns = [
    path("attempts", r.AttemptsView.as_view(), name="attempts"),
    path("attempts/<uuid:attempt>", r.AttemptView.as_view(), name="attempt"),
    path("attempts/<uuid:attempt>/corrections", r.CorrectionsView.as_view(), name="corrections"),
    path("attempts/<uuid:attempt>/notes", r.NotesView.as_view(), name="attempt-notes"),
    path("reviews", r.ReviewsView.as_view(), name="reviews"),
    path("reviews/<uuid:review>", r.ReviewView.as_view(), name="review"),
    path("prescriptions", p.PrescriptionsView.as_view(), name="prescriptions"),
    path("prescriptions/<uuid:prescription>", p.PrescriptionView.as_view(), name="prescription"),
    path("scheduled-sessions/<uuid:session>/ranking", p.RankingView.as_view(), name="ranking"),
    path("forecast-checks", c.ForecastChecksView.as_view(), name="forecast-checks"),
    path(
        "athletes/<uuid:athlete>/forecast-checks",
        c.AthleteForecastChecksView.as_view(),
        name="athlete-forecast-checks",
    ),
    path("athletes/<uuid:athlete>/balance", b.AthleteBalanceView.as_view(), name="athlete-balance"),
    path("athletes/<uuid:athlete>/external-load", e.ExternalLoadView.as_view(), name="external-load"),
    path("groups/<uuid:group>/balance", b.GroupBalanceView.as_view(), name="group-balance"),
    path("groups/<uuid:group>/balance-target", b.GroupTargetView.as_view(), name="group-balance-target"),
    path("balance-target", b.OrganisationTargetView.as_view(), name="balance-target"),
    *floor_urls.urlpatterns,
]
