"""Bodies of progression shown in the API document; a test compares each with its schema."""

from typing import Any

from athletes.api.examples import CAPACITY

CHANGE: dict[str, Any] = {
    "counted_from": "2030-01-08",
    "counted_until": "2030-03-20",
    "amount": {"median": 4.1, "lower": 1.9, "upper": 6.4},
    "amount_reason": None,
    "percent": {"median": 10.6, "lower": 5.0, "upper": 16.6},
    "improved": 0.87,
    "neither": 0.13,
    "declined": 0.0,
    "smallest_worthwhile_percent": 5.1,
    "smallest_worthwhile_from": "fifth_of_spread_between_people",
}

PROGRESSION: dict[str, Any] = {
    "since": "2029-12-26",
    "movements": [
        {
            "movement": CAPACITY["movement"],
            "movement_key": "horizontal_row",
            "capacity_kind": "load_repetition",
            "measure": "repetitions_to_failure",
            "unit": "repetitions",
            "variation": CAPACITY["variation"],
            "variation_key": CAPACITY["variation_key"],
            "load_kg": None,
            "assistance_kg": None,
            "height_cm": None,
            "points": [
                {
                    "local_date": "2030-01-08",
                    "value": {"median": 18.2, "lower": 16.1, "upper": 20.5},
                    "value_reason": None,
                },
                {
                    "local_date": "2030-03-20",
                    "value": {"median": 22.3, "lower": 19.8, "upper": 25.0},
                    "value_reason": None,
                },
            ],
            "points_reason": None,
            "change": CHANGE,
            "change_reason": None,
            "detectable": {
                "typical_error": 1.46,
                "typical_error_from": "usual_error_of_such_tests",
                "change": 4.04,
            },
            "detectable_reason": None,
            "bests": [
                {
                    "variation_key": CAPACITY["variation_key"],
                    "height_cm": None,
                    "unit": "repetitions",
                    "by": "repetitions",
                    "done": {"local_date": "2030-03-18", "amount": 23.0, "added_kg": 0.0, "seconds": None},
                    "before": {"local_date": "2030-01-08", "amount": 19.0, "added_kg": 0.0, "seconds": None},
                }
            ],
            "bests_left_out": 0,
            "test_due": False,
            "test_due_reason": None,
            "spread": {"percent": 4.2, "limit_percent": 8.0},
            "spread_reason": None,
            "method": CAPACITY["method"],
            "prior_number": 1,
            "inputs": CAPACITY["inputs"],
        }
    ],
}

GROUP: dict[str, Any] = {
    "movement": CAPACITY["movement"],
    "movement_key": "horizontal_row",
    "since": "2029-12-26",
    "members": [
        {
            "athlete": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
            "name": "Noor Castell",
            "measure": "repetitions_to_failure",
            "unit": "repetitions",
            "verdict": "improved",
            "change": CHANGE,
            "change_reason": None,
            "method": CAPACITY["method"],
            "inputs": CAPACITY["inputs"],
        }
    ],
    "members_left_out": 0,
    "counts": [
        {"verdict": verdict, "athletes": count, "small": True}
        for verdict, count in (
            ("improved", 1),
            ("neither", 0),
            ("declined", 0),
            ("unsure", 0),
            ("unknown", 0),
        )
    ],
}
