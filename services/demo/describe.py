"""A session document in the words of a coach's board; pure text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any, Final

# How a movement is called beside its amount.
PLURALS: Final = {
    "push_up": "push-ups",
    "squat": "squats",
    "hip_thrust": "hip thrusts",
    "sit_up": "sit-ups",
    "dumbbell_press": "dumbbell presses",
    "back_squat": "back squats",
    "bench_press": "bench presses",
    "fan_bike": "on the bike",
}
# And where there is little room.
SHORT: Final = {
    "push_up": "push-up",
    "dumbbell_press": "press",
    "back_squat": "squat",
    "bench_press": "bench",
    "fan_bike": "bike",
}
UNITS: Final = {"repetitions": "", "hold_s": " s", "distance_m": " m", "energy_kcal": " kcal"}
SCORES: Final = {"time": "for time", "none": "not scored"}


def short(movement: str) -> str:
    """One word for a movement."""
    return SHORT.get(movement) or movement.replace("_", " ")


def session_lines(document: Mapping[str, Any], width: int) -> list[str]:
    """Each block's work with its rules, then its aim; not wider than `width` characters."""
    told = [text for block in document["blocks"] for text in (_work(block), _aim(block))]
    return [line for text in told for line in wrap(text, width)]


def _work(block: Mapping[str, Any]) -> str:
    rules = block["rules"]
    words = _order(rules, _and([_amount(item) for item in block["work"]]))
    if rules.get("rest_between_s"):
        words += f", {_time(rules['rest_between_s'])} rest between"
    scored = SCORES.get(rules["scored"]) or f"scored by {rules['scored'].replace('_', ' ')}"
    words += f", {scored}"
    if rules["break"]["counts"] == "set_ended_early":
        words += f", change over at each break, {rules['break']['penalty_s']:g} s for each"
    cap = rules["end"].get("cap_s")
    return words + (f"; cap {_minutes(cap)} min" if cap else "")


def _order(rules: Mapping[str, Any], work: str) -> str:
    if rules["order"] == "rounds":
        return f"{rules['rounds']} rounds of {work}"
    return work if rules["order"] == "swap_on_break" else f"{rules['order'].replace('_', ' ')}: {work}"


def _amount(item: Mapping[str, Any]) -> str:
    unit = next(unit for unit in UNITS if unit in item)
    name = PLURALS.get(item["movement"]) or item["movement"].replace("_", " ")
    much = "as many as possible" if item[unit] is None else f"{item[unit]:g}{UNITS[unit]}"
    return f"{much} {name}"


def _aim(block: Mapping[str, Any]) -> str:
    names = {item["key"]: PLURALS.get(item["movement"], item["movement"]) for item in block["work"]}
    told, sets = [], []
    for one in block["aim"]["conditions"]:
        if one["kind"] == "first_set":
            sets.append(f"of {one['lower']:g} to {one['upper']:g} {names[one['work']]}")
        elif one["kind"] == "time":
            told.append(f"a score of {_minutes(one['lower'])} to {_minutes(one['upper'])} min")
        else:
            bounds = one.get("by") or f"{one['lower']} to {one['upper']}"
            told.append(f"{one['kind'].replace('_', ' ')} {bounds}")
    first = [f"a first set {_and(sets)}"] if sets else []
    return f"aim: {'; '.join([*first, *told])}"


def _and(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:g}"


def _time(seconds: float) -> str:
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
