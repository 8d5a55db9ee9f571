"""Instances for the OpenAPI document; a test checks them against the schemas."""

from __future__ import annotations

from typing import Any

ID = "5b0c8a52-5d0c-4f0e-9d57-6f1f5f2f0a11"
OTHER_ID = "0f6f7a0c-3a60-4d1e-8f2b-2f6f0a7b9c22"
SHA256 = "9f2c6d1f0b7e4a35c8d2e1f4a6b7c8d9e0f1a2b3c4d5e6f708192a3b4c5d6e7f"

DRAFT: dict[str, Any] = {
    "title": "Rows and squats, fifty of each",
    "texts": {"why": "Pulling and legs that last.", "cautions": "Stop at sharp pain."},
    "quality": "local_muscular_endurance",
    "blocks": [
        {
            "key": "main",
            "work": [
                {
                    "key": "a",
                    "movement": "horizontal_row",
                    "repetitions": 50,
                    "variations": ["row_30", "row_45", "row_60"],
                    "as_written": {"variation": "row_45"},
                },
                {
                    "key": "b",
                    "movement": "squat",
                    "repetitions": 50,
                    "as_written": {"variation": "goblet_squat", "load_kg": 16},
                },
            ],
            "rules": {
                "order": "swap_on_break",
                "break": {"counts": "set_ended_early", "penalty_s": 20, "penalty": "added"},
                "end": {"kind": "work_done", "cap_s": 1200},
                "scored": "time",
                "tie_break": "fewest_breaks",
            },
            "aim": {
                "conditions": [
                    {"kind": "first_set", "work": "a", "lower": 12, "upper": 20},
                    {"kind": "later_sets", "work": "a", "lower": 6},
                    {"kind": "time", "lower": 240, "upper": 1000},
                ]
            },
        }
    ],
}

PRIOR = {
    "l10_per_body_mass": 0.4,
    "l10_sd": 0.45,
    "k": 0.024,
    "k_cv": 0.19,
    "asymptote_share": 0,
    "source": "estimate of the coaching team",
}
NEW_MOVEMENT = {
    "key": "floor_press",
    "name": "Floor press",
    "pattern": "horizontal_push",
    "capacity_kind": "load_repetition",
    "prior": PRIOR,
}
MOVEMENT = {**NEW_MOVEMENT, "id": ID, "version": 1, "curve_applies": True, "origin": ""}

VARIATION_DOCUMENT: dict[str, Any] = {
    "rung": 1,
    "body_mass_fraction": 0,
    "fraction_source": "external load alone",
    "standard": "Upper arms touch the floor, then elbows straight.",
    "adjustable": ["load"],
    "required": ["load"],
    "load_item": "dumbbell",
    "needs": ["dumbbell"],
    "hazards": ["shoulder"],
    "muscle_groups": {"chest": 1, "triceps": 0.9},
}
NEW_VARIATION = {
    "movement": ID,
    "key": "floor_press_dumbbells",
    "name": "Floor press with two dumbbells",
    "document": VARIATION_DOCUMENT,
}
VERSION = {
    "id": OTHER_ID,
    "number": 1,
    "document": {"key": "floor_press_dumbbells", "movement": "floor_press", **VARIATION_DOCUMENT},
    "sha256": SHA256,
    "created_at": "2030-03-04T08:00:00Z",
}
VARIATION = {
    "id": ID,
    "version": 1,
    "movement": OTHER_ID,
    "key": "floor_press_dumbbells",
    "name": "Floor press with two dumbbells",
    "present": VERSION,
}

KIT_ITEMS: dict[str, Any] = {
    "rings": {},
    "box": {"heights_cm": [30, 60]},
    "kettlebell": {"loads_kg": [8, 12, 16, 20, 24]},
    "band": {"assistances_kg": [7.5, 15]},
}
KIT = {
    "location": ID,
    "version": 1,
    "items": {**KIT_ITEMS, "rope": {}},
    "unknown_items": [{"item": "rope", "nearest": ["jump_rope", "climbing_rope"]}],
}

