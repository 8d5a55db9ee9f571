"""What logged sets tell about capacity, by the reason they ended."""

import datetime as dt
from types import SimpleNamespace
from uuid import UUID, uuid4

import pytest

from scoring.calc.attempt import SetEntry
from scoring.observed import Logged, observations_of

DAY = dt.date(2026, 4, 7)
ROW, SQUAT = uuid4(), uuid4()


def logged(
    movement: UUID, repetitions: int, ended_by: str, rir: int | None = None, curve: bool = True
) -> Logged:
    done = SimpleNamespace(movement=SimpleNamespace(id=movement), version_id=uuid4(), curve_applies=curve)
    return Logged(SetEntry("a", repetitions, ended_by, rir=rir), done)


@pytest.mark.parametrize(
    ("repetitions", "ended_by", "rir", "kind"),
    [
        (14, "failure", None, "to_failure"),
        (0, "failure", None, "zero"),
        (14, "planned", 3, "rir"),
        (14, "planned", 0, "rir"),
        (14, "planned", None, "at_least"),
        (14, "pain", None, "at_least_weak"),
        (14, "no_rep", 2, "at_least_weak"),
        (14, "clock", None, "at_least_weak"),
        (14, "other", None, "at_least_weak"),
    ],
)
def test_the_reason_decides_what_a_fresh_set_tells(
    repetitions: int, ended_by: str, rir: int | None, kind: str
) -> None:
    """Only failure and reserve tell both sides; everything else is a lower bound."""
    (row,) = observations_of([logged(ROW, repetitions, ended_by, rir)], DAY)
    assert (row.kind, row.repetitions, row.local_date) == (kind, float(repetitions), DAY)
    assert row.rir == (float(rir) if kind == "rir" else None)


def test_later_sets_are_lower_bounds_and_only_when_they_say_more() -> None:
    """A tired athlete who fails at eight could do eight when fresh, and more than that is not known."""
    sets = [
        logged(ROW, 10, "planned"),
        logged(SQUAT, 20, "failure"),
        logged(ROW, 8, "failure"),
        logged(ROW, 13, "failure"),
    ]
    rows = observations_of(sets, DAY)
    assert [(row.ordinal, row.movement_id, row.kind) for row in rows] == [
        (0, ROW, "at_least"),
        (1, SQUAT, "to_failure"),
        (3, ROW, "at_least"),
    ]


def test_a_movement_without_a_curve_tells_nothing() -> None:
    """Jumps and skills have no load-repetition curve."""
    assert observations_of([logged(ROW, 10, "failure", curve=False)], DAY) == []
