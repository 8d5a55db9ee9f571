"""Whether a row of a table is there already: by its client_id, by the id that an export gave it, by its content."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, Final, TypeVar
from uuid import UUID

from django.db.models import Q

from athletes.models import Assessment, Athlete, BodyMass, TrainingLog
from scoring.models import Attempt
from scoring.sent import AS_PRESCRIBED
from services.exchange.told import RowFaultError

RowT = TypeVar("RowT", Athlete, BodyMass, Assessment, Attempt, TrainingLog)

# What in a sent result is of this organisation, or stands in a column of its own.
NOT_REPORTED: Final = frozenset({"session", "athlete", "prescription", "client_id", "performed_at", "reason"})
OTHER: Final = (
    "This client_id or id belongs to something with another content. Correct what is stored there instead."
)


def stored(model: type[RowT], key: str) -> RowT | None:
    """What has this client_id, or is it: an export names by its id what has no client_id."""
    known = Q(client_id=key)
    with suppress(ValueError):
        known |= Q(id=UUID(key))
    return model.objects.filter(known).first()


def refuse_other(row: Athlete | BodyMass | Assessment | TrainingLog, told: Mapping[str, Any]) -> None:
    """Raise RowFaultError where the row tells something else than what is stored; what it leaves out says nothing."""
    if any(getattr(row, name) != value for name, value in told.items() if value is not None):
        raise RowFaultError(("client_id", OTHER))


def refuse_other_result(row: Attempt, body: Mapping[str, Any]) -> None:
    """The same of a result. One that was sent as prescribed goes out as the sets that this meant, so only whose it is
    is compared.
    """
    same = str(row.athlete_id) == body["athlete"] and str(row.session_id) == body["session"]
    if same and row.kind != AS_PRESCRIBED:
        same = reported(row.as_sent) == reported(body)
    if not same:
        raise RowFaultError(("client_id", OTHER))


def reported(body: Mapping[str, Any]) -> dict[str, Any]:
    """Of a sent result what is reported, without whose it is and when."""
    return {name: value for name, value in body.items() if name not in NOT_REPORTED and value is not None}


def key_of_content(*content: object) -> str:
    """Of a row that has no client_id of its own: the same content is the same row."""
    digest = hashlib.sha256("\x1f".join(str(part) for part in content).encode()).hexdigest()
    return f"row-{digest[:40]}"
