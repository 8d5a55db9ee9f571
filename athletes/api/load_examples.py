"""Bodies shown in the API document; a test compares each with its schema."""

from typing import Any

from athletes.calc.impulse import MEANING, SOURCE
from athletes.calc.load import EFFORT_QUESTION, EFFORT_WORDS
from athletes.load_told import METHOD
from athletes.load_what_if import METHOD as WHAT_IF_METHOD

_ATHLETE = "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11"
_PERSON = "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33"

TRAINING_LOG_INPUT: dict[str, Any] = {
    "modality": "running",
    "effort": 4,
    "minutes": 45,
    "started_at": "2030-01-12T07:10:00Z",
    "distance_m": 8200,
    "client_id": "phone-22c1-0003",
}
TRAINING_LOG: dict[str, Any] = {
    "id": "5b9be6f0-1c43-4c7e-9d5a-6a4f6f1b0c12",
    "version": 1,
    "athlete": _ATHLETE,
    "modality": "running",
    "effort": 4.0,
    "minutes": 45.0,
    "started_at": "2030-01-12T07:10:00Z",
    "zone": "Europe/Lisbon",
    "local_date": "2030-01-12",
    "distance_m": 8200.0,
    "mean_heart_rate": None,
    "highest_heart_rate": None,
    "note": "",
    "client_id": "phone-22c1-0003",
    "recorded_by": _PERSON,
}
REST_DAY_INPUT: dict[str, Any] = {"local_date": "2030-01-13"}
REST_DAY: dict[str, Any] = {
    "id": "1f0b8a52-8d15-4d0e-b6c1-8f6d2b1c3a77",
    "athlete": _ATHLETE,
    "local_date": "2030-01-13",
    "recorded_by": _PERSON,
}
LOAD_DAY: dict[str, Any] = {
    "local_date": "2030-01-12",
    "state": "reported",
    "load_au": 180.0,
    "load_au_reason": None,
    "minutes": 45.0,
    "sessions": 1,
    "sessions_without_load": 0,
    "by_modality": [{"modality": "running", "load_au": 180.0, "minutes": 45.0, "sessions": 1}],
    "heart_rate": {
        "load_au": None,
        "load_au_reason": "no_session_with_heart_rate",
        "reported_load_au": None,
        "reported_load_au_reason": "no_session_with_heart_rate",
        "sessions": 0,
        "basis": "mean_rate",
        "coefficients": "banister_1991_women",
        "above_maximal": False,
    },
    "method_version": 1,
}


def _told(value: float | None, reason: str | None = None) -> dict[str, Any]:
    return {"value": value, "value_reason": reason}


_SHORT = _told(None, "fewer_than_28_days")
_INPUTS = {"days": 14, "newest_day": "2030-01-13"}
SUMMARY: dict[str, Any] = {
    "athlete": _ATHLETE,
    "on": "2030-01-13",
    "week": {
        "reported_load_au": 1800.0,
        "reported_days": 7,
        "load_au": _told(1800.0),
        "daily_mean_au": _told(257.142857),
        "daily_sd_au": _told(237.2289),
        "monotony": _told(1.083944),
        "strain_au": _told(1951.0993),
        "basis": "daily",
        "ddof": 0,
    },
    "change": _told(0.2),
    "sums": [{"days": 7, "load_au": _told(1800.0), "reported_load_au": 1800.0, "reported_days": 7}],
    "means": {
        "acute": _told(257.142857),
        "chronic": _SHORT,
        "uncoupled_chronic": _SHORT,
        "weighted_acute": _told(251.6),
        "weighted_chronic": _SHORT,
        "seed": "first_known_day",
    },
    "ratio": None,
    "method": METHOD,
    "method_version": 1,
    "inputs": _INPUTS,
    "effort_question": EFFORT_QUESTION,
    "effort_words": list(EFFORT_WORDS),
}
GROUP: dict[str, Any] = {
    "on": "2030-01-13",
    "athletes": [
        {
            "athlete": _ATHLETE,
            "name": "Noor Castell",
            "week_load_au": _told(1800.0),
            "reported_days": 7,
            "monotony": _told(1.083944),
            "change": _told(0.2),
            "weighted_acute": _told(251.6),
            "weighted_chronic": _SHORT,
            "inputs": _INPUTS,
        }
    ],
    "told": 1,
    "median_week_load_au": _told(None, "fewer_than_5_athletes"),
    "basis": "daily",
    "ddof": 0,
    "method": METHOD,
    "method_version": 1,
}
WHAT_IF: dict[str, Any] = {
    "athlete": _ATHLETE,
    "days": [
        {
            "local_date": "2030-01-14",
            "is_planned": True,
            "load_au": 300.0,
            "fitness_au": 300.0,
            "fatigue_au": 300.0,
            "difference_au": -300.0,
        }
    ],
    "days_not_known": 1,
    "turning": {"neutral_days": 15.595812, "greatest_days": 40.314588},
    "constants": {
        "tau_fitness": 45.0,
        "tau_fatigue": 15.0,
        "k_fitness": 1.0,
        "k_fatigue": 2.0,
        "start": 0.0,
    },
    "convention": "inclusive",
    "meaning": MEANING,
    "published_in": SOURCE,
    "method": WHAT_IF_METHOD,
    "method_version": 1,
}
