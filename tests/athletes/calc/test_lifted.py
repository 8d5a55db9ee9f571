"""What was lifted of late: no number that is told lies below it, while the estimate stays what it is."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.capacity import (
    Absence,
    FallOff,
    Observation,
    Prior,
    carried,
    estimate_capacity,
    from_json,
    one_rm,
    published_prior,
    repetitions_at,
    to_json,
    told_one_rm,
    told_repetitions,
)
from athletes.calc.lifted import lifts_of
from tests.support.examples import examples

PRESS: Prior = published_prior(45.0, FallOff.BENCH_LIKE)
DAY = 100
RISING = [
    Observation(DAY, 90.0, 1.0, "at_least"),
    Observation(DAY, 97.5, 1.0, "at_least"),
    Observation(DAY, 102.5, 0.0, "zero"),
]

ON_A_GOOD_DAY = [
    Observation(DAY - 5, 70.0, 8.0, "to_failure"),
    Observation(DAY - 4, 80.0, 3.0, "to_failure"),
    Observation(DAY - 3, 85.0, 1.0, "to_failure"),
    Observation(DAY - 2, 85.0, 1.0, "to_failure"),
    Observation(DAY, 97.5, 1.0, "at_least"),
]
"""Tests that say a maximum of about 87 kg by the published equations; two days later it was 97.5."""


def test_a_heavy_single_is_the_least_that_is_told() -> None:
    """The estimate weighs both days, the number told is what was lifted."""
    capacity = estimate_capacity(PRESS, ON_A_GOOD_DAY, day=DAY)
    estimated, told = one_rm(capacity), told_one_rm(capacity, "")
    assert estimated.kg < 97.5  # else the test shows nothing
    assert (told.kg, told.lo_kg) == (97.5, estimated.lo_kg)
    assert told.hi_kg >= 97.5
    assert told_repetitions(capacity, 97.5, "").p50 >= 1.0 > repetitions_at(capacity, 97.5).p50
    assert told_repetitions(capacity, 102.5, "").p50 == repetitions_at(capacity, 102.5).p50


def test_a_miss_is_an_upper_bound() -> None:
    """Made and missed bring the maximum between them; without the miss it may lie anywhere above."""
    both = one_rm(estimate_capacity(PRESS, RISING, day=DAY))
    made = one_rm(estimate_capacity(PRESS, RISING[:2], day=DAY))
    assert both.kg < made.kg
    assert both.hi_kg < 110.0
    strong = published_prior(100.0, FallOff.BENCH_LIKE)  # once about 133 kg
    assert one_rm(estimate_capacity(strong, RISING, day=DAY)).kg < 115.0


def test_it_stands_for_four_weeks() -> None:
    """On the 28th day, not on the 29th; an absence of weeks takes its share before."""
    capacity = estimate_capacity(PRESS, ON_A_GOOD_DAY, day=DAY)
    assert told_one_rm(carried(capacity, DAY + 28), "").kg == 97.5
    late = carried(capacity, DAY + 29)
    assert told_one_rm(late, "") == one_rm(late)

    away = estimate_capacity(PRESS, ON_A_GOOD_DAY, day=DAY, absences=[Absence(DAY + 1, DAY + 27)])
    after = told_one_rm(carried(away, DAY + 28), "").kg
    assert one_rm(carried(away, DAY + 28)).kg <= after < 97.5


def test_less_on_a_later_day_ends_it() -> None:
    """A miss at 95 kg a week later: 97.5 kg are not told any more; one of the same day does not count."""
    later = [*RISING, Observation(DAY + 7, 95.0, 0.0, "zero")]
    assert [one.load_kg for one in lifts_of(later, DAY + 7)] == [90.0]
    assert lifts_of([*RISING, Observation(DAY, 95.0, 0.0, "zero")], DAY) != ()
    fewer = [Observation(DAY, 80.0, 5.0, "to_failure"), Observation(DAY + 7, 80.0, 3.0, "to_failure")]
    assert [one.repetitions for one in lifts_of(fewer, DAY + 7)] == [3.0]


@pytest.mark.parametrize(
    ("lifted", "later"),
    [
        (Observation(DAY, 100.0, 1.0, "at_least"), Observation(DAY + 12, 88.0, 1.0, "to_failure")),
        (Observation(DAY, 100.0, 1.0, "one_rm"), Observation(DAY + 12, 90.0, 1.0, "one_rm")),
        (Observation(DAY, 100.0, 8.0, "to_failure"), Observation(DAY + 12, 100.0, 1.0, "rir", rir=0.0)),
        (Observation(DAY, 100.0, 8.0, "at_least"), Observation(DAY + 12, 100.0, 1.0, "one_rm")),
    ],
    ids=["failed lighter", "maximum lower", "nothing in reserve", "maximum of what was done for eight"],
)
def test_a_later_test_that_shows_less_ends_it(lifted: Observation, later: Observation) -> None:
    """What is told is then the estimate, or the later lift, and lies in the interval of the estimate."""
    seen, day = [lifted, later], later.day
    assert [one.day for one in lifts_of(seen, day)] == [day]
    capacity = estimate_capacity(published_prior(90.0, FallOff.BENCH_LIKE), seen, day=day)
    estimated, told = one_rm(capacity), told_one_rm(capacity, "")
    assert (told.lo_kg, told.kg) == (estimated.lo_kg, max(estimated.kg, later.load_kg))
    assert told_repetitions(capacity, later.load_kg, "").p50 == max(
        repetitions_at(capacity, later.load_kg).p50 or 0.0, later.repetitions
    )


@pytest.mark.parametrize(
    "later",
    [
        Observation(DAY + 12, 100.0, 8.0, "to_failure"),  # as much again
        Observation(DAY + 12, 105.0, 4.0, "to_failure"),  # heavier
        Observation(DAY + 12, 95.0, 9.0, "to_failure"),  # more often
        Observation(DAY + 12, 100.0, 1.0, "rir", rir=1.0),  # something left
        Observation(DAY + 12, 100.0, 3.0, "at_least"),  # stopped as planned
        Observation(DAY + 12, 100.0, 1.0, "at_least_weak"),  # ended by pain, a judge or the clock
        Observation(DAY + 12, 90.0, 0.0, "zero", variation="incline"),
    ],
)
def test_a_later_day_that_shows_no_less_leaves_it(later: Observation) -> None:
    seen = [Observation(DAY, 100.0, 8.0, "to_failure"), later]
    assert any((one.load_kg, one.repetitions) == (100.0, 8.0) for one in lifts_of(seen, DAY + 12))


def test_what_counts_as_a_lift() -> None:
    """Of each variation by itself, not what pain or a judge ended, and none that another one implies."""
    seen = [
        Observation(DAY, 80.0, 5.0, "rir", rir=1.0, variation="flat"),
        Observation(DAY, 75.0, 5.0, "at_least", variation="flat"),
        Observation(DAY, 95.0, 1.0, "one_rm", variation="incline"),
        Observation(DAY, 120.0, 1.0, "at_least_weak", variation="flat"),
        Observation(DAY - 29, 130.0, 1.0, "at_least", variation="flat"),
    ]
    assert [(one.load_kg, one.repetitions, one.variation) for one in lifts_of(seen, DAY)] == [
        (80.0, 5.0, "flat"), (95.0, 1.0, "incline"),
    ]  # fmt: skip
    capacity = estimate_capacity(PRESS, seen[1:3], day=DAY)
    assert told_one_rm(capacity, "incline").kg >= 95.0
    assert told_one_rm(capacity, "flat") == one_rm(capacity)


def test_it_is_stored() -> None:
    """Bit for bit, and older rows are read as without lifts."""
    capacity = estimate_capacity(PRESS, RISING, day=DAY)
    document = json.loads(json.dumps(to_json(capacity)))
    assert from_json(document).lifts == capacity.lifts != ()
    del document["lifts"]
    assert from_json(document).lifts == ()
    for lift in ([DAY, 90.0, 1.0], [DAY, -1.0, 1.0, ""], [DAY, 90.0, "1", ""], [DAY, 90.0, 1.0, 2]):
        with pytest.raises(ValueError, match="lift"):
            from_json(document | {"lifts": [lift]})


@settings(deadline=None, max_examples=examples(16))
@given(
    st.lists(
        st.tuples(st.integers(0, 40), st.floats(20.0, 200.0), st.integers(1, 12)), min_size=1, max_size=6
    )
)
def test_nothing_is_told_below_a_lift(done: list[tuple[int, float, int]]) -> None:
    """Whatever was lifted on which day: told at least so, where it is told at all."""
    seen = [Observation(day, load, float(count), "at_least") for day, load, count in done]
    capacity = estimate_capacity(PRESS, seen, day=40)
    for day, load, count in done:
        if day >= 40 - 28:
            assert told_one_rm(capacity, "").kg >= load
            told = told_repetitions(capacity, load, "").p50
            assert told is None or told >= count
