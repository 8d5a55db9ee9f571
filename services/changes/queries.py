"""What a change row says to others than the relay."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db.models import QuerySet

from services.changes.models import Change
from services.tenancy.compiled import Given, compiled


@dataclass(frozen=True)
class Mark:
    """How often a subject was written so far, and whether something of it is not worked out yet."""

    version: int
    is_due: bool


NEVER_WRITTEN: Final = Mark(0, False)


def mark_of(*, kind: str, subject: UUID) -> Mark:
    """One query."""
    row = _mark.first(kind=kind, subject=subject)
    return NEVER_WRITTEN if row is None else Mark(row[0], row[0] > row[1])


@compiled
def _mark(kind: Given, subject: Given) -> QuerySet[Change, tuple[int, int]]:
    return Change.objects.filter(kind=kind, subject=subject).values_list("version", "done")
