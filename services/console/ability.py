"""What an athlete is able to do, and the tests it is known from, each on one line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from athletes.api.assessment_serializers import AssessmentOutput
from athletes.api.capacity_serializers import FiguresOutput
from athletes.figures import FigureReader
from programming.calc.catalogue import LOAD_REPETITION
from programming.calc.difference_words import plain
from scoring.brief_words import amount_of, clock
from scoring.words import UNITS, noun, units_said
from services.console.words import DASH, in_words, short_day

MEASURES: Final = {"power": ("W", "J"), "speed": ("m/s", "m")}
DUE: Final = {
    "never_observed": "never tested",
    "only_lower_bounds": "only sets that were stopped early tell of it",
    "interval_grown": "too uncertain by now",
}
UNTOLD: Final = {"beyond_curve": "too light for them to tell how many repetitions"}
TESTED: Final = {
    "one_rm": "a maximum",
    "to_failure": "to failure",
    "with_rir": "stopped with some left",
    "planned": "stopped as planned",
    "hold_to_failure": "held to failure",
    "time_trial": "as fast as possible",
}


@dataclass(frozen=True)
class Ability:
    """One movement, in the way in which it was last done. middle with `spread`, what eight of ten days lie between;
    most: the same of the one-repetition maximum. Where something is not known, a dash and the reason in `notes`.
    """

    movement: str
    movement_id: UUID
    has_history: bool
    way: str
    middle: str
    spread: str
    most: str
    seen: str
    test: str
    notes: str


def ability_of(row: Any, reader: FigureReader) -> Ability:
    """row: a capacity with its movement; the reader has loaded what all rows need."""
    figures = reader.figures(row)
    told = FiguresOutput(figures).data
    version, _ = reader.last_seen[row.movement_id]
    middle, spread, reason = _can(told)
    notes = [UNTOLD.get(one, plain(one)) for one in (*told["notes"], reason) if one]
    return Ability(
        movement=row.movement.name,
        movement_id=row.movement_id,
        has_history=row.movement.capacity_kind == LOAD_REPETITION,
        way=version.name + setting_said(told),
        middle=middle,
        spread=spread,
        most=_most(told["one_rm"]),
        seen=f"{figures.observations}" + (f", last {short_day(figures.as_of)}" if figures.as_of else ""),
        test=f"due: {DUE.get(told['test_due_reason'], plain(told['test_due_reason'] or ''))}"
        if told["test_due"]
        else DASH,
        notes=", ".join(dict.fromkeys(notes)),
    )


def setting_said(told: Mapping[str, Any]) -> str:
    """Load, assistance and height of a version, with a comma before them."""
    parts = []
    if told["load_kg"] is not None:
        parts.append(f"{told['load_kg']:g} kg")
    if told["assistance_kg"] is not None:
        parts.append(f"{told['assistance_kg']:g} kg of assistance")
    if told["height_cm"] is not None:
        parts.append(f"{told['height_cm']:g} cm high")
    return "".join(f", {part}" for part in parts)


def _can(told: Mapping[str, Any]) -> tuple[str, str, str]:
    """(middle, spread, why it is not told): repetitions, seconds of a hold, or what lasts on a machine."""
    if told["repetitions"] is not None:
        one = told["repetitions"]
        return f"{one['p50']:.0f} repetitions", f"{one['p10']:.0f} to {one['p90']:.0f}", ""
    if told["hold"] is not None:
        seconds = told["hold"]["seconds"]
        if seconds is None:
            return DASH, DASH, told["hold"]["seconds_reason"] or ""
        return f"{clock(seconds['p50'])} held", f"{clock(seconds['p10'])} to {clock(seconds['p90'])}", ""
    if told["cyclical"] is not None:
        lasting = told["cyclical"]["critical"]
        unit, _ = MEASURES[told["cyclical"]["measure"]]
        digits = 0 if unit == "W" else 2
        return (
            f"{lasting['median']:.{digits}f} {unit} that last",
            f"{lasting['lower']:.{digits}f} to {lasting['upper']:.{digits}f}",
            "",
        )
    return DASH, DASH, told["repetitions_reason"] or ""


def _most(one_rm: Mapping[str, Any] | None) -> str:
    if one_rm is None:
        return DASH
    return f"{one_rm['effective_kg']:.0f} kg ({one_rm['lower_kg']:.0f} to {one_rm['upper_kg']:.0f})"


@dataclass(frozen=True)
class Tested:
    """A test as it was recorded."""

    day: str
    variation: str
    result: str
    kind: str


def tested_of(row: Any) -> Tested:
    told = AssessmentOutput(row).data
    return Tested(
        day=short_day(row.local_date),
        variation=row.variation_version.variation.name + setting_said(told),
        result=_result(told),
        kind=_kind(told),
    )


def _kind(told: Mapping[str, Any]) -> str:
    """What was tested, and what ended it where that does not go without saying."""
    kind = TESTED.get(told["kind"], plain(told["kind"]))
    if told["kind"] == "one_rm" and told["repetitions"] == 0:
        return f"{kind}, missed"
    as_meant = told["ended_by"] in ("planned", "failure")
    return kind if as_meant else f"{kind}; ended by {plain(told['ended_by'])}"


def _result(told: Mapping[str, Any]) -> str:
    unit = next((unit for unit in UNITS if told.get(unit) is not None), None)
    amount = amount_of(told)
    if unit is None or amount is None:
        return DASH
    words = f"{amount:g} {noun(amount, units_said(unit))}"
    if told["elapsed_s"] is not None:
        words += f" in {in_words(told['elapsed_s'], 's')}"
    return words + ("" if told["rir"] is None else f", {told['rir']} left")
