"""Routes of load; `athletes.api.urls` includes them."""

from django.urls import URLPattern, path

from athletes.api import heart_rate_views as h
from athletes.api import load_summary_views as m
from athletes.api import load_views as v
from athletes.api import load_what_if_views as w

ATHLETE = "athletes/<uuid:athlete>"

load_patterns: list[URLPattern] = [
    path(f"{ATHLETE}/training-logs", v.TrainingLogsView.as_view(), name="training-logs"),
    path(f"{ATHLETE}/training-logs/<uuid:training_log>", v.TrainingLogView.as_view(), name="training-log"),
    path(f"{ATHLETE}/rest-days", v.RestDaysView.as_view(), name="rest-days"),
    path(f"{ATHLETE}/rest-days/<uuid:rest_day>", v.RestDayView.as_view(), name="rest-day"),
    path(f"{ATHLETE}/heart-rates", h.HeartRatesView.as_view(), name="heart-rates"),
    path(f"{ATHLETE}/heart-rates/<uuid:heart_rates>", h.HeartRatesRowView.as_view(), name="heart-rates-row"),
    path(f"{ATHLETE}/load-days", m.LoadDaysView.as_view(), name="load-days"),
    path(f"{ATHLETE}/load-summary", m.AthleteLoadSummaryView.as_view(), name="load-summary"),
    path(f"{ATHLETE}/load-what-ifs", w.LoadWhatIfView.as_view(), name="load-what-if"),
    path(
        "locations/<uuid:location>/load-summary",
        m.LocationLoadSummaryView.as_view(),
        name="location-load-summary",
    ),
    path("groups/<uuid:group>/load-summary", m.GroupLoadSummaryView.as_view(), name="group-load-summary"),
]
