"""Personal bests: examples by hand, and the definition written the slow way over random sets."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.bests import REPETITIONS, SECONDS, TIME, Best, Done, Way, personal_bests

PUSH = Way("push_up", None, "repetitions", REPETITIONS)
PULL = Way("pull_up", None, "repetitions", REPETITIONS)
ROW = Way("row", None, "metres", TIME)
PLANK = Way("plank", None, "seconds", SECONDS)


def told(bests: tuple[Best, ...]) -> list[tuple[int, float, float]]:
    return [(best.done.day, best.done.amount, best.done.against) for best in bests]


def test_the_most_at_each_load() -> None:
    """22 unloaded, 12 with 10 kg; 15 unloaded and 8 with 5 kg are bettered; assistance is less than no load."""
    done = [
        Done(PULL, 1, 15, 0.0),
        Done(PULL, 2, 8, 5.0),
        Done(PULL, 3, 22, 0.0),
        Done(PULL, 4, 12, 10.0),
        Done(PULL, 5, 30, -20.0),
    ]

    assert told(personal_bests(done)) == [(5, 30, -20.0), (3, 22, 0.0), (4, 12, 10.0)]


def test_what_a_best_bettered() -> None:
    """Of earlier days, at no less load: 15 on the first, not the 30 that were assisted nor what came later."""
    done = [Done(PULL, 1, 15, 0.0), Done(PULL, 2, 30, -20.0), Done(PULL, 3, 22, 0.0), Done(PULL, 4, 21, 0.0)]

    best = personal_bests(done)[1]

    assert (best.done.amount, best.before and best.before.amount) == (22, 15)
    assert personal_bests(done[1:2])[0].before is None


def test_time_over_an_amount() -> None:
    """2000 m in 460 s betters 1900 m in 465 s; 500 m in 95 s stands beside it."""
    done = [Done(ROW, 1, 1900, 465), Done(ROW, 2, 2000, 460), Done(ROW, 3, 500, 95), Done(ROW, 4, 500, 99)]

    bests = personal_bests(done)

    assert told(bests) == [(3, 500, 95), (2, 2000, 460)]
    assert bests[0].before is None or bests[0].before.day == 2
    assert bests[1].before is None


def test_ways_are_not_compared() -> None:
    """Nor is a hand height with another; what is equal counts once, the first time; nothing is no best."""
    high = Way("push_up", 60.0, "repetitions", REPETITIONS)
    done = [
        Done(PUSH, 3, 20, 0),
        Done(PUSH, 1, 20, 0),
        Done(high, 2, 35, 0),
        Done(PLANK, 2, 90, 0),
        Done(PULL, 1, 0, 5),
    ]

    assert told(personal_bests(done)) == [(2, 90, 0), (1, 20, 0), (2, 35, 0)]


@pytest.mark.parametrize("way", [PULL, ROW])
@given(rows=st.lists(st.tuples(st.integers(1, 9), st.integers(1, 6), st.integers(-2, 4)), max_size=25))
def test_against_the_definition(way: Way, rows: list[tuple[int, int, int]]) -> None:
    """A best is what no other set equals or betters in both respects, save an equal one that came no earlier."""
    done = [Done(way, day, float(amount), float(against + 3)) for day, amount, against in rows]
    sign = -1.0 if way.by == TIME else 1.0

    def better(one: Done, other: Done) -> bool:
        more, harder = one.amount - other.amount, sign * (one.against - other.against)
        return more >= 0 and harder >= 0 and (more > 0 or harder > 0 or one.day < other.day)

    expected = {(d.day, d.amount, d.against) for d in done if not any(better(other, d) for other in done)}

    assert set(told(personal_bests(done))) == expected
    assert len(personal_bests(done)) == len(expected)
