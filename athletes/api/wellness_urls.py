"""Routes of wellness; `athletes.api.urls` includes them."""

from django.urls import URLPattern, path

from athletes.api import group_wellness_views as g
from athletes.api import health_views as h
from athletes.api import wellness_views as v

ATHLETE = "athletes/<uuid:athlete>"

wellness_patterns: list[URLPattern] = [
    path("health-reads", h.HealthReadsView.as_view(), name="health-reads"),
    path("wellness-forms", v.WellnessFormsView.as_view(), name="wellness-forms"),
    path("groups/<uuid:group>/wellness", g.GroupWellnessView.as_view(), name="group-wellness"),
    path(f"{ATHLETE}/wellness", v.WellnessView.as_view(), name="wellness"),
    path(f"{ATHLETE}/wellness-answers", v.WellnessAnswersView.as_view(), name="wellness-answers"),
    path(
        f"{ATHLETE}/wellness-answers/<uuid:wellness_answer>",
        v.WellnessAnswerView.as_view(),
        name="wellness-answer",
    ),
]
