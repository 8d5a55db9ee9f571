"""Caution about work that the body is not used to: new movements, and far more repetitions than of late.

Unaccustomed work with many lowering phases, taken to failure and on adjacent days, is the pattern in which
exertional rhabdomyolysis is described (CHAMP/USUHS 2020, from memory). This counts repetitions and compares; it
estimates no risk and no probability of anything.

    exposure = repetitions * (0.5 + eccentric)        eccentric 0..1, how much of the work brakes a load

so ordinary lifting (0.5) counts once, lowering-heavy work (1) one and a half times, concentric-only work half.
The day before and the day itself are one bout.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal
from uuid import UUID

Reason = Literal["novel_movement", "far_more_than_in_the_last_four_weeks"]

NOVEL: Final = "novel_movement"
FAR_MORE: Final = "far_more_than_in_the_last_four_weeks"

WINDOW_DAYS: Final = 28
"""How long a bout counts as known. Ours: protection by an earlier bout lasts for weeks (repeated-bout effect,
from memory), and four weeks is how far back the reason speaks."""

FAR_MORE_FACTOR: Final = 2.0
"""Ours: twice the largest bout of four weeks is beyond what any weekly step in use would ask for."""

NOVEL_EXPOSURE: Final = 30.0
"""Ours: three sets of ten of something new are an ordinary introduction; beyond that a coach should look."""

WORTH_A_LOOK: Final = 20.0
"""Ours: work of less than this, not taken to failure, is left alone whatever was done before."""


@dataclass(frozen=True)
class PlannedWork:
    """Repetitions of one movement that are planned on a day (ordinal of the date)."""

    movement_id: UUID
    day: int
    repetitions: float
    to_failure: bool
    eccentric: float


@dataclass(frozen=True)
class RecentWork:
    """What was done of one movement on one day (ordinal of the date), all sources together.

    failure_repetitions are those of sets that ended by failure; eccentric 0..1 is their mean by repetitions.
    """

    movement_id: UUID
    day: int
    repetitions: float
    failure_repetitions: float
    eccentric: float


@dataclass(frozen=True)
class Caution:
    """Why to take care, and how many repetitions stay within what the athlete is used to."""

    movement_id: UUID
    reason: Reason
    most_repetitions: int


def exposure(repetitions: float, eccentric: float) -> float:
    """Repetitions weighted by how much of the work brakes a load."""
    return repetitions * (0.5 + eccentric)


def unaccustomed(planned: PlannedWork, recent: Iterable[RecentWork]) -> Caution | None:
    """Whether the planned work is new or far more than of late; None when there is nothing to say.

    Light work that is not taken to failure is never cautioned. Work of other movements and of days outside the
    four weeks before is ignored. Raises ValueError for a number that is no amount of work.
    """
    _check(planned)
    by_day = _exposures(planned, recent)
    asked = exposure(planned.repetitions, planned.eccentric)
    if not planned.to_failure and asked < WORTH_A_LOOK:
        return None
    bout = by_day.pop(planned.day, 0.0) + by_day.pop(planned.day - 1, 0.0)
    usual = _largest_bout(by_day)
    known = usual > 0.0
    allowed = FAR_MORE_FACTOR * usual if known else NOVEL_EXPOSURE
    if bout + asked <= allowed and (known or not planned.to_failure):
        return None
    left = max(allowed - bout, 0.0) / (0.5 + planned.eccentric)
    return Caution(planned.movement_id, FAR_MORE if known else NOVEL, math.floor(left + 1e-9))


def _check(planned: PlannedWork) -> None:
    if not (math.isfinite(planned.repetitions) and planned.repetitions >= 0.0):
        raise ValueError(f"repetitions must be finite and not negative, got {planned.repetitions!r}")
    if not 0.0 <= planned.eccentric <= 1.0:
        raise ValueError(f"eccentric must lie in 0 to 1, got {planned.eccentric!r}")


def _exposures(planned: PlannedWork, recent: Iterable[RecentWork]) -> dict[int, float]:
    """Exposure by day of the same movement, over the window that ends with the planned day."""
    by_day: dict[int, float] = defaultdict(float)
    for work in recent:
        if work.movement_id == planned.movement_id and 0 <= planned.day - work.day <= WINDOW_DAYS:
            by_day[work.day] += exposure(work.repetitions, work.eccentric)
    return by_day


def _largest_bout(by_day: dict[int, float]) -> float:
    """The largest sum over a day and the day before it; 0 without any work."""
    return max((amount + by_day.get(day - 1, 0.0) for day, amount in by_day.items()), default=0.0)


def cautions(planned: Sequence[PlannedWork], recent: Sequence[RecentWork]) -> tuple[Caution, ...]:
    """Cautions of a session, repetitions of one movement in several places added up, in their first order."""
    together: dict[UUID, PlannedWork] = {}
    for work in planned:
        before = together.get(work.movement_id)
        together[work.movement_id] = work if before is None else _joined(before, work)
    found = (unaccustomed(work, recent) for work in together.values())
    return tuple(caution for caution in found if caution is not None)


def _joined(one: PlannedWork, other: PlannedWork) -> PlannedWork:
    total = one.repetitions + other.repetitions
    weighted = one.repetitions * one.eccentric + other.repetitions * other.eccentric
    return PlannedWork(
        one.movement_id,
        one.day,
        total,
        one.to_failure or other.to_failure,
        weighted / total if total > 0.0 else max(one.eccentric, other.eccentric),
    )
