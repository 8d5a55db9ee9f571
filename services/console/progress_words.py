"""Progression in words: amounts in the terms of the movement, changes with what they lie between."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from athletes.calc.bests import TIME
from athletes.calc.carry import INTERVAL_GROWN
from athletes.progress import NEVER_OBSERVED, NOT_ONE_TEST, SAME_DAY
from athletes.progress_error import OWN_ERROR
from athletes.progress_worth import ASKED
from programming.calc.difference_words import plain
from scoring.brief_words import clock
from scoring.words import noun, units_said
from services.console.ability import DUE, UNTOLD
from services.console.words import DASH, percent, short_day

MEASURES: Final = {
    "repetitions_to_failure": "repetitions to failure",
    "one_repetition_maximum": "one-repetition maximum",
    "seconds_held": "time held",
    "critical_power": "power that lasts",
    "critical_speed": "speed that lasts",
}
DIGITS: Final = {"m/s": 2}
"""Of an amount after the point; of a change one more, save where there are some already."""
WHY: Final = {
    NEVER_OBSERVED: "nothing that tells of it was seen yet",
    SAME_DAY: "nothing was seen before the last day",
    NOT_ONE_TEST: "no single test gives a value of it",
    **UNTOLD,
    "body_mass_missing": "no body mass is known of one of the days",
    "not_a_load": "with this help nothing of the body is left to move",
}
VERDICTS: Final = {
    "improved": "clearly better",
    "neither": "no change worth a word",
    "declined": "clearly worse",
    "unsure": "not to be told yet",
    "unknown": "nothing seen",
}


def why(reason: str | None) -> str:
    return "" if reason is None else WHY.get(reason, plain(reason))


def amount(value: float, unit: str) -> str:
    if unit == "s":
        return clock(value)
    number = f"{value:.{DIGITS.get(unit, 0)}f}"
    return f"{number} {noun(float(number), unit)}"


def spread(one: Mapping[str, Any], unit: str, *, alone: bool = False) -> str:
    """What eight of ten lie between; alone: where no unit stands before."""
    if unit == "s":
        return f"{clock(one['lower'])} to {clock(one['upper'])}"
    digits = DIGITS.get(unit, 0)
    return f"{one['lower']:.{digits}f} to {one['upper']:.{digits}f}" + (f" {unit}" if alone else "")


def signed(value: float, digits: int) -> str:
    """With its sign; what rounds to nothing has none."""
    told = f"{value:+.{digits}f}".replace("-", "−")
    return told if float(f"{value:.{digits}f}") else told[1:]


def changed(one: Mapping[str, Any], unit: str) -> str:
    """ "+4.1 repetitions (+1.9 to +6.4)"."""
    digits = 0 if unit == "s" else DIGITS.get(unit, 1)
    numbers = [signed(one[name], digits) for name in ("median", "lower", "upper")]
    return f"{numbers[0]} {unit} ({numbers[1]} to {numbers[2]})"


def change_said(change: Mapping[str, Any] | None, reason: str | None, unit: str | None) -> tuple[str, str]:
    """(in own terms, of the load or power), each with its interval, or a dash and why."""
    if change is None:
        return f"{DASH} ({why(reason)})", DASH
    own = change["amount"]
    told = f"{DASH} ({why(change['amount_reason'])})" if own is None or unit is None else changed(own, unit)
    return told, changed(change["percent"], "%")


def chances(change: Mapping[str, Any] | None) -> tuple[str, str, str]:
    """That it is better by more than what is worth a word, neither, worse by more than that."""
    if change is None:
        return DASH, DASH, DASH
    told = [percent(change[name]) for name in ("improved", "neither", "declined")]
    return told[0], told[1], told[2]


def worth_said(change: Mapping[str, Any] | None) -> str:
    if change is None:
        return DASH
    asked = change["smallest_worthwhile_from"] == ASKED
    origin = "as asked" if asked else "a fifth of how far people differ"
    return f"{change['smallest_worthwhile_percent']:.1f} %, {origin}"


def detectable_said(one: Mapping[str, Any] | None, reason: str | None, unit: str | None) -> str:
    """The least difference of two tests that tells a change."""
    if one is None or unit is None:
        return f"{DASH} ({why(reason)})"
    digits = 0 if unit == "s" else max(DIGITS.get(unit, 1), 1)
    own = one["typical_error_from"] == OWN_ERROR
    origin = "by own repeated tests" if own else "as such tests err as a rule"
    return f"{one['change']:.{digits}f} {unit}; one test errs by {one['typical_error']:.{digits}f} {unit}, {origin}"


def due_said(one: Mapping[str, Any]) -> str:
    """Whether a test is due, and why."""
    reason, spread = one["test_due_reason"], one["spread"]
    if reason is None:
        return "not due"
    if reason == INTERVAL_GROWN and spread is not None:
        percent = f"{spread['percent']:.0f} %"
        return f"due: uncertain by {percent}; from {spread['limit_percent']:.0f} % on a test is due"
    return f"due: {DUE.get(reason, plain(reason))}"


def best_said(best: Mapping[str, Any], names: Mapping[str, str]) -> tuple[str, str, str]:
    """(what, day, what it bettered)."""
    way = names.get(best["variation_key"], plain(best["variation_key"]))
    if best["height_cm"] is not None:
        way += f", {best['height_cm']:g} cm high"
    done, before = best["done"], best["before"]
    bettered = DASH if before is None else f"{_done(before, best)}, {_day(before)}"
    return f"{way}: {_done(done, best)}", _day(done), bettered


def _done(one: Mapping[str, Any], best: Mapping[str, Any]) -> str:
    told = f"{one['amount']:g} {noun(one['amount'], units_said(best['unit']))}"
    if best["by"] == TIME:
        return f"{told} in {clock(one['seconds'])}"
    if one["added_kg"]:
        told += f" with {abs(one['added_kg']):g} kg" + (" of help" if one["added_kg"] < 0 else "")
    return told


def _day(one: Mapping[str, Any]) -> str:
    day = one["local_date"]
    return short_day(dt.date.fromisoformat(day) if isinstance(day, str) else day)
