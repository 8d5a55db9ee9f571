"""Attempts as a lifter says them."""

from __future__ import annotations

from typing import Any

from scoring.attempt_words import attempts_told
from scoring.names import Names

NAMES = Names(works={"lift": "Deadlift"}, implements={"pair": 2})


def attempt(number: int, kg: float, probability: float, **fields: Any) -> dict[str, Any]:
    made = {"work": "lift", "number": number, "variation": "bar", "load_kg": kg, "repetitions": 1}
    return {**made, "probability": probability, **fields}


def told(*attempts: dict[str, Any], prescribed: bool = True, reasons: list[str] | None = None) -> list[str]:
    content = {
        "attempts": list(attempts),
        "work": [{"work": "lift"}] if prescribed else [],
        "reasons": [{"code": code, "work": "lift"} for code in reasons or []],
    }
    return list(attempts_told(content, NAMES))


def test_loads_and_when_to_stop() -> None:
    """Prescribed ones as they are, others for a coach to confirm; what counts when a lift is missed."""
    both = attempt(1, 92.5, 1.0), attempt(2, 100.0, 0.55)
    loads, stop = told(*both)
    assert loads == (
        "Deadlift: attempt 1: 92.5 kg (made in 100 of 100 such days);"
        " attempt 2: 100 kg (made in 55 of 100 such days)."
    )
    assert "Stop after two misses" in stop
    assert told(*both, prescribed=False)[0].startswith(
        "Deadlift, for a coach to confirm: attempt 1: 92.5 kg ("
    )


def test_threes_pairs_and_light_ones() -> None:
    """Repetitions where there are several, a pair as it is set up, no maximum of who works up lightly."""
    assert "attempt 1: 2 × 32 kg × 3 (" in told(attempt(1, 64.0, 0.9, variation="pair", repetitions=3))[0]
    assert "no maximum yet" in told(attempt(1, 40.0, 0.95), reasons=["works_up_lightly"])[1]
    assert told() == []
    assert list(attempts_told({"work": [], "reasons": []}, NAMES)) == []  # of before there were any
