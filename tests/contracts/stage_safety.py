"""Of the stage: what the athlete of the harbour has stated about health, and what holds them for it."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from django.utils import timezone

from athletes.actions.holds import release_hold, set_hold
from athletes.actions.reports import Told, create_report
from athletes.actions.screenings import record_screening
from athletes.guidance import question_set
from athletes.models import Absence, Athlete

if TYPE_CHECKING:
    from tests.contracts.stage import Side


def screening_body() -> dict[str, object]:
    """Answers without a yes, as they are sent."""
    asked = question_set()
    answers = dict.fromkeys(sorted(asked.keys), False)
    return {"question_set": asked.version, "answers": answers, "used_to_vigorous_effort": True}


def state_health(side: Side) -> None:
    """A screening, an absence that is asked about, strong pain, and a hold that was released; by the coach."""
    actor, now = side.cast.coach.actor, timezone.now()
    assert actor is not None
    with side.cast.inside():
        athlete = Athlete.objects.get(id=side.ids["athlete"])
        screening, _ = record_screening(
            actor=actor,
            athlete=athlete,
            version=question_set().version,
            answers=dict.fromkeys(question_set().keys, False),
            used_to_vigorous_effort=True,
            now=now,
        )
        absence = Absence.objects.create(
            org_id=side.cast.org.id,
            athlete=athlete,
            origin="silence",
            from_date=now.date() - dt.timedelta(days=60),
            to_date=now.date() - dt.timedelta(days=40),
            peak_volumes={},
        )
        told = Told("pain", now, site="knee", side="left", severity=8, note=side.canary)
        review, _ = create_report(actor=actor, athlete=athlete, told=told, now=now)
        hold, _ = set_hold(actor=actor, athlete=athlete, reason=side.canary, now=now)
        release, _ = release_hold(
            actor=actor, athlete=athlete, code="set_by_staff", cause=hold.id, reason=side.canary, now=now
        )
    side.ids |= {
        "screening": screening.id,
        "absence": absence.id,
        "report": review.report_id,
        "release": release.id,
    }
