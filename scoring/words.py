"""Codes in the words of the trade, for sentences; what has no words of its own is read without its underscores."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from programming.calc.difference_words import plain

REASONS: Final[Mapping[str, str]] = {
    "no_options": "nothing of it can be set up here and is allowed",
    "too_hard_at_easiest": "even the easiest version is likely to be too hard",
    "too_easy_at_hardest": "even the hardest version here is likely to be too easy",
    "between_options": "what can be loaded here lies on either side of the window",
    "time_out_of_reach": "the time asked for is out of reach",
    "later_sets_out_of_reach": "later sets as long as asked for are out of reach",
    "score_out_of_reach": "the score asked for is out of reach",
    "share_out_of_reach": "sets of the share of what is possible that is asked for are out of reach",
    "stopped_by_something_else": "something else than asked for stops the athlete",
    "maximal_attempt_needs_coach": "attempts at a maximum are for a coach to decide",
    "works_up_lightly": "never seen in the lift or not used to it at present, so that the loads begin light",
    "cap_below_work": "even the least of this work is more than allowed at present",
    "uncertain_capacity": "too little is known, and a check set comes first",
    "checked_with_other_work": "too little is known, and the check set of the same movement settles it",
    "begins_light": "never seen in this movement, so that it begins with a light load",
    "begins_easier": "never done in the version written, so that it begins with an easier one",
    "aim_after_check_set": "a part of the aim is met only with what the check set leads to",
    "own_volume": "the amount is the athlete's own",
    "capped_volume": "the amount is limited for safety",
    "far_more_than_of_late": "far more is written than was done of late, so the amount is limited",
    "aim_given_up_for_safety": "a part of the aim is given up for safety",
    "aim_given_up_for_whole_sets": "a part of the aim is given up so that no set has to be broken",
    "sets_may_break": "a set that is meant to be done in one go will probably have to be broken",
    "coarse_forecast": "the session is so long that it is foretold more coarsely",
}
RULED_OUT: Final[Mapping[str, str]] = {
    "limit": "an active limit ({what})",
    "sore": "sore today ({what})",
    "body_mass_missing": "its load needs a body mass, and none is recorded",
    "equipment_missing": "what it needs is not in the kit",
    "kit_in_use": "what it needs is in use on this day",
    "alone_without_safeties": "training alone without safeties under the bar",
    "not_counted_so": "it is not counted in the unit of the work",
    "no_load_repetition_curve": "no curve tells how many are possible with it",
    "beyond_curve": "too light for the curve to tell how many are possible",
    "harder_than_written": "harder than written, and nothing tells whether that is possible",
    "harder_than_written_new_and_unsure": "new to the athlete, unsure, and harder than written",
    "unknown_variation": "it is no version of the movement any more",
    "not_a_setting_here": "it cannot be set up so with this kit",
}
HOLDS: Final[Mapping[str, str]] = {
    "red_flag": "a warning sign was reported",
    "screening_yes": "a yes in the screening",
    "screening_expired": "the screening has expired",
    "screening_missing": "no screening yet",
    "pain": "pain was reported",
    "absence_unconfirmed": "nothing heard for two weeks",
    "set_by_staff": "set by the staff",
}
UNACCUSTOMED: Final[Mapping[str, tuple[str, str]]] = {
    "novel_movement": (
        "was not done in the last four weeks",
        "up to {most} repetitions would be an ordinary beginning",
    ),
    "far_more_than_in_the_last_four_weeks": (
        "is asked for far more often, with what was done since the day before, than on other days of the last four"
        " weeks",
        "up to {most} repetitions would be no great step",
    ),
}
"""By reason: why care is taken, after the movement's name; and how much would need none."""
CAPACITIES: Final[Mapping[str, str]] = {
    "load_repetition": "the load-repetition curve of the movement",
    "hold": "the law of load and holding time of the movement",
    "cyclical": "critical power or speed and the reserve above it",
    "none": "no capacity model: the version as written, or the nearest easier one",
}
UNITS: Final[Mapping[str, str]] = {
    "repetitions": "repetitions",
    "hold_s": "seconds",
    "distance_m": "metres",
    "energy_kcal": "kilocalories",
}
SCORE_UNITS: Final[Mapping[str, str]] = {
    "s": "s",
    "m": "metres",
    "kcal": "kilocalories",
    "kg": "kg",
    "kg_repetitions": "kg lifted in all",
    "rounds": "rounds",
    "intervals": "intervals",
}
"""Of scores that are not counted in a unit of work."""
ACKNOWLEDGED: Final[Mapping[str, str]] = {
    "hold": "a hold ({what})",
    "volume_cap": "the limit of the amount of {what}",
    "beyond_capacity": "more of {what} than can probably be done",
    "rounds_cap": "more rounds of {what} than are no great step",
    "to_failure": "attempts at {what} while no set is to go to failure",
    "trains_alone": "more than was worked out, while nobody is there",
    "minor": "more than was worked out, below the age of 18",
    "never_seen": "nobody has seen the athlete do {what}",
    "unlikely_at_age": "finished on about no day, at the athlete's age",
}


def units_said(unit: str) -> str:
    """A unit of work or of a score, in the plural."""
    return UNITS.get(unit) or SCORE_UNITS.get(unit, unit)


def noun(amount: float, plural: str) -> str:
    """As it stands after the amount: "1 round", "2 rounds", "1 s"."""
    return plural[:-1] if amount == 1 and len(plural) > 1 and plural.endswith("s") else plural


def whole(amount: float, unit: str) -> str:
    """An amount as somebody does it, "33 repetitions": whole ones, and of repetitions those that are complete."""
    number = math.floor(amount + 1e-9) if unit == "repetitions" else round(amount)
    return f"{number} {UNITS[unit][:-1] if number == 1 else UNITS[unit]}"


def listed(parts: Sequence[str]) -> str:
    """One after the other; parted by semicolons where a name has a comma of its own."""
    return ("; " if any("," in one for one in parts) else ", ").join(parts)


def reason_said(code: str) -> str:
    return REASONS.get(code, plain(code))


def ruled_out_said(reason: str) -> str:
    """Why a variation was left out, of a code with or without what it is about."""
    code, _, what = reason.partition(":")
    words = RULED_OUT.get(code, plain(code))
    if what and "{what}" not in words:
        words += ": {what}"
    return words.format(what=plain(what).replace(",", ", "))


def refused_said(content: Mapping[str, Any], reason: Mapping[str, Any]) -> list[str]:
    """Why nothing fits, of one of a content's reasons; where nothing was left of the work, what ruled it out."""
    causes = [one["reason"] for one in content["ruled_out"] if one["work"] == reason["work"]]
    if reason["code"] != "no_options" or not causes:
        return [reason_said(reason["code"])]
    return [ruled_out_said(cause) for cause in dict.fromkeys(causes)]


def acknowledged_said(code: str, works: Mapping[str, str]) -> str:
    """What speaks against an override; works: by work key the movement's name."""
    kind, _, what = code.partition(":")
    known = HOLDS.get(what) or works.get(what) or plain(what)
    if kind in ACKNOWLEDGED:
        return ACKNOWLEDGED[kind].format(what=known)
    return ruled_out_said(code)
