"""What the demo's coach writes: the equipment of the places and the sessions. Invented."""

from __future__ import annotations

import copy
from typing import Any, Final

from services.demo.people import MILL, QUAY, REMOTE

CAP_S: Final = 1500.0
MILL_CAP_S: Final = 1200.0

LOCATIONS: Final[tuple[dict[str, Any], ...]] = (
    {"name": MILL, "zone": "Europe/Lisbon", "is_remote": False, "freeze_minutes": 120},
    {"name": QUAY, "zone": "Europe/Warsaw", "is_remote": False, "freeze_minutes": 120},
    {"name": REMOTE, "zone": "UTC", "is_remote": True, "freeze_minutes": 60},
)

KITS: Final[dict[str, dict[str, Any]]] = {
    MILL: {
        "wall": {},
        "rings": {},
        "bench": {},
        "rack": {},
        "safety_arms": {},
        "box": {"heights_cm": [15, 30, 45, 60]},
        "barbell": {"loads_kg": [20 + 2.5 * step for step in range(41)]},
        "kettlebell": {"loads_kg": [8, 12, 16, 20, 24, 28, 32]},
        "vest": {"loads_kg": [5, 10]},
    },
    QUAY: {
        "wall": {},
        "rings": {},
        "bench": {},
        "fan_bike": {},
        "dumbbell": {"pairs_kg": [2.0 * step for step in range(1, 11)]},
        "box": {"heights_cm": [20, 40, 60]},
        "barbell": {"loads_kg": [15 + 5.0 * step for step in range(20)]},
        "kettlebell": {"loads_kg": [8, 16, 24, 32]},
        "vest": {"loads_kg": [10]},
    },
    REMOTE: {},
}


def _item(
    key: str,
    movement: str,
    amount: float,
    written: str,
    load_kg: float | None = None,
    *,
    unit: str = "repetitions",
) -> dict[str, Any]:
    as_written = {"variation": written, "load_kg": load_kg, "assistance_kg": None, "height_cm": None}
    return {"key": key, "movement": movement, unit: amount, "variations": [], "as_written": as_written}


def _session(
    title: str,
    work: list[dict[str, Any]],
    conditions: list[dict[str, Any]],
    *,
    rules: dict[str, Any] | None = None,
    quality: str = "local_muscular_endurance",
    **texts: str,
) -> dict[str, Any]:
    block = {"key": "main", "work": work, "rules": rules or SWAP, "aim": {"conditions": conditions}}
    return {"title": title, "texts": texts, "quality": quality, "blocks": [copy.deepcopy(block)]}


SWAP: Final[dict[str, Any]] = {
    "order": "swap_on_break",
    "break": {"counts": "set_ended_early", "penalty_s": 20, "penalty": "added"},
    "end": {"kind": "work_done", "cap_s": CAP_S},
    "scored": "time",
    "tie_break": "fewest_breaks",
}
NO_BREAKS: Final = {"counts": "none", "penalty_s": 0, "penalty": "added"}


def _window(kind: str, work: str | None, lower: float | None, upper: float | None) -> dict[str, Any]:
    bounds = {"kind": kind, "lower": lower, "upper": upper}
    return bounds if work is None else {**bounds, "work": work}


PUSH_AND_BRIDGE: Final = _session(
    "Press and bridge",
    [_item("a", "push_up", 40, "push_up_floor"), _item("b", "hip_thrust", 60, "hip_thrust")],
    [_window("first_set", "a", 8, 25)],
    why="Base work for pressing and hips.",
)
SQUAT_AND_SIT_UP: Final = _session(
    "Stand up, sit up",
    [_item("a", "squat", 60, "body_weight_squat"), _item("b", "sit_up", 50, "sit_up")],
    [_window("first_set", "a", 12, 45)],
    why="Base work for legs and trunk.",
)

NEW_SESSION: Final = _session(
    "Ebb and flow",
    [_item("a", "push_up", 50, "push_up_floor"), _item("b", "squat", 80, "goblet_squat", 16)],
    [
        _window("first_set", "a", 10, 20),
        _window("first_set", "b", 18, 40),
        _window("time", None, 150, 1200),
    ],
    why="Pressing and legs that keep going when one of them is tired: each rests while the other works.",
    benefits="Local endurance; enough work to matter, little enough to train again in two days.",
    how="Stop each set two short of failure and walk to the other station: a break costs 20 s, a failed set more.",
    effort="Hard breathing from the middle on; the last quarter is the test.",
    easier="Hands higher, less weight: the aim counts, not the version.",
    cautions="New to this much work? Halve the repetitions and tell the coach.",
)


HEADWIND: Final = _session(
    "Headwind",
    [
        _item("a", "fan_bike", 15, "fan_bike", unit="energy_kcal"),
        _item("b", "dumbbell_press", 12, "overhead_press_dumbbells", 24),
    ],
    [_window("first_set", "b", 12, 24), _window("time", None, 480, 960)],
    rules={
        "order": "rounds",
        "rounds": 5,
        "break": NO_BREAKS,
        "end": {"kind": "work_done", "cap_s": 1200},
        "scored": "time",
        "tie_break": "none",
    },
    quality="aerobic_power",
    why="Pressing with a high pulse: the shoulders learn to work while the lungs are busy.",
    how="Ride so that the first press of each round still is a press; put the dumbbells down before a bad one.",
    effort="From the second round on talking is over.",
    cautions="New to the bike? Ride the first round at a pace at which you can talk.",
)
BALLAST: Final = _session(
    "Ballast",
    [
        _item("a", "back_squat", 5, "back_squat_barbell", 70),
        _item("b", "bench_press", 5, "bench_press_barbell", 50),
    ],
    [_window("first_set", "a", 5, 9), _window("first_set", "b", 5, 9)],
    rules={
        "order": "rounds",
        "rounds": 4,
        "rest_between_s": 180,
        "break": NO_BREAKS,
        "end": {"kind": "work_done"},
        "scored": "none",
        "tie_break": "none",
    },
    quality="maximal_strength",
    why="Heavy enough to become stronger, with a repetition or two kept back in every set.",
    how="Safety arms up, somebody beside the bench; the same load in all four rounds.",
)


def contradictory_draft() -> dict[str, Any]:
    """The coach's first attempt: later sets that would have to be longer than the first."""
    draft = copy.deepcopy(NEW_SESSION)
    draft["blocks"][0]["aim"]["conditions"].insert(1, _window("later_sets", "a", 25, None))
    return draft


def narrow_draft() -> dict[str, Any]:
    """The second one, which holds together, but allows push-ups on the floor or harder alone."""
    draft = copy.deepcopy(NEW_SESSION)
    draft["blocks"][0]["work"][0]["variations"] = ["push_up_floor", "push_up_feet_raised"]
    return draft


def of_the_mill() -> dict[str, Any]:
    """What Old Mill makes of the session: its class is shorter."""
    document = copy.deepcopy(NEW_SESSION)
    block = document["blocks"][0]
    block["work"][1]["repetitions"] = 70
    block["rules"]["end"]["cap_s"] = MILL_CAP_S
    return document
