"""What a test may say: its kinds, how each may end, what contradicts itself, and what it tells of capacity."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from athletes.actions.observations import ObservationRow
from athletes.catalogue import CatalogueVersion
from athletes.models import Assessment
from athletes.moments import hours_into
from athletes.performed import LARGEST_RIR, MOST_REPETITIONS, NOTHING_ADJUSTED, Settings
from programming.calc.units import tells
from programming.calc.variation import DISTANCE, ENERGY, HOLD_SECONDS, REPETITIONS
from services.problems import FieldProblem

ONE_RM: Final = "one_rm"
TO_FAILURE: Final = "to_failure"
WITH_RIR: Final = "with_rir"
PLANNED: Final = "planned"
HOLD_TO_FAILURE: Final = "hold_to_failure"
TIME_TRIAL: Final = "time_trial"

# What each kind may be ended by; the first is assumed when nothing is said.
ENDINGS: Final = {
    ONE_RM: ("planned", "failure"),
    TO_FAILURE: ("failure", "pain", "no_rep", "clock", "other"),
    WITH_RIR: ("planned", "pain", "no_rep", "clock", "other"),
    PLANNED: ("planned", "pain", "no_rep", "clock", "other"),
    HOLD_TO_FAILURE: ("failure", "pain", "no_rep", "clock", "other"),
    TIME_TRIAL: ("planned", "pain", "no_rep", "clock", "other"),
}
KINDS: Final = tuple(ENDINGS)
WEAK_ENDINGS: Final = frozenset({"pain", "no_rep", "clock", "other"})

# The amounts that each kind is told in; of a trial one of the two, and the time it took.
AMOUNTS: Final = {HOLD_TO_FAILURE: (HOLD_SECONDS,), TIME_TRIAL: (DISTANCE, ENERGY)}
LARGEST: Final = {HOLD_SECONDS: 36_000.0, DISTANCE: 500_000.0, ENERGY: 20_000.0, "elapsed_s": 86_400.0}
SHORTEST_TRIAL_S: Final = 1.0


@dataclass(frozen=True)
class Performance:
    """One test as it is told. ended_by None: what goes without saying for the kind (see ENDINGS).

    kind one_rm: the settings are the maximum (repetitions 1), or were missed (0). to_failure: this many and
    not one more. with_rir: stopped with `rir` left. planned: stopped as planned, more were possible. These are
    counted in repetitions. hold_to_failure: held for hold_s and not longer. time_trial: a distance or the
    kilocalories that the machine shows, as fast as possible, in elapsed_s.
    """

    kind: str
    repetitions: int | None
    performed_at: dt.datetime
    settings: Settings = NOTHING_ADJUSTED
    rir: int | None = None
    ended_by: str | None = None
    hold_s: float | None = None
    distance_m: float | None = None
    energy_kcal: float | None = None
    elapsed_s: float | None = None

    @property
    def ending(self) -> str:
        return self.ended_by or ENDINGS[self.kind][0]


def count_problems(tested: Performance, pointer: str = "#") -> list[FieldProblem]:
    """What contradicts itself in kind, repetitions, repetitions in reserve and ending."""
    found = []
    if tested.kind not in ENDINGS:
        return [FieldProblem(f"{pointer}/kind", "unknown_kind", f"Use one of: {', '.join(KINDS)}.")]
    found += amount_problems(tested, pointer)
    if tested.repetitions is None:
        pass  # another amount, or said already
    elif not 0 <= tested.repetitions <= MOST_REPETITIONS:
        detail = f"Must be a whole number from 0 to {MOST_REPETITIONS}."
        found.append(FieldProblem(f"{pointer}/repetitions", "out_of_range", detail))
    elif tested.kind == ONE_RM and tested.repetitions > 1:
        detail = "A one-repetition maximum has 1 repetition, or 0 when it was missed; else use to_failure."
        found.append(FieldProblem(f"{pointer}/repetitions", "contradiction", detail))
    elif tested.kind in (PLANNED, WITH_RIR) and tested.repetitions == 0:
        detail = "Stopping before the first repetition tells nothing; leave the test out."
        found.append(FieldProblem(f"{pointer}/repetitions", "out_of_range", detail))
    if (tested.rir is not None) != (tested.kind == WITH_RIR):
        detail = "Repetitions in reserve belong to the kind with_rir, and only there."
        found.append(FieldProblem(f"{pointer}/rir", "contradiction", detail))
    elif tested.rir is not None and not 0 <= tested.rir <= LARGEST_RIR:
        detail = f"Must be a whole number from 0 to {LARGEST_RIR}."
        found.append(FieldProblem(f"{pointer}/rir", "out_of_range", detail))
    if tested.ending not in ENDINGS[tested.kind]:
        detail = f"A test of the kind {tested.kind} ends by one of: {', '.join(ENDINGS[tested.kind])}."
        found.append(FieldProblem(f"{pointer}/ended_by", "contradiction", detail))
    return found


def amount_problems(tested: Performance, pointer: str = "#") -> list[FieldProblem]:
    """What is missing, out of range or out of place among the amounts."""
    allowed = AMOUNTS.get(tested.kind, (REPETITIONS,))
    given = [name for name in (REPETITIONS, *LARGEST) if getattr(tested, name) is not None]
    found = [
        FieldProblem(
            f"{pointer}/{name}",
            "contradiction",
            f"A test of the kind {tested.kind} is not told in this; leave it out.",
        )
        for name in given
        if name not in allowed and not (name == "elapsed_s" and tested.kind == TIME_TRIAL)
    ]
    told = [name for name in allowed if name in given]
    if len(told) != 1:
        detail = f"Say how much it was: exactly one of {', '.join(allowed)}."
        found.append(
            FieldProblem(f"{pointer}/{allowed[0]}", "required" if not told else "contradiction", detail)
        )
    if tested.kind == TIME_TRIAL and tested.elapsed_s is None:
        found.append(FieldProblem(f"{pointer}/elapsed_s", "required", "Say how many seconds it took."))
    return found + _out_of_range(tested, pointer)


def _out_of_range(tested: Performance, pointer: str) -> list[FieldProblem]:
    least = {HOLD_SECONDS: 0.0, "elapsed_s": SHORTEST_TRIAL_S}
    found = []
    for name, most in LARGEST.items():
        value, low = getattr(tested, name), least.get(name, 1.0)
        if value is not None and not low <= value <= most:
            detail = f"Must be a number from {low:g} to {most:g}."
            found.append(FieldProblem(f"{pointer}/{name}", "out_of_range", detail))
    return found


def unit_problems(version: CatalogueVersion, tested: Performance, pointer: str = "#") -> list[FieldProblem]:
    """Whether the variation is counted in what the test tells (for a known kind)."""
    counted, unit = version.variation.counted_in, unit_of(tested)
    if unit is None or unit in counted:
        return []
    detail = f"{version.name} is counted in {', '.join(counted)}; choose a kind of test that tells it so."
    return [FieldProblem(f"{pointer}/{unit}", "not_counted_in", detail)]


def unit_of(tested: Performance | Assessment) -> str | None:
    """The unit in which the test is told; None when its kind is unknown or the amount is missing."""
    if tested.kind not in ENDINGS:
        return None
    allowed = AMOUNTS.get(tested.kind, (REPETITIONS,))
    return next((name for name in allowed if getattr(tested, name) is not None), None)


def observation_of(assessment: Assessment, version: CatalogueVersion) -> ObservationRow | None:
    """What the test tells of capacity of the movement's kind; None when it tells nothing."""
    unit = unit_of(assessment)
    if unit is None or not _tells(version, unit):
        return None
    kind, rir = _kind_seen(assessment)
    amount = None if unit == REPETITIONS else float(getattr(assessment, unit))
    done = float(assessment.repetitions or 0)
    if kind in ("at_least", "at_least_weak") and not (done or amount):
        return None
    return ObservationRow(
        ordinal=0,
        movement_id=version.movement_id,
        variation_version_id=assessment.variation_version_id,
        local_date=assessment.local_date,
        kind=kind,
        load_kg=assessment.load_kg,
        assistance_kg=assessment.assistance_kg,
        height_cm=assessment.height_cm,
        repetitions=done,
        rir=rir,
        unit=unit,
        amount=amount,
        seconds=assessment.elapsed_s,
        hour=hours_into(assessment.local_date, assessment.performed_at, assessment.zone),
    )


def _tells(version: CatalogueVersion, unit: str) -> bool:
    """Whether this unit says something of the movement's kind of capacity."""
    return tells(version.capacity_kind, version.variation, unit)


def _kind_seen(assessment: Assessment) -> tuple[str, float | None]:
    """(kind of observation, repetitions in reserve): the way it ended decides what it tells."""
    if assessment.ended_by in WEAK_ENDINGS:
        return "at_least_weak", None
    if assessment.kind == WITH_RIR:
        return "rir", float(assessment.rir or 0)
    if assessment.kind == PLANNED:
        return "at_least", None
    if assessment.kind == TIME_TRIAL:
        return "maximal", None
    if assessment.kind == HOLD_TO_FAILURE:
        return "to_failure", None
    if assessment.repetitions == 0:
        return "zero", None
    return assessment.kind, None
