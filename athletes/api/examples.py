"""Bodies shown in the API document; a test compares each with its schema."""

from typing import Any

ATHLETE_INPUT: dict[str, Any] = {
    "name": "Noor Castell",
    "location": "7d2f6f9e-1d5d-4b55-8d2b-0b7a37f2b3b1",
    "trains_alone": False,
    "client_id": "roster-17",
}

ATHLETE: dict[str, Any] = {
    "id": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
    "version": 1,
    "name": "Noor Castell",
    "location": "7d2f6f9e-1d5d-4b55-8d2b-0b7a37f2b3b1",
    "person": None,
    "sex": "",
    "born_on": None,
    "zone": "Europe/Lisbon",
    "kit": None,
    "replaces_location_kit": False,
    "trains_alone": False,
    "is_active": True,
    "client_id": "roster-17",
    "created_at": "2030-01-07T08:12:00Z",
}

ATHLETE_DETAIL: dict[str, Any] = {**ATHLETE, "unknown_items": []}

BODY_MASS_INPUT: dict[str, Any] = {"body_mass_kg": 68.4, "measured_at": "2030-01-07T07:30:00Z"}

BODY_MASS: dict[str, Any] = {
    "id": "0d4d0b3e-34f1-4f56-9c4e-6cf7b4a6f6a2",
    "athlete": ATHLETE["id"],
    "body_mass_kg": 68.4,
    "measured_at": "2030-01-07T07:30:00Z",
    "zone": "Europe/Lisbon",
    "local_date": "2030-01-07",
    "client_id": None,
    "recorded_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
}

LIMITATION_INPUT: dict[str, Any] = {
    "hazard": "overhead",
    "from_date": "2030-01-10",
    "until_date": "2030-02-10",
    "note": "As agreed with the physiotherapist.",
}

LIMITATION: dict[str, Any] = {
    "id": "b0a3a1de-9e0e-4d0d-a0de-53a06c1d1b44",
    "version": 1,
    "athlete": ATHLETE["id"],
    **LIMITATION_INPUT,
    "set_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
}

ASSESSMENT_INPUT: dict[str, Any] = {
    "variation": "6a2c5c83-3a0a-46a0-9f0b-0c5f6a2f9d55",
    "kind": "to_failure",
    "repetitions": 23,
    "performed_at": "2030-01-08T18:05:00Z",
}

ASSESSMENT: dict[str, Any] = {
    "id": "e2f8f0a4-7f0b-4c67-b8a7-3f5c7f0d2e66",
    "athlete": ATHLETE["id"],
    "variation": ASSESSMENT_INPUT["variation"],
    "variation_key": "row_45",
    "variation_version": 1,
    "kind": "to_failure",
    "repetitions": 23,
    "hold_s": None,
    "distance_m": None,
    "energy_kcal": None,
    "elapsed_s": None,
    "load_kg": None,
    "assistance_kg": None,
    "height_cm": None,
    "rir": None,
    "ended_by": "failure",
    "performed_at": "2030-01-08T18:05:00Z",
    "zone": "Europe/Lisbon",
    "local_date": "2030-01-08",
    "replaces": None,
    "replaced_by": None,
    "reason": "",
    "client_id": None,
    "recorded_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
}

CAPACITY: dict[str, Any] = {
    "movement": "1f6d3a52-0f7b-4b3a-8a55-2f6b8f5f1a77",
    "movement_key": "horizontal_row",
    "variation": ASSESSMENT_INPUT["variation"],
    "variation_key": "row_45",
    "load_kg": None,
    "assistance_kg": None,
    "height_cm": None,
    "effective_kg": 37.6,
    "effective_kg_reason": None,
    "repetitions": {"mean": 23.4, "p10": 20.6, "p50": 23.4, "p90": 26.2},
    "repetitions_reason": None,
    "one_rm": {"effective_kg": 62.5, "lower_kg": 55.9, "upper_kg": 70.1},
    "one_rm_reason": None,
    "capacity_kind": "load_repetition",
    "hold": None,
    "hold_reason": "not_a_hold",
    "cyclical": None,
    "cyclical_reason": "not_cyclical",
    "method": "log-linear capacity filter 2.3",
    "prior_number": 1,
    "inputs": "5f0c9c2b7a4f8d1e6b3a9d7c5e2f1a0b5f0c9c2b7a4f8d1e6b3a9d7c5e2f1a0b",
    "observations": 1,
    "as_of": "2030-01-08",
    "computed_at": "2030-01-08T18:05:02Z",
    "test_due": False,
    "test_due_reason": None,
    "contradictory_tests": [],
    "notes": [],
}

CAPACITY_HISTORY: dict[str, Any] = {
    "movement": CAPACITY["movement"],
    "movement_key": "horizontal_row",
    "points": [
        {
            "local_date": "2030-01-08",
            "ten_repetition_kg": {"median": 51.2, "lower": 48.7, "upper": 53.8},
        }
    ],
    "points_reason": None,
    "method": CAPACITY["method"],
    "prior_number": 1,
    "inputs": CAPACITY["inputs"],
}

IMPORT_INPUT: dict[str, Any] = {
    "csv": "Athlete,Gym,Weight,Rows\nNoor Castell,Harbour,150.8,23\n",
    "columns": [
        {"column": "Athlete", "means": "name"},
        {"column": "Gym", "means": "location"},
        {"column": "Weight", "means": "body_mass_lb"},
        {"column": "Rows", "means": "to_failure:row_45"},
    ],
}

IMPORT: dict[str, Any] = {
    "dry_run": False,
    "created": 1,
    "duplicate": 0,
    "invalid": 0,
    "ignored_columns": [],
    "rows": [
        {
            "number": 1,
            "name": "Noor Castell",
            "outcome": "created",
            "athlete": ATHLETE["id"],
            "created": ["athlete", "body_mass", "assessment"],
            "problems": [],
        }
    ],
}