NEW_TEMPLATE = {"name": "Rows and squats", "draft": DRAFT}
TEMPLATE = {
    "id": ID,
    "version": 1,
    "name": "Rows and squats",
    "created_at": "2030-03-04T08:00:00Z",
    "archived_at": None,
    "copied_from": None,
    "copied_revision": None,
    "draft": DRAFT,
    "problems": [],
}
REVISION = {
    "id": OTHER_ID,
    "template": ID,
    "location": None,
    "number": 1,
    "title": "Rows and squats, fifty of each",
    "sha256": SHA256,
    "rules_version": 1,
    "published_by": ID,
    "created_at": "2030-03-04T08:00:00Z",
    "document": DRAFT,
}
NEW_SESSION = {"revision": OTHER_ID, "location": ID, "starts_at": "2030-03-07T18:00:00+00:00"}
SESSION = {
    "id": ID,
    "version": 1,
    "revision": OTHER_ID,
    "title": "Rows and squats, fifty of each",
    "is_local_version": False,
    "location": ID,
    "group": None,
    "starts_at": "2030-03-07T18:00:00Z",
    "zone": "Europe/Lisbon",
    "local_date": "2030-03-07",
    "cancelled_at": None,
    "prescriptions_from": "2030-02-28T18:00:00Z",
    "prescriptions_from_reason": None,
    "copied_from": None,
    "placed_by": ID,
}

DIFFERENCE = {
    "pointer": "/blocks/0/rules/end/cap_s",
    "pointer_before": "/blocks/0/rules/end/cap_s",
    "part": "rules",
    "sentence": "Block main: the time cap is now 1200 s, before 1500 s.",
}
DIFFERENCES = {"revision": OTHER_ID, "against": ID, "items": [DIFFERENCE]}

NEW_GROUP = {"name": "Early birds", "location": ID}
GROUP = {"id": OTHER_ID, "version": 1, **NEW_GROUP, "is_active": True, "created_at": "2030-03-04T08:00:00Z"}

NEW_LOCAL_VERSION = {
    "location": ID,
    "origin": OTHER_ID,
    "document": DRAFT,
    "reason": "No rings here: rows at the bar.",
}
LISTED_LOCAL_VERSION = {
    "id": ID,
    "location": ID,
    "template": ID,
    "number": 1,
    "revision": ID,
    "origin": OTHER_ID,
    "origin_number": 1,
    "reason": NEW_LOCAL_VERSION["reason"],
    "made_by": ID,
    "created_at": "2030-03-04T08:00:00Z",
    "is_in_use": True,
    "newest_origin": OTHER_ID,
    "newest_origin_number": 1,
    "origin_has_moved": False,
}
LOCAL_VERSION = {
    **LISTED_LOCAL_VERSION,
    "document": DRAFT,
    "own_changes": [DIFFERENCE],
    "origin_changes": [],
}

NEW_PLACEMENTS = {
    "revision": OTHER_ID,
    "places": [{"location": ID, "starts_at": "2030-03-07T18:00:00+00:00"}],
    "use_local_versions": True,
}
PLACEMENTS = {"items": [{"session": SESSION, "local_version": None, "origin_has_moved": None}]}

NEW_WEEK_COPY = {"from_week": "2030-03-25", "to_week": "2030-04-01", "location": ID, "dry_run": True}
WEEK_COPY = {
    "from_week": "2030-03-25",
    "to_week": "2030-04-01",
    "dry_run": True,
    "items": [
        {
            "from_session": ID,
            "session": None,
            "outcome": "made",
            "reason": None,
            "detail": None,
            "starts_at": "2030-04-04T17:00:00Z",
            "zone": "Europe/Lisbon",
            "local_date": "2030-04-04",
        }
    ],
}
