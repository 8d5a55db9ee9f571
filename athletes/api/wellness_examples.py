"""Bodies shown in the API document; a test compares each with its schema."""

from typing import Any

from athletes.wellness import MEANING, METHOD

_ATHLETE = "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11"
_PERSON = "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33"

_SLEEP: dict[str, Any] = {
    "key": "sleep",
    "text": "How did you sleep?",
    "least": 1.0,
    "most": 5.0,
    "step": 1.0,
    "better": "high",
}
_LEGS: dict[str, Any] = {
    "key": "heavy_legs",
    "text": "How heavy are your legs?",
    "least": 0.0,
    "most": 10.0,
    "step": 1.0,
    "better": "low",
}
FORM_INPUT: dict[str, Any] = {"key": "morning", "name": "In the morning", "items": [_SLEEP, _LEGS]}
FORM: dict[str, Any] = {
    "id": "c05a2c0e-7a2b-43d7-8d44-9c6c0f7d0b21",
    "key": "morning",
    "number": 1,
    "name": "In the morning",
    "items": [_SLEEP, _LEGS],
    "set_by": _PERSON,
    "created_at": "2030-01-02T09:00:00Z",
}
ANSWER_INPUT: dict[str, Any] = {
    "form": "morning",
    "local_date": "2030-01-13",
    "answers": {"sleep": 4, "heavy_legs": 3},
}
ANSWER: dict[str, Any] = {
    "id": "0b1e6c7f-5b0a-4a8e-8f59-2d5a4d0c9e88",
    "version": 1,
    "athlete": _ATHLETE,
    "form": "morning",
    "form_number": 1,
    "local_date": "2030-01-13",
    "answers": {"sleep": 4.0, "heavy_legs": 3.0},
    "client_id": None,
    "recorded_by": _PERSON,
}
WELLNESS: dict[str, Any] = {
    "athlete": _ATHLETE,
    "form": "morning",
    "form_number": 1,
    "on": "2030-01-13",
    "items": [
        {
            "item": "sleep",
            "text": "How did you sleep?",
            "better": "high",
            "answers": 64,
            "newest_answer": {"local_date": "2030-01-13", "value": 4.0},
            "baseline": {
                "centre": 3.79,
                "weighted": 3.4,
                "lower": 2.6,
                "upper": 4.98,
                "sum_high": 0.0,
                "sum_low": 0.6,
                "sum_limit": 2.9,
                "false_flags_per_week": 0.11,
            },
            "baseline_reason": None,
            "side": None,
            "unusually_bad": False,
        }
    ],
    "false_flags_per_week": 0.11,
    "method": METHOD,
    "method_version": 1,
    "meaning": MEANING,
}
