"""Invented revision documents for the tests of the pure core."""


def row_and_squat():
    """Rows and goblet squats for time, swapping on every break, 30 s added per break."""
    return {
        "title": "Row and squat sixty",
        "texts": {"why": "Long sets under fatigue.", "cautions": "Stop when the back rounds."},
        "quality": "local_muscular_endurance",
        "blocks": [
            {
                "key": "main",
                "work": [
                    {
                        "key": "a",
                        "movement": "horizontal_row",
                        "repetitions": 60,
                        "variations": ["row_30", "row_45"],
                        "as_written": {"variation": "row_45", "load_kg": None},
                    },
                    {
                        "key": "b",
                        "movement": "squat",
                        "repetitions": 40,
                        "as_written": {"variation": "goblet_squat", "load_kg": 16},
                    },
                ],
                "rules": {
                    "order": "swap_on_break",
                    "break": {"counts": "set_ended_early", "penalty_s": 30, "penalty": "added"},
                    "end": {"kind": "work_done", "cap_s": 1500},
                    "scored": "time",
                    "tie_break": "fewest_breaks",
                },
                "aim": {
                    "conditions": [
                        {"kind": "first_set", "work": "a", "lower": 12, "upper": 20},
                        {"kind": "later_sets", "work": "a", "lower": 6, "upper": None},
                        {"kind": "time", "lower": 300, "upper": 1200},
                    ]
                },
            }
        ],
    }
