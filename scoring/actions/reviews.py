"""A person's word on a result that does not add up."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from athletes.actions.support import require_own_or_staff
from athletes.models import Athlete
from scoring.errors import OwnResult, ReviewClosed
from scoring.models import Review
from services.api.conditional import update_versioned
from services.changes.actions import record_change
from services.tenancy.actor import Actor


@transaction.atomic
def resolve_review(*, actor: Actor, review: Review, version: int, accepted: bool, resolution: str) -> Review:
    """Close a review; a believed result then tells of capacity, a disbelieved one leaves the ranking.

    The score itself stays by the rules: what was wrong in it is put right by a correction. Raises ReviewClosed,
    Forbidden, NotYourLocation, and OwnResult: what one has done oneself another person believes, or does not.
    """
    if review.resolved_at is not None:
        raise ReviewClosed()
    attempt = review.attempt
    athlete = Athlete.objects.get(id=attempt.athlete_id)
    require_own_or_staff(actor, athlete)
    if athlete.person_id == actor.person_id:
        raise OwnResult()
    closed = update_versioned(
        review,
        version,
        accepted=accepted,
        resolution=resolution,
        resolved_at=timezone.now(),
        resolved_by_id=actor.person_id,
    )
    # The score stays; the recompute sees that the review is newer, and takes the result up with its word.
    record_change(kind="athlete", subject=attempt.athlete_id, from_date=attempt.local_date)
    return closed
