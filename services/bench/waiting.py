"""How long a result took to become a changed prescription, read from the database afterwards."""

from __future__ import annotations

import time
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import F, Max, Sum

from scoring.models import Prescription
from services.bench.clients import Sent
from services.changes.models import Change
from services.tenancy.context import tenant_transaction

IDLE_S: Final = 90.0  # while changes are worked off it is waited, however slow the machine
LOOK_S: Final = 0.25


class NotDoneError(RuntimeError):
    """Changes were left, or a recompute failed."""


def wait_until_done(org_id: UUID) -> float:
    """Seconds until no change waited any more. Raises NotDoneError when none became done for IDLE_S, and for a failed
    recompute.

    What is done is counted, not what is left: a change that fans out leaves more than before for a long while.
    """
    started = moved = time.monotonic()
    before: int | None = None
    while True:
        with tenant_transaction(org_id):
            waiting = Change.objects.filter(version__gt=F("done"))
            left, failed = waiting.count(), waiting.exclude(error="").values_list("error", flat=True).first()
            done = Change.objects.aggregate(done=Sum("done"))["done"]
        if failed is not None:
            raise NotDoneError(f"a recompute failed: {failed}")
        if not left:
            return time.monotonic() - started
        if done != before:
            before, moved = done, time.monotonic()
        if time.monotonic() - moved > IDLE_S:
            raise NotDoneError(f"{left} changes wait, and none was recomputed for {IDLE_S:.0f} s")
        time.sleep(LOOK_S)


def numbers(org_id: UUID, sessions: Collection[UUID]) -> dict[UUID, int]:
    """By athlete the number of the newest prescription for one of the sessions."""
    with tenant_transaction(org_id):
        rows = Prescription.objects.filter(session_id__in=sessions).values("athlete_id")
        return {row["athlete_id"]: row["newest"] for row in rows.annotate(newest=Max("number"))}


@dataclass(frozen=True)
class Follow:
    """One result that led to a new prescription; seconds.

    since_due: from the moment at which the result was to be sent; since_accepted: from the arrival of its 201.
    """

    since_due: float
    since_accepted: float


def follow(org_id: UUID, sent: Sequence[Sent], changed: Collection[UUID]) -> list[Follow]:
    """Of the results of athletes in `changed`.

    The end is `done_at`: written by the transaction that writes the prescription, as its last statement.
    """
    with tenant_transaction(org_id):
        rows = Change.objects.filter(kind="athlete").values_list("subject", "done_at")
        done = {subject: when.timestamp() for subject, when in rows if when is not None}
    return [
        Follow(done[one.athlete] - one.due, done[one.athlete] - one.accepted)
        for one in sent
        if one.athlete in changed
    ]
