"""Examples of the OpenAPI document; a test checks them against the schemas."""

from programming.api.examples import DRAFT

_SESSION = "3f5a2f7c-6a57-4b5e-9f0a-1f8f4f1f2a01"
_ATHLETE = "8a1f0f52-0c6b-4c9b-8f63-5b1e5a9d7c02"
_PRESCRIPTION = "c7f5f0a4-5a0e-4b0f-9a38-7b0e6d0b1d03"
_SETS = [
    {
        "work": "a",
        "variation": "row_45",
        "repetitions": 16,
        "rest_before_s": 0,
        "rir": 2,
        "ended_by": "planned",
    },
    {"work": "b", "variation": "goblet_squat", "load_kg": 16, "repetitions": 20, "ended_by": "planned"},
]
ATTEMPT_INPUT = {
    "session": _SESSION,
    "athlete": _ATHLETE,
    "prescription": _PRESCRIPTION,
    "performed_at": "2026-05-04T18:42:00+01:00",
    "client_id": "phone-1f6c-0007",
    "effort": 8,
    "minutes": 55,
    "note": "The last set was a fight.",
    "set_log": {"sets": _SETS, "elapsed_s": 842.0},
}
CORRECTION_INPUT = {
    "performed_at": "2026-05-04T18:42:00+01:00",
    "reason": "The clock was read a minute too early.",
    "totals": {
        "elapsed_s": 902.0,
        "breaks": 6,
        "work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 60}],
    },
}
ATTEMPT = {
    "id": "5c6d3a52-2c39-4b07-9df5-6a0c5e7f8a04",
    "session": _SESSION,
    "athlete": _ATHLETE,
    "prescription": _PRESCRIPTION,
    "kind": "set_log",
    "performed_at": "2026-05-04T17:42:00Z",
    "zone": "Europe/Lisbon",
    "local_date": "2026-05-04",
    "client_id": "phone-1f6c-0007",
    "note": "The last set was a fight.",
    "effort": 8.0,
    "minutes": 55.0,
    "replaces": None,
    "replaced_by": None,
    "reason": "",
    "received_at": "2026-05-04T17:45:10.120000Z",
    "follows": "Stored as sent, and scored within moments. Whether it counts, or waits for somebody to look at it,"
    " says `review` of the result: GET …/attempts/5c6d3a52-2c39-4b07-9df5-6a0c5e7f8a04.",
}
CHECK_SET_INPUT = {
    "work": "a",
    "repetitions": 8,
    "rir": 4,
    "ended_by": "planned",
    "client_id": "phone-1f6c-0008",
}
DAY_CHANGE_INPUT = {
    "athlete": _ATHLETE,
    "kind": "sore",
    "hazards": ["shoulder"],
    "muscle_groups": [],
    "note": "Slept on it badly.",
}
REACH_INPUT = {"document": DRAFT, "location": "2b1c0c1e-7d40-4f5e-8a55-6c3a3f0b9e05", "with_athletes": True}
WHAT_IF_INPUT = {
    "work": [{"work": "b", "variation": "goblet_squat", "load_kg": 12, "repetitions": 60}],
    "pacing": [{"block": "main", "share": 0.6, "rest_s": 45}],
}
OVERRIDE_INPUT = {
    "work": [{"work": "b", "variation": "goblet_squat", "load_kg": 12, "repetitions": 60}],
    "reason": "Deadlifts were heavy yesterday; she asked for less.",
    "acknowledged": [],
}
