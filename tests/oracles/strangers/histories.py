"""Twelve sessions of a stranger, of the mixed kinds that a coach's log has.

Whoever plans here knows the stranger about as well as a coach does: loads are parts of the true maximum, rounded to
what can be loaded, and counts are parts of what the ordinary day would give. The mixture is invented.
"""

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tests.oracles.strangers.movements import BENCH_PRESS, LAT_PULL, LEG_PRESS, SHOULDER_PRESS
from tests.oracles.strangers.performing import perform
from tests.oracles.strangers.plans import (
    Amount,
    Plan,
    Rounds,
    SessionLog,
    SetPlan,
    Straight,
    Swap,
    to_failure,
)
from tests.oracles.strangers.stranger import Form, Stranger

FIRST_DAY = datetime(2025, 1, 6, tzinfo=UTC)
DAYS = 70  # in which the sessions lie
STEP_KG = 2.5
LEAST_SHARE, MOST_SHARE = 0.55, 0.90
RESTS_S = (30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0)
BETWEEN_S = 180.0  # before another movement
TESTS, SEVERAL = 4, 2  # sessions of twelve that test to failure, and by amounts of several movements
HARD = 0.25  # of the sets stopped as planned, those that ask for about all there is

#: The movements that a session by amounts pairs.
PAIRS = (
    (BENCH_PRESS, LAT_PULL),
    (LEG_PRESS, SHOULDER_PRESS),
    (LEG_PRESS, LAT_PULL),
    (BENCH_PRESS, LEG_PRESS),
)
STAPLES = (BENCH_PRESS, LEG_PRESS, LAT_PULL, SHOULDER_PRESS)


@dataclass(frozen=True)
class Session:
    """A session done: when it began, its kind (`test`, `sets`, `swap`, `rounds`), what was written, what came, and
    the form of the day, which nobody but a test may look at."""

    began: datetime
    kind: str
    plan: Plan
    log: SessionLog
    form: Form


def history(rng, stranger: Stranger, sessions: int = 12, first_day: datetime = FIRST_DAY) -> list[Session]:
    """Sessions in order of time. The first is a test of two movements, so that nobody begins unknown."""
    began = _beginnings(rng, sessions, first_day)
    forms = stranger.noise.forms(rng, [(one - began[0]) / timedelta(days=1) for one in began])
    result = []
    for one, kind, form in zip(began, _kinds(rng, sessions), forms, strict=True):
        plan = _PLANS[kind](rng, stranger)
        result.append(Session(one, kind, plan, perform(rng, stranger, plan, form), form))
    return result


def _beginnings(rng, sessions, first_day):
    """Days evenly apart but for a day or two, each about the person's usual hour."""
    gap = DAYS / max(sessions, 1)
    usual = rng.choice((7.0, 12.0, 18.0))
    shifts, hours = (
        rng.uniform(-0.3, 0.3, sessions).tolist(),
        (usual + rng.normal(0.0, 0.7, sessions)).tolist(),
    )
    return [
        first_day
        + timedelta(days=math.floor((i + shifts[i]) * gap) if i else 0, minutes=round(60 * hours[i]))
        for i in range(sessions)
    ]


def _kinds(rng, sessions):
    tests, several = (max(1, round(sessions * part / 12)) for part in (TESTS, SEVERAL))
    rest = ["test"] * (tests - 1) + [str(rng.choice(("swap", "rounds"))) for _ in range(several)]
    rest += ["sets"] * max(0, sessions - 1 - len(rest))
    order = rng.permutation(len(rest)).tolist()
    return (["test"] + [rest[i] for i in order])[:sessions]


def load_kg(stranger, movement, share):
    """A load near `share` of the maximum that can be put together and stays within the shares of a history."""
    maximum = stranger.maximum_kg[movement]
    least, most = math.ceil(LEAST_SHARE * maximum / STEP_KG), math.floor(MOST_SHARE * maximum / STEP_KG)
    return STEP_KG * min(max(round(share * maximum / STEP_KG), least), most)


def _chosen(rng, stranger, low, high):
    """A movement and a load."""
    movement = STAPLES[int(rng.integers(len(STAPLES)))]
    return movement, load_kg(stranger, movement, rng.uniform(low, high))


def _rest(rng):
    return RESTS_S[int(rng.integers(len(RESTS_S)))]


def _test(rng, stranger):
    """One to three sets of one movement to failure, then one of another."""
    movement, kg = _chosen(rng, stranger, LEAST_SHARE, MOST_SHARE)
    sets = to_failure(movement, kg, [_rest(rng)] * int(rng.integers(3))).sets
    other = STAPLES[(STAPLES.index(movement) + 1 + int(rng.integers(3))) % len(STAPLES)]
    last = SetPlan(other, load_kg(stranger, other, rng.uniform(LEAST_SHARE, MOST_SHARE)), None, BETWEEN_S)
    return Straight((*sets, last))


def _sets(rng, stranger):
    """Three to five sets stopped with something in hand, or hardly anything; at times the last to failure."""
    movement, kg = _chosen(rng, stranger, LEAST_SHARE, 0.85)
    fresh = stranger.fresh_count(movement, kg, Form())
    part = rng.uniform(0.85, 1.0) if rng.random() < HARD else rng.uniform(0.4, 0.75)
    count, rest = max(1, round(part * fresh)), _rest(rng)
    sets = [SetPlan(movement, kg, count, rest if i else 0.0) for i in range(int(rng.integers(3, 6)))]
    if rng.random() < 0.3:
        sets[-1] = SetPlan(movement, kg, None, rest)
    return Straight(tuple(sets))


def _amount(rng, stranger, movement, times, part):
    """`times` the fresh count of a load, in sets of at most `part` of it."""
    kg = load_kg(stranger, movement, rng.uniform(LEAST_SHARE, 0.75))
    fresh = stranger.fresh_count(movement, kg, Form())
    largest = max(1, round(part * fresh)) if part < 1.0 else None
    return Amount(movement, kg, max(2, round(times * fresh)), largest)


def _pair(rng, stranger, times):
    part = rng.uniform(0.5, 1.2)  # beyond 1: to failure
    return tuple(_amount(rng, stranger, one, times, part) for one in PAIRS[int(rng.integers(len(PAIRS)))])


def _swap(rng, stranger):
    return Swap(_pair(rng, stranger, rng.uniform(2.0, 3.5)), rest_s=float(rng.choice((15.0, 30.0, 60.0))))


def _rounds(rng, stranger):
    return Rounds(int(rng.integers(3, 6)), _pair(rng, stranger, rng.uniform(0.4, 0.7)), rest_s=30.0)


_PLANS = {"test": _test, "sets": _sets, "swap": _swap, "rounds": _rounds}
