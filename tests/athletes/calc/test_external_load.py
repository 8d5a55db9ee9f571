"""Kilograms, hard sets, metres and minutes: hand-checkable sums, and what splitting a set changes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.external_load import DoneSet, MuscleSets, done_of
from athletes.calc.load import Figure
from programming.calc.load import effective_load
from tests.references.load import VOLUME_LOADS

LEGS = (("quadriceps", 1.0), ("glutes", 0.8), ("hamstrings", 0.3), ("upper_back", 0.2))


@pytest.mark.parametrize(("sets", "repetitions", "mass", "fraction", "external", "expected"), VOLUME_LOADS)
def test_volume_load(sets, repetitions, mass, fraction, external, expected):
    moved = effective_load(fraction=fraction, body_mass_kg=mass, external_kg=external)
    told = done_of([DoneSet("any", repetitions, moved)] * sets).volume
    assert told.volume_load_kg.value == pytest.approx(expected)
    assert (told.sets, told.repetitions) == (sets, sets * repetitions)


@given(st.integers(2, 40), st.integers(1, 39), st.floats(1.0, 300.0))
def test_splitting_a_set_moves_as_much_in_more_sets(repetitions, first, moved):
    first = min(first, repetitions - 1)
    whole = done_of([DoneSet("any", repetitions, moved)])
    split = done_of([DoneSet("any", first, moved), DoneSet("any", repetitions - first, moved)])
    assert split.volume.volume_load_kg.value == pytest.approx(whole.volume.volume_load_kg.value)
    assert (whole.volume.sets, split.volume.sets) == (1, 2)


def test_a_load_that_nobody_knows_is_a_set_and_no_kilograms():
    known, unknown = DoneSet("any", 10.0, 60.0), DoneSet("any", 10.0, None)
    told = done_of([known, unknown]).volume
    assert (told.volume_load_kg, told.sets, told.sets_without_load) == (Figure(600.0), 2, 1)
    assert done_of([unknown]).volume.volume_load_kg == Figure(None, "load_not_known")
    assert done_of([]).volume.volume_load_kg == Figure(None, "no_sets")


def test_hard_sets_are_counted_three_ways():
    """By the weights of the muscle groups: most of the work, some of it, holding still."""
    hard = DoneSet("squat", 8.0, 100.0, reserve=2.0, muscles=LEGS)
    failed = DoneSet("squat", 8.0, 100.0, failed=True, muscles=LEGS)
    told = done_of([hard, failed]).hard_sets
    assert told == {
        "glutes": MuscleSets(2.0, 2.0, 2.0),
        "hamstrings": MuscleSets(0.0, 1.0, 2.0),
        "quadriceps": MuscleSets(2.0, 2.0, 2.0),
    }


@pytest.mark.parametrize(
    "easy",
    [
        {"reserve": 4.0},
        {"reserve": None},
        {"reserve": 0.0, "warm_up": True},
        {"reserve": 0.0, "repetitions": None, "seconds": 60.0},
    ],
)
def test_what_is_no_hard_set(easy):
    told = done_of([DoneSet(**{"movement": "squat", "repetitions": 8.0, "muscles": LEGS, **easy})])
    assert told.hard_sets == {}


def test_kinds_are_never_added():
    """Each by itself: no field of the answer holds two of them."""
    told = done_of(
        [
            DoneSet("press", 10.0, 50.0, seconds=30.0),
            DoneSet("run", metres=400.0, seconds=90.0),
            DoneSet("row", metres=500.0, seconds=120.0),
            DoneSet("ride", kilocalories=20.0),
        ]
    )
    assert told.volume.volume_load_kg == Figure(500.0) and told.minutes == pytest.approx(4.0)
    assert told.metres == {"run": 400.0, "row": 500.0} and told.kilocalories == {"ride": 20.0}


@pytest.mark.parametrize("name", ["repetitions", "moved_kg", "metres", "seconds", "kilocalories"])
@pytest.mark.parametrize("amount", [-1.0, float("nan"), float("inf")])
def test_impossible_amounts_are_refused(name, amount):
    with pytest.raises(ValueError, match="finite"):
        done_of([DoneSet("any", **{name: amount})])
