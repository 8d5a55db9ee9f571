"""The sets of a plan or a log as a profile counts them, and what was available before each logged one. No writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from athletes.queries import mass_histories
from programming.calc.revision import HOLD, REPETITIONS, UNITS, Block
from programming.plans import SessionPlan, VariationEntry
from scoring.available import MIDDLE, available_of
from scoring.calc.forecast import BlockForecast, PlannedSet
from scoring.calc.profile import ProfiledSet
from scoring.calc.spread import Spread
from scoring.capacity_kind import PACED, kind_in
from scoring.known_now import multiplier_known, states_known
from scoring.models import Attempt
from scoring.observed import Logged
from scoring.tiring import MOST_SETS

# Pattern, muscle groups with their weights, whether the work is cyclical.
Of = tuple[str, tuple[tuple[str, float], ...], bool]
PACED_WORK: Final = "paced_work_has_no_set_limit"
"""Of cyclical work: somebody who runs out of breath goes on more slowly, so there is no number that is available."""
GONE: Final[Of] = ("", (), False)
"""Of a version that is gone nothing is known."""


@dataclass(frozen=True)
class SetShare:
    """Of one logged set, `number` from 1: units that were available before it at 10, 50 and 90 %, and what share of
    the middle was taken [%]; reason: why nobody knows.
    """

    number: int
    work: str
    unit: str
    amount: float
    available: Spread | None
    share_percent: float | None
    reason: str | None


def planned_sets(
    plan: SessionPlan,
    block: Block,
    content: Mapping[str, Any],
    forecast: BlockForecast | None,
    tempo: Mapping[str, Mapping[str, float]],
) -> list[ProfiledSet]:
    """Those of a block in a prescription's content, with what is available before each, if the forecast tells it;
    tempo: of the athlete by work key, as the basis has it.
    """
    versions = {entry["work"]: entry["variation"] for entry in content.get("work", [])}
    told = [entry for entry in content.get("plan", []) if block.index_of(entry["work"]) is not None]
    played: Sequence[PlannedSet | None] = () if forecast is None else forecast.plan
    if len(played) != len(told):
        played = [None] * len(told)
    return [
        _planned(entry, plan.variations.get(versions.get(entry["work"], "")), one, tempo.get(entry["work"]))
        for entry, one in zip(told, played, strict=True)
    ]


def _planned(
    entry: Mapping[str, Any],
    version: VariationEntry | None,
    played: PlannedSet | None,
    tempo: Mapping[str, float] | None,
) -> ProfiledSet:
    unit = next(unit for unit in UNITS if entry.get(unit) is not None)
    amount = float(entry[unit])
    available = None if played is None else played.available
    told_s = amount * tempo["own_s"] if tempo is not None and unit == REPETITIONS else entry.get("duration_s")
    return ProfiledSet(
        entry["work"],
        amount,
        unit,
        _seconds(amount, unit, told_s, version),
        float(entry["rest_before_s"]),
        None if available is None else max(available - amount, 0.0),
        *_of(version, unit),
    )


def done_set(one: Logged) -> ProfiledSet:
    entry = one.entry
    return ProfiledSet(
        entry.work,
        entry.amount,
        entry.unit,
        _seconds(entry.amount, entry.unit, entry.duration_s, one.done),
        entry.rest_before_s,
        0.0 if entry.ended_by == "failure" else entry.rir,
        *_of(one.done, entry.unit),
    )


def _seconds(amount: float, unit: str, told_s: float | None, version: VariationEntry | None) -> float | None:
    """As told; else of repetitions at the movement's usual pace, and of a hold itself."""
    if told_s is not None:
        return told_s
    if unit == HOLD:
        return amount
    return amount * version.variation.repetition_s if unit == REPETITIONS and version is not None else None


def _of(version: VariationEntry | None, unit: str) -> Of:
    if version is None:
        return GONE
    paced = kind_in(version, unit) == PACED
    return version.movement.pattern, version.variation.muscle_groups, paced


def shares_of(attempt: Attempt, logged: Sequence[Logged]) -> Iterator[SetShare]:
    """By what is known of the athlete now, this result with it."""
    mass_kg = mass_histories([attempt.athlete_id])[attempt.athlete_id].on(attempt.local_date)
    athlete = attempt.athlete_id
    found = available_of(logged, states_known(athlete), mass_kg, multiplier_known(athlete))
    unrested = any(one.entry.rest_before_s is None for one in logged[1:])
    for place, one in enumerate(logged):
        entry, levels = one.entry, found.get(place)
        spread = None if levels is None else Spread(*(round(level, 1) for level in levels))
        share = None if levels is None else round(100.0 * entry.amount / levels[MIDDLE], 1)
        reason = None if levels is not None else _why_not(place, one, unrested)
        yield SetShare(place + 1, entry.work, entry.unit, entry.amount, spread, share, reason)


def _why_not(place: int, one: Logged, unrested: bool) -> str:
    if one.entry.amount <= 0.0:
        return "nothing_done"
    if kind_in(one.done, one.entry.unit) == PACED:
        return PACED_WORK
    if unrested:
        return "rests_not_known"
    return "too_many_sets" if place >= MOST_SETS else "capacity_not_known"
