"""Of the stage: what the athlete of the harbour has logged beside the programme, and what they answered."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from django.utils import timezone

from athletes.actions.heart_rates import Stated, state_heart_rates
from athletes.actions.training_logs import Trained, confirm_rest, log_training
from athletes.actions.wellness import answer_form, set_form
from athletes.api.wellness_examples import FORM_INPUT
from athletes.models import Athlete

if TYPE_CHECKING:
    from tests.contracts.stage import Side


def log_load(side: Side) -> None:
    """A run, a day of rest, and the answers of a morning; by the coach."""
    actor, now = side.cast.coach.actor, timezone.now()
    assert actor is not None
    with side.cast.inside():
        athlete = Athlete.objects.get(id=side.ids["athlete"])
        trained = Trained("running", 4.0, 40.0, now - dt.timedelta(days=6), note=side.canary)
        log, _ = log_training(actor=actor, athlete=athlete, trained=trained, now=now)
        day = (now - dt.timedelta(days=5)).date()
        rest, _ = confirm_rest(actor=actor, athlete=athlete, day=day, now=now)
        set_form(actor=actor, **{**FORM_INPUT, "name": side.canary})
        answer, _ = answer_form(
            actor=actor,
            athlete=athlete,
            form_key=FORM_INPUT["key"],
            day=day,
            answers={"sleep": 3},
            now=now,
        )
        stated = Stated(day, 52.0, "measured", 191.0, "told", "banister_1991_women")
        rates, _ = state_heart_rates(actor=actor, athlete=athlete, stated=stated, now=now)
    side.ids |= {
        "heart_rates": rates.id,
        "training_log": log.id,
        "rest_day": rest.id,
        "wellness_answer": answer.id,
    }
