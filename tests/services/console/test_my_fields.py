"""What people type: numbers, times of a clock, pounds."""

from __future__ import annotations

from typing import Any

import pytest

from services.console.my_body import Body
from services.console.my_fields import Weights, number, seconds


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12),
        (" 7.5 ", 7.5),
        ("7,5", 7.5),
        ("twelve", "twelve"),
        ("inf", "inf"),
        ("nan", "nan"),
        ("1e400", "1e400"),
    ],
)
def test_a_number_is_read_as_it_is_typed(text: str, value: Any) -> None:
    """A comma is a point; what is no number is handed on, for the interface to say so."""
    read = number(text)
    assert (read, type(read)) == (value, type(value))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12:30", 750),
        ("1:02:05", 3725),
        ("90", 90),
        ("0:59.5", 59.5),
        ("12:75", "12:75"),
        ("::", "::"),
        ("soon", "soon"),
    ],
)
def test_a_time_is_read_as_a_clock_shows_it(text: str, value: Any) -> None:
    """Minutes and seconds, hours before them, or seconds alone."""
    assert seconds(text) == value


@pytest.mark.parametrize(
    ("typed", "meant", "kg"),
    [
        # 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959): 45 lb = 20.41 kg.
        ("45", "", 20.41),
        ("35.3", "16", 16),
        ("35,3", "16", 16),
        ("35.4", "16", 16.06),
        ("heavy", "16", "heavy"),
    ],
)
def test_pounds_become_kilograms(typed: str, meant: str, kg: Any) -> None:
    """What stands there as it was filled in is exactly what was meant."""
    assert Weights("lb").read(typed, meant) == kg


def test_a_line_tells_both_where_pounds_are_read() -> None:
    """The kit is marked in kilograms; 16 kg are 35.27 lb, 22.5 kg 49.60 lb."""
    assert Weights("lb").said("2 × 16 kg, then 22.5 kg.") == "2 × 16 kg (35.3 lb), then 22.5 kg (49.6 lb)."
    assert Weights("kg").said("16 kg") == "16 kg"


def test_a_complaint_finds_its_field_or_the_next_above() -> None:
    """By pointer; what belongs to no field stands under none."""
    body = Body(places={"#/set_log/sets/0": "0-0-amount", "#/set_log/sets/0/rir": "0-0-reserve"})
    told = [
        {"pointer": "#/set_log/sets/0/rir", "detail": "Too many."},
        {"pointer": "#/set_log/sets/0/repetitions", "detail": "Missing."},
        {"pointer": "#/session", "detail": "Unknown."},
    ]
    assert body.errors({"errors": told}) == {
        "0-0-reserve": "Too many.",
        "0-0-amount": "Missing.",
        "": "Unknown.",
    }
