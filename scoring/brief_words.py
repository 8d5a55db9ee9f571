"""The lines of a brief: one prescription's numbers in sentences that an athlete can act on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from statistics import median
from typing import Any, Final

from programming.calc.revision import UNITS
from scoring.names import Names
from scoring.words import HOLDS, reason_said, ruled_out_said

COUNTED: Final[Mapping[str, str]] = {
    "repetitions": "repetitions",
    "hold_s": "s held",
    "distance_m": "m",
    "energy_kcal": "kcal",
}
SCORED: Final[Mapping[str, str]] = {
    "repetitions": "repetitions",
    "m": "m",
    "kcal": "kcal",
    "kg": "kg",
    "kg_repetitions": "kg lifted in all",
    "intervals": "intervals",
    "rounds": "rounds",
}
STOPS: Final[Mapping[str, str]] = {
    "local_muscle": "{work}: the muscles should give out before the breath.",
    "breathing": "Breathing should be what slows you, not the muscles.",
    "strength": "{work}: strength decides; each set is short and heavy.",
    "skill": "{work}: skill decides; stop a set when the movement is no longer clean.",
    "unknown": "What will stop you is not known yet.",
}


def clock(seconds: float) -> str:
    """Minutes and seconds."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def option_said(option: Mapping[str, Any], names: Names) -> str:
    """A version with what is set up."""
    name = names.variation(option["variation"])
    load = "" if option["load_kg"] is None else f" with {names.load(option['variation'], option['load_kg'])}"
    height = "" if option["height_cm"] is None else f" at {option['height_cm']:g} cm"
    eased = "" if option["assistance_kg"] is None else f" with {option['assistance_kg']:g} kg of assistance"
    return f"{name}{height}{load}{eased}"


def version_line(work: Mapping[str, Any], names: Names, rounds: int | None) -> str:
    amount = amount_of(work)
    much = f"as many {COUNTED[work['unit']]} as possible" if amount is None else _much(amount, work["unit"])
    own = "" if work["amount_as_written"] else " (your own amount)"
    most = "" if rounds is None else f", at most {names.so_many(work['block'], rounds)}"
    return f"{option_said(work, names)}: {much}{own}{most}."


def warm_up_line(one: Mapping[str, Any], names: Names) -> str:
    return f"{one['repetitions']} × {option_said(one, names)}."


def check_line(check: Mapping[str, Any], names: Names) -> str:
    unit = COUNTED[check["unit"]]
    told = (
        f"{option_said(check, names)}: stop at {check['stop_at']} {unit},"
        f" or with {check['reserve_at_least']} left. Send it: the answer says how to go on."
    )
    return f"{told} Rest {clock(check['rest_after_s'])} after it." if check["rest_after_s"] else told


def sets_line(work: Mapping[str, Any], sets: Sequence[Mapping[str, Any]], names: Names) -> str:
    """Equal sets in a row as one."""
    told = []
    for amount, row in groupby(amount_of(one) or 0.0 for one in sets):
        many = len(list(row))
        told.append(f"{amount:g}" if many == 1 else f"{many} × {amount:g}")
    return f"{names.work(work['work'])}: {', '.join(told)} {COUNTED[work['unit']]}."


def rest_line(work: Mapping[str, Any], sets: Sequence[Mapping[str, Any]], names: Names) -> str:
    """The rests between the sets of one work, of whatever lies between them the pause before the set."""
    rests = [one["rest_before_s"] for one in sets[1:]]
    low, high = min(rests), max(rests)
    if high == 0:
        return f"{names.work(work['work'])}: go on at once."
    if low == high:
        return f"{names.work(work['work'])}: {high:g} s before each later set."
    return f"{names.work(work['work'])}: {low:g} to {high:g} s before later sets, mostly about {median(rests):g} s."


def stop_line(one: Mapping[str, Any], names: Names) -> str:
    return STOPS[one["by"]].format(work="" if one["work"] is None else names.work(one["work"]))


def expected_line(expected: Mapping[str, Any], block: str) -> str:
    """The score in the middle, and what eight of ten such days lie between."""
    score, unit = expected["score"], expected["unit"]
    about = f"In {block}: " if block else ""
    if unit is None:
        return ""
    if any(score[level] is None for level in ("p10", "p50", "p90")):
        chance = round(100.0 * expected["finish_probability"])
        return f"{about}The work is done in time with a chance of {chance} %."
    low, middle, high = (_score(score[level], unit) for level in ("p10", "p50", "p90"))
    told = f"about {middle}; on eight days of ten between {low} and {high}."
    return f"{about}{told}" if about else told.capitalize()


def hold_lines(hold: Mapping[str, Any]) -> list[str]:
    return [
        f"On hold since {hold['since']}: {HOLDS[hold['code']]}.",
        f"Meanwhile: {hold['safe_alternative']}",
        f"It is released by {hold['released_by']}.",
    ]


def why_not_lines(content: Mapping[str, Any], names: Names) -> list[str]:
    """Why there is no version, where nothing can be set up by what stands in the way, and what came closest."""
    told = [line for one in content["reasons"] for line in _reasons(content, one, names)]
    near = [option_said(one, names) for one in content["closest"]]
    closest = [f"Closest would be: {', '.join(near)}. Ask your coach."] if near else ["Ask your coach."]
    return [*dict.fromkeys(told), *closest]


def _reasons(content: Mapping[str, Any], reason: Mapping[str, Any], names: Names) -> list[str]:
    about = f"{names.work(reason['work'])}: " if reason["work"] else ""
    causes = [one["reason"] for one in content["ruled_out"] if one["work"] == reason["work"]]
    if reason["code"] != "no_options" or not causes:
        return [f"{about}{reason_said(reason['code'])}."]
    return [f"{about}{ruled_out_said(cause)}." for cause in dict.fromkeys(causes)]


def amount_of(entry: Mapping[str, Any]) -> float | None:
    """In whatever unit; None: as much as possible."""
    return next((float(entry[unit]) for unit in UNITS if entry.get(unit) is not None), None)


def _much(amount: float, unit: str) -> str:
    return f"{amount:g} {COUNTED[unit]}"


def _score(value: float, unit: str) -> str:
    return clock(value) if unit == "s" else f"{value:g} {SCORED[unit]}"
