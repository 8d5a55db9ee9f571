"""Observations: what tests and logged sets tell about capacity, replaced as a whole with their source."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from typing import Any, Final
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from athletes.actions.support import require_org
from athletes.models import Observation
from athletes.moments import NOON
from programming.calc.variation import REPETITIONS
from services.tenancy.compiled import Given, compiled, compiled_delete
from services.tenancy.inserted import insert

FROM_ASSESSMENT: Final = "assessment"
FROM_ATTEMPT: Final = "attempt"


@dataclass(frozen=True)
class ObservationRow:
    """One observation of a source.

    kind is one of athletes.calc.observation's: one_rm, to_failure, rir, at_least, at_least_weak, zero. What is not
    counted in repetitions has 0 of them, its amount in `unit`, and a kind of athletes.calc.hold's (hold_s) or of
    athletes.calc.trials' (distance_m, energy_kcal; these with the seconds they took). hour is that of local_date.
    spent_*: repetitions that were spent before a set to failure, by how quickly somebody tires (the multipliers
    SPENT_AT of athletes.calc.tired); None where it was not preceded by anything that counts.
    """

    ordinal: int
    movement_id: UUID
    variation_version_id: UUID
    local_date: dt.date
    kind: str
    load_kg: float | None
    assistance_kg: float | None
    height_cm: float | None
    repetitions: float
    rir: float | None = None
    weight: float = 1.0
    unit: str = REPETITIONS
    amount: float | None = None
    seconds: float | None = None
    hour: float = NOON
    spent_least: float | None = None
    spent_usual: float | None = None
    spent_most: float | None = None


SPENT_FIELDS: Final = ("spent_least", "spent_usual", "spent_most")
_FIELDS = tuple(ObservationRow.__dataclass_fields__)


def replace_observations(
    *, athlete_id: UUID, source: str, source_id: UUID, rows: Sequence[ObservationRow]
) -> bool:
    """Make these the observations of the source; whether anything changed (one query if not, else three).

    Running it twice is running it once. Writes no change row: the caller recomputes or asks for it.
    """
    stored = set(_of(source=source, source_id=source_id))
    if stored == {(athlete_id, *astuple(row)) for row in rows}:
        return False
    with transaction.atomic(savepoint=False):
        _drop(source=source, source_id=source_id)
        insert(_made(source, [(athlete_id, source_id, row) for row in rows]))
    return True


@compiled
def _of(source: Given, source_id: Given) -> QuerySet[Observation, tuple[Any, ...]]:
    return Observation.objects.filter(source=source, source_id=source_id).values_list("athlete_id", *_FIELDS)


@compiled_delete
def _drop(source: Given, source_id: Given) -> QuerySet[Observation]:
    return Observation.objects.filter(source=source, source_id=source_id)


def add_observations(*, source: str, rows: Sequence[tuple[UUID, UUID, ObservationRow]]) -> None:
    """Insert (athlete, source id, observation) of sources that have none yet (one query)."""
    Observation.objects.bulk_create(_made(source, rows))


def _made(source: str, rows: Sequence[tuple[UUID, UUID, ObservationRow]]) -> list[Observation]:
    org_id = require_org()
    return [
        Observation(
            org_id=org_id,
            athlete_id=athlete_id,
            source=source,
            source_id=source_id,
            **{name: getattr(row, name) for name in _FIELDS},
        )
        for athlete_id, source_id, row in rows
    ]
