"""Bodies of training balance shown in the API document; a test compares each with its schema."""

from typing import Any

_SHARES: dict[str, Any] = {
    "sets_by_quality": [
        {"name": "local_muscular_endurance", "share": 0.6},
        {"name": "maximal_strength", "share": 0.4},
    ],
    "sets_by_pattern": [],
    "cyclical_by_quality": [{"name": "aerobic_power", "share": 1.0}],
}
TARGET_INPUT: dict[str, Any] = _SHARES
TARGET: dict[str, Any] = {
    "id": "57d7f0a9-6f3e-4d0e-a0b5-6f4f3b0f6a10",
    "version": 1,
    "group": None,
    **_SHARES,
    "set_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
}


def _sum(sets: int, hard: int, unknown: int, work_s: float) -> dict[str, Any]:
    told = {"sets": sets, "hard_sets": hard, "unknown_sets": unknown, "work_s": work_s}
    return {**told, "work_s_reason": None}


BALANCE: dict[str, Any] = {
    "from_date": "2030-02-21",
    "until_date": "2030-03-20",
    "athletes": 1,
    "planned": {"sessions": 8, "without_sets": [{"reason": "no_sets", "sessions": 1}]},
    "done": {"sessions": 7, "without_sets": []},
    "sets_by_quality": [
        {
            "name": "local_muscular_endurance",
            "planned": _sum(24, 18, 0, 640.0),
            "done": _sum(22, 15, 3, 610.0),
            "planned_share": 1.0,
            "planned_share_reason": None,
            "done_share": 1.0,
            "done_share_reason": None,
            "target_share": 0.6,
            "ahead": 0.4,
            "ahead_reason": None,
        }
    ],
    "sets_by_pattern": [],
    "cyclical_by_quality": [],
    "target_of": "organisation",
    "target_version": 1,
    "method_version": 1,
}
