"""A week of five sessions of different kinds, as a coach publishes it, and the kit of the halls. Invented."""

from __future__ import annotations

from typing import Any, Final

from services.bench.ground import SESSION

_EVERY_HALL: Final[dict[str, Any]] = {"rings": {}, "bench": {}, "rack": {}, "safety_arms": {}, "fan_bike": {}}

KIT: Final[dict[str, Any]] = {
    "items": {
        **_EVERY_HALL,
        "box": {"heights_cm": [45]},
        "barbell": {"loads_kg": [20 + 10.0 * step for step in range(9)]},
        "dumbbell": {"loads_kg": [4.0 * step for step in range(1, 7)]},
        "kettlebell": {"loads_kg": [8, 12, 16, 24]},
    }
}
"""Of a hall for classes: plates of five kilograms and more, every other pair of dumbbells, one height of box."""

RICH_KIT: Final[dict[str, Any]] = {
    "items": {
        **_EVERY_HALL,
        "vest": {"loads_kg": [5, 10]},
        "box": {"heights_cm": [15, 30, 45, 60]},
        "barbell": {"loads_kg": [20 + 2.5 * step for step in range(41)]},
        "dumbbell": {"loads_kg": [2.0 * step for step in range(2, 13)]},
        "kettlebell": {"loads_kg": [8, 12, 16, 20, 24, 28, 32]},
    }
}
"""Of a hall that has everything, with twice as much to choose from."""

UNCOUNTED: Final[dict[str, Any]] = {"counts": "none", "penalty_s": 0, "penalty": "added"}


def _item(
    key: str, movement: str, amount: float, variation: str, load_kg: float | None = None, unit: str = "repetitions"
) -> dict[str, Any]:  # fmt: skip
    written = {"variation": variation, "load_kg": load_kg, "assistance_kg": None, "height_cm": None}
    return {"key": key, "movement": movement, unit: amount, "variations": [], "as_written": written}


def _within(kind: str, lower: float | None, upper: float | None, work: str | None = None) -> dict[str, Any]:
    bounds = {"kind": kind, "lower": lower, "upper": upper}
    return bounds if work is None else {**bounds, "work": work}


def _session(
    title: str, quality: str, work: list[dict[str, Any]], rules: dict[str, Any], aim: list[dict[str, Any]]
) -> dict[str, Any]:
    rules = {"break": UNCOUNTED, "tie_break": "none", **rules}
    block = {"key": "main", "work": work, "rules": rules, "aim": {"conditions": aim}}
    return {"title": title, "texts": {}, "quality": quality, "blocks": [block]}


CIRCUIT: Final = _session(
    "Ride, press, sit up",
    "aerobic_power",
    [
        _item("ride", "fan_bike", 12, "fan_bike", unit="energy_kcal"),
        _item("press", "dumbbell_press", 12, "overhead_press_dumbbells", 24),
        _item("sit_ups", "sit_up", 15, "sit_up"),
    ],
    {"order": "rounds", "rounds": 4, "end": {"kind": "work_done", "cap_s": 1500}, "scored": "time"},
    [_within("first_set", 12, 24, "press"), _within("time", 420, 1080)],
)
AS_MANY_AS_POSSIBLE: Final = _session(
    "Twelve minutes of swings",
    "local_muscular_endurance",
    [
        _item("swings", "kettlebell_swing", 15, "kettlebell_swing", 16),
        _item("push_ups", "push_up", 10, "push_up_floor"),
        _item("squats", "squat", 15, "body_weight_squat"),
    ],
    {"order": "rounds", "rounds": None, "end": {"kind": "fixed_time", "time_s": 720}, "scored": "repetitions"},
    [_within("first_set", 10, 30, "push_ups"), _within("score", 160, 420)],
)  # fmt: skip
INTERVALS: Final = _session(
    "Every ninety seconds",
    "anaerobic_capacity",
    [_item("presses", "squat_to_press_dumbbells", 10, "squat_to_press_dumbbells", 20)],
    {
        "order": "intervals",
        "intervals": {"every_s": 90, "count": 8},
        "end": {"kind": "work_done"},
        "scored": "intervals",
    },
    [_within("first_set", 14, 30, "presses"), _within("share_of_available", None, 90)],
)
SETS: Final = _session(
    "Fives with a rest",
    "maximal_strength",
    [
        _item("squats", "back_squat", 5, "back_squat_barbell", 70),
        _item("bench", "bench_press", 5, "bench_press_barbell", 50),
    ],
    {
        "order": "rounds",
        "rounds": 4,
        "rest_between_s": 180,
        "end": {"kind": "work_done"},
        "scored": "none",
    },
    [_within("first_set", 6, 10, "squats"), _within("first_set", 6, 10, "bench")],
)
WEEK: Final = (SESSION, CIRCUIT, AS_MANY_AS_POSSIBLE, INTERVALS, SETS)
"""For time with breaks, a circuit with a machine, as much as possible in a time, intervals, sets of strength."""
