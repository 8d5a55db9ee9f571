"""Bodies of the routes of safety shown in the API document; a test compares each with its schema."""

from typing import Any

from athletes.api.examples import ATHLETE
from athletes.guidance import question_set
from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES

PERSON = "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33"
CAUSE = "5a0a7f0e-6d3c-4b7e-9f51-2a4f8e0d9b10"
SESSION = "c3f8a7d1-0b5e-4f8e-8f1b-6f0a9d2c7e55"

SCREENING_INPUT: dict[str, Any] = {
    "question_set": 1,
    "answers": {question.key: False for question in question_set().questions},
    "used_to_vigorous_effort": True,
}
SCREENING: dict[str, Any] = {
    "id": CAUSE,
    "athlete": ATHLETE["id"],
    **SCREENING_INPUT,
    "answers_reason": None,
    "local_date": "2030-01-07",
    "expires_on": "2031-01-07",
    "voided_on": None,
    "client_id": None,
    "recorded_by": PERSON,
}
VOID: dict[str, Any] = {
    "id": "9d7e1f4c-8a3b-4c56-9a0e-3f1d2b5c7e88",
    "screening": CAUSE,
    "note": "New medicine since last week.",
    "local_date": "2030-03-02",
    "recorded_by": PERSON,
}
ABSENCE_INPUT: dict[str, Any] = {
    "from_date": "2030-02-01",
    "to_date": "2030-02-20",
    "kind": "returning",
    "note": "On a journey.",
}
ANSWER_INPUT: dict[str, Any] = {"trained": False, "to_date": "2030-02-20", "kind": "returning"}
ANSWER: dict[str, Any] = {
    "id": "0c9b8a7d-6e5f-4d3c-8b2a-1f0e9d8c7b66",
    "absence": CAUSE,
    "trained": False,
    "kind": "returning",
    "to_date": "2030-02-20",
    "what_was_done": "",
    "local_date": "2030-02-21",
    "answered_by": PERSON,
}
ABSENCE: dict[str, Any] = {
    "id": CAUSE,
    "athlete": ATHLETE["id"],
    "origin": "silence",
    "from_date": "2030-02-01",
    "to_date": "2030-02-20",
    "peak_volumes": [{"movement": "1f6d3a52-0f7b-4b3a-8a55-2f6b8f5f1a77", "repetitions": 120.0}],
    "answer": ANSWER,
    "client_id": None,
    "created_at": "2030-02-19T05:00:00Z",
}
REPORT_INPUT: dict[str, Any] = {
    "kind": "red_flag",
    "sign": "dark_urine",
    "happened_at": "2030-02-21T07:10:00Z",
    "note": "The morning after the swings.",
    "client_id": "phone-7-0021",
}
_REPORT: dict[str, Any] = {
    "id": CAUSE,
    "athlete": ATHLETE["id"],
    "athlete_name": ATHLETE["name"],
    "kind": "red_flag",
    "sign": "dark_urine",
    "site": "",
    "side": "",
    "severity": None,
    "session": None,
    "during": "",
    "note": "The morning after the swings.",
    "happened_at": "2030-02-21T07:10:00Z",
    "local_date": "2030-02-21",
    "taken_otherwise": [],
    "client_id": "phone-7-0021",
    "reported_by": PERSON,
    "recipient": {"membership": "2b7d9c1e-3f4a-4e5b-8c6d-7a8b9c0d1e22", "name": "Odile Brandt"},
    "acknowledged_at": None,
    "acknowledged_by": None,
    "acknowledgement": "",
    "proposed_limitation": None,
}
REPORT = _REPORT
HOLD: dict[str, Any] = {
    "code": "red_flag",
    "since": "2030-02-21",
    "released_by": RELEASED_BY["red_flag"],
    "safe_alternative": SAFE_ALTERNATIVES["red_flag"],
    "cause": CAUSE,
}
CREATED_REPORT: dict[str, Any] = {
    **_REPORT,
    "emergency": {"number": "the local emergency number", "text": "Stop now and do not go on today. …"},
    "advice": ["Urine as dark as cola, or a muscle that swells: stop at once and see a physician today. …"],
    "hold": HOLD,
}
SAFETY: dict[str, Any] = {
    "athlete": ATHLETE["id"],
    "on_date": "2030-02-21",
    "holds": [HOLD],
    "to_failure": True,
    "volume_share": 1.0,
    "returning_week": None,
    "volume_caps": [],
    "notes": [],
    "method": "return scheme 1",
}
HELD: dict[str, Any] = {
    "athlete": ATHLETE["id"],
    "name": ATHLETE["name"],
    "location": ATHLETE["location"],
    "holds": [HOLD],
}
STAFF_HOLD: dict[str, Any] = {
    "id": CAUSE,
    "athlete": ATHLETE["id"],
    "reason": "Fever yesterday.",
    "local_date": "2030-02-21",
    "client_id": None,
    "set_by": PERSON,
}
RELEASE_INPUT: dict[str, Any] = {
    "code": "red_flag",
    "cause": CAUSE,
    "reason": "Rested for two days; the blood was looked at and is as it should be.",
    "cleared_by": "Dr. Imre Aalto, her physician: may train again, easy for a week.",
}
RELEASE: dict[str, Any] = {
    "id": "7f6e5d4c-3b2a-4190-8f7e-6d5c4b3a2911",
    "athlete": ATHLETE["id"],
    **RELEASE_INPUT,
    "local_date": "2030-02-23",
    "released_by": PERSON,
    "created_at": "2030-02-23T09:00:00Z",
}
SETTINGS_INPUT: dict[str, Any] = {
    "location": ATHLETE["location"],
    "missing_screening_holds": True,
    "emergency_number": "112",
    "emergency_text": "Call 112; the defibrillator hangs beside the front door.",
}
SETTINGS: dict[str, Any] = {
    "location": ATHLETE["location"],
    "is_default": False,
    "missing_screening_holds": True,
    "emergency": {"number": "112", "text": "Call 112; the defibrillator hangs beside the front door."},
    "recipient": None,
}
