"""Caution about work that the body is not used to: new movements, and far more repetitions than of late.

Unaccustomed work with many lowering phases, taken to failure and on adjacent days, is the pattern in which
exertional rhabdomyolysis is described (CHAMP/USUHS 2020, from memory). This counts repetitions and compares; it
estimates no risk and no probability of anything.

    exposure = repetitions * (0.5 + eccentric)        eccentric 0..1, how much of the work brakes a load

so ordinary lifting (0.5) counts once, lowering-heavy work (1) one and a half times, concentric-only work half.
The day before and the day itself are one bout, which is held against the largest one before these days, and never
against less than an ordinary beginning: a tested maximum is one repetition, and its owner no beginner.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
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

AFTER_FAILURE_FACTOR: Final = 1.5
"""Ours: of who went to failure the day before, or earlier that day. The second day is what makes the pattern."""

NOVEL_EXPOSURE: Final = 30.0
"""Ours: three sets of ten of something new are an ordinary introduction; beyond that a coach should look."""

WORTH_A_LOOK: Final = 20.0
"""Ours: work of less than this, not taken to failure, is left alone whatever was done before."""

LEAST_LEFT: Final = 10.0
"""Ours: one set of ten is left to whoever has done more than all that is no great step already."""

ROUNDED: Final = 1e-9
"""Repetitions: sums of exposures are not exact, and what is named as within must be within."""


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
    """What was done of one movement on one day (ordinal of the date) with one share of braking and of one state of
    doubt, all sources with both alike together: of a movement a day may have several.

    failure_repetitions are those of sets that ended by failure; eccentric 0..1 is the mean by repetitions of each
    source. doubted: somebody has yet to look at the numbers, so that they may have tired and prove nothing that one
    is used to.
    """

    movement_id: UUID
    day: int
    repetitions: float
    failure_repetitions: float
    eccentric: float
    doubted: bool = False


@dataclass(frozen=True)
class Caution:
    """Why to take care, and how many repetitions stay within what the athlete is used to.

    failed: repetitions to failure in one bout of late, as many of the planned work as weigh the same, and no more
    than an ordinary beginning: who did more is held by that. spent: what the bout has had already beyond an ordinary
    beginning, usual: the largest bout of the window before it, bout: all that it has had already, doubted: the part
    of that which somebody has yet to look at; all counted alike.
    """

    movement_id: UUID
    reason: Reason
    most_repetitions: int
    failed: float = 0.0
    spent: float = 0.0
    usual: float = 0.0
    bout: float = 0.0
    doubted: float = 0.0


def exposure(repetitions: float, eccentric: float) -> float:
    """Repetitions weighted by how much of the work brakes a load."""
    return repetitions * (0.5 + eccentric)


def unaccustomed(planned: PlannedWork, recent: Iterable[RecentWork]) -> Caution | None:
    """Whether the planned work is new or far more than of late; None when there is nothing to say.

    Light work that is not taken to failure is never cautioned. Work of other movements and of days outside the
    four weeks before is ignored. What is doubted may have tired, and proves nothing that one is used to. Raises
    ValueError for a number that is no amount of work.
    """
    _check(planned)
    mine = [one for one in recent if _counts(one, planned)]
    asked, weight = exposure(planned.repetitions, planned.eccentric), exposure(1.0, planned.eccentric)
    if not planned.to_failure and asked < WORTH_A_LOOK:
        return None
    now = [one for one in mine if one.day >= planned.day - 1]
    proven = [one for one in mine if not one.doubted]
    bout = sum(exposure(one.repetitions, one.eccentric) for one in now)
    usual = _largest_bout(_by_day(one for one in proven if one.day < planned.day - 1))
    factor = AFTER_FAILURE_FACTOR if any(one.failure_repetitions > 0.0 for one in now) else FAR_MORE_FACTOR
    known = usual > 0.0 or bout > 0.0
    allowed = max(factor * usual, NOVEL_EXPOSURE)
    if bout + asked <= allowed + ROUNDED and (known or not planned.to_failure):
        return None
    left = max(allowed - bout, min(LEAST_LEFT, asked)) / weight
    failed = _largest_bout(_by_day(replace(one, repetitions=one.failure_repetitions) for one in proven))
    return Caution(
        planned.movement_id,
        FAR_MORE if known else NOVEL,
        math.floor(left + ROUNDED),
        min(failed, NOVEL_EXPOSURE) / weight,
        max(bout - NOVEL_EXPOSURE, 0.0) / weight,
        usual / weight,
        bout / weight,
        sum(exposure(one.repetitions, one.eccentric) for one in now if one.doubted) / weight,
    )


def _check(planned: PlannedWork) -> None:
    if not (math.isfinite(planned.repetitions) and planned.repetitions >= 0.0):
        raise ValueError(f"repetitions must be finite and not negative, got {planned.repetitions!r}")
    if not 0.0 <= planned.eccentric <= 1.0:
        raise ValueError(f"eccentric must lie in 0 to 1, got {planned.eccentric!r}")


def _counts(work: RecentWork, planned: PlannedWork) -> bool:
    """Whether it is of the same movement, in the window that ends with the planned day."""
    return work.movement_id == planned.movement_id and 0 <= planned.day - work.day <= WINDOW_DAYS


def _by_day(works: Iterable[RecentWork]) -> dict[int, float]:
    """Exposure by day."""
    found: dict[int, float] = defaultdict(float)
    for work in works:
        found[work.day] += exposure(work.repetitions, work.eccentric)
    return found


def _largest_bout(by_day: Mapping[int, float]) -> float:
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
