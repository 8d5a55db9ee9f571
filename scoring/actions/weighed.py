"""Results of somebody who was not weighed: asked about at first, and judged when the body mass has come."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from uuid import UUID

from django.db.models import F, QuerySet
from django.utils import timezone

from athletes.performed import MassHistory
from athletes.queries import mass_histories
from programming.plans import PlanReader
from scoring.calc.finding import Finding
from scoring.logged import logged_sets
from scoring.models import Review
from scoring.observed import Logged
from scoring.plausible import surprises
from services.tenancy.compiled import Given, compiled

# No doubt about the result: its sets wait for the first weighing, whenever that comes, and tell then.
BODY_MASS_MISSING: Final = "body_mass_missing"


def unweighed_findings(logged: Sequence[Logged], masses: MassHistory) -> tuple[Finding, ...]:
    """A finding where sets move a body of which nobody knows the mass."""
    if not is_unweighed(logged, masses):
        return ()
    detail = "Record the athlete's body mass: until then these sets tell nothing about capacity."
    return (Finding(BODY_MASS_MISSING, detail),)


def is_unweighed(logged: Sequence[Logged], masses: MassHistory) -> bool:
    """Whether a set moves a body of which nobody knows the mass, so that its load is not known."""
    return not masses.days and any(item.done.variation.body_mass_fraction > 0 for item in logged)


def settle_weighed(athlete_id: UUID, plans: PlanReader) -> None:
    """Judge what waited for the body mass, once that is known, as if it had been known from the beginning.

    Where nothing else was asked the review is closed; what is beyond belief, now that the load is known, is asked
    about instead. One query when nothing waits, otherwise a fixed number for each review.
    """
    reviews = _waiting(athlete=athlete_id)
    if not reviews:
        return
    masses = mass_histories([athlete_id])[athlete_id]
    if not masses.days:
        return
    of_session = plans.read({review.attempt.session_id for review in reviews})
    for review in reviews:
        attempt = review.attempt
        logged = logged_sets(attempt, of_session[attempt.session_id])
        found = [found.to_json() for found in surprises(logged, masses, attempt.local_date)]
        codes = {BODY_MASS_MISSING, *(one["code"] for one in found)}
        _settle(review, [one for one in review.findings if one["code"] not in codes] + found)


@compiled
def _waiting(athlete: Given) -> QuerySet[Review]:
    missing = [{"code": BODY_MASS_MISSING}]
    waiting = Review.objects.filter(resolved_at=None, attempt__athlete_id=athlete, findings__contains=missing)
    return waiting.select_related("attempt")


def _settle(review: Review, findings: list[dict[str, str]]) -> None:
    row = Review.objects.filter(id=review.id, resolved_at=None)
    if findings:
        row.update(version=F("version") + 1, findings=findings)
        return
    row.update(
        version=F("version") + 1,
        accepted=True,
        resolution="The athlete has been weighed since.",
        resolved_at=timezone.now(),
    )
