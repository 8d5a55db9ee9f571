"""What logged sets tell about capacity, by the reason they ended."""

import datetime as dt
from uuid import UUID, uuid4

import pytest

from athletes.moments import Moment
from programming.calc.variation import Variation
from programming.plans import MovementEntry, VariationEntry
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged, observations_of

DAY = dt.date(2026, 4, 7)
EVENING = Moment(DAY, 18.25)
ROW, SQUAT = uuid4(), uuid4()


PLANK, BIKE = uuid4(), uuid4()


def amount(
    kind: str, unit: str, value: float, ended_by: str, duration_s: float | None = None, **entry
) -> Logged:
    """A hold (PLANK) or cyclical work (BIKE); the same version each time."""
    movement = PLANK if kind == "hold" else BIKE
    done = version(movement, movement, kind)
    return Logged(SetEntry("a", value, ended_by, duration_s=duration_s, unit=unit, **entry), done)


def version(movement: UUID, version_id: UUID, kind: str, *, curve: bool = True) -> VariationEntry:
    """One version of the only variation of a movement whose capacity is of the kind."""
    variation = Variation(key="v", movement="m", rung=1, body_mass_fraction=0.0, curve_applies=curve)
    of = MovementEntry(movement, "m", "Movement", "hinge", kind, None)
    return VariationEntry(version_id, version_id, 1, "Variation", "", of, variation)


def told(*sets: Logged) -> list[tuple]:
    return [
        (row.ordinal, row.kind, row.unit, row.amount, row.seconds) for row in observations_of(sets, EVENING)
    ]


def logged(
    movement: UUID, repetitions: int, ended_by: str, rir: int | None = None, curve: bool = True
) -> Logged:
    done = version(movement, uuid4(), "load_repetition", curve=curve)
    return Logged(SetEntry("a", repetitions, ended_by, rir=rir), done)


@pytest.mark.parametrize(
    ("repetitions", "ended_by", "rir", "kind"),
    [
        (14, "failure", None, "to_failure"),
        (0, "failure", None, "zero"),
        (14, "planned", 3, "rir"),
        (14, "planned", 0, "rir"),
        (14, "planned", None, "at_least"),
        (14, "no_rep", 2, "at_least_weak"),
        (14, "clock", None, "at_least_weak"),
        (14, "other", None, "at_least_weak"),
    ],
)
def test_the_reason_decides_what_a_fresh_set_tells(
    repetitions: int, ended_by: str, rir: int | None, kind: str
) -> None:
    """Only failure and reserve tell both sides; everything else is a lower bound."""
    (row,) = observations_of([logged(ROW, repetitions, ended_by, rir)], EVENING)
    assert (row.kind, row.repetitions, row.local_date) == (kind, float(repetitions), DAY)
    assert row.hour == 18.25
    assert row.rir == (float(rir) if kind == "rir" else None)


def test_later_sets_are_lower_bounds_and_only_when_they_say_more() -> None:
    """A tired athlete who fails at eight could do eight when fresh, and more than that is not known."""
    sets = [
        logged(ROW, 10, "planned"),
        logged(SQUAT, 20, "failure"),
        logged(ROW, 8, "failure"),
        logged(ROW, 13, "failure"),
    ]
    rows = observations_of(sets, EVENING)
    assert [(row.ordinal, row.movement_id, row.kind) for row in rows] == [
        (0, ROW, "at_least"),
        (1, SQUAT, "to_failure"),
        (3, ROW, "at_least"),
    ]


def test_a_movement_without_a_curve_tells_nothing() -> None:
    """Jumps and skills have no load-repetition curve."""
    assert observations_of([logged(ROW, 10, "failure", curve=False)], EVENING) == []


@pytest.mark.parametrize(
    ("ended_by", "kind"),
    [
        ("failure", "to_failure"),
        ("planned", "at_least"),
        ("no_rep", "at_least_weak"),
        ("clock", "at_least_weak"),
    ],
)
def test_a_fresh_hold(ended_by: str, kind: str) -> None:
    """By the reason it ended, as a set of repetitions; a reserve says nothing of seconds."""
    assert told(amount("hold", "hold_s", 45.0, ended_by, rir=2)) == [(0, kind, "hold_s", 45.0, None)]
    (row,) = observations_of([amount("hold", "hold_s", 45.0, ended_by)], EVENING)
    assert (row.repetitions, row.rir, row.movement_id) == (0.0, None, PLANK)


def test_a_set_that_pain_ended_is_no_reason_for_more() -> None:
    """It tells nothing, however much it was; and what follows it is not fresh all the same."""
    for hurt in (
        logged(ROW, 14, "pain", rir=5),
        amount("hold", "hold_s", 45.0, "pain"),
        amount("cyclical", "energy_kcal", 20.0, "pain", 50.0),
    ):
        assert observations_of([hurt], EVENING) == []
    assert observations_of([logged(ROW, 14, "pain"), logged(ROW, 12, "failure")], EVENING) == []
    later = observations_of([logged(ROW, 10, "pain"), logged(ROW, 12, "failure")], EVENING)
    assert [row.kind for row in later] == ["at_least"]


def test_later_holds_are_lower_bounds_and_only_when_they_say_more() -> None:
    """Tired and longer: at least that long."""
    sets = [amount("hold", "hold_s", seconds, "failure") for seconds in (40.0, 30.0, 55.0)]
    assert told(*sets) == [(0, "to_failure", "hold_s", 40.0, None), (2, "at_least", "hold_s", 55.0, None)]


def test_only_the_first_work_of_all_can_be_an_all_out_trial() -> None:
    """After anything else, or when it ended otherwise, the same work is a lower bound."""
    trial = amount("cyclical", "energy_kcal", 30.0, "failure", 95.0)
    before = logged(ROW, 10, "failure")

    assert told(trial) == [(0, "maximal", "energy_kcal", 30.0, 95.0)]
    assert told(before, trial)[1] == (1, "at_least", "energy_kcal", 30.0, 95.0)
    for ended_by, kind in (("planned", "at_least"), ("no_rep", "at_least_weak"), ("clock", "at_least_weak")):
        assert told(amount("cyclical", "distance_m", 500.0, ended_by, 120.0))[0][1] == kind


def test_a_trial_that_another_one_implies_tells_nothing_more() -> None:
    """At least as much in at most the time; less work, faster, is news; a weak one implies no sure one."""
    first = amount("cyclical", "energy_kcal", 15.0, "planned", 60.0)
    slower, faster = (amount("cyclical", "energy_kcal", 15.0, "planned", s) for s in (70.0, 50.0))
    weak = amount("cyclical", "energy_kcal", 20.0, "clock", 50.0)

    assert [row[0] for row in told(first, first, slower, faster)] == [0, 3]
    assert [row[0] for row in told(weak, first)] == [0, 1]
    other_unit = amount("cyclical", "distance_m", 10.0, "planned", 900.0)
    assert [row[0] for row in told(first, other_unit)] == [0, 1]


def test_what_cannot_be_counted_so_tells_nothing() -> None:
    """Work without its time, metres of a movement that is held, seconds of one with a curve, metres of a carry."""
    assert told(amount("cyclical", "energy_kcal", 15.0, "failure")) == []
    assert told(amount("cyclical", "energy_kcal", 0.0, "failure", 60.0)) == []
    assert told(amount("hold", "distance_m", 100.0, "failure", 60.0)) == []
    carry = Logged(
        SetEntry("a", 50.0, "failure", unit="distance_m", duration_s=40.0), logged(ROW, 1, "failure").done
    )
    assert observations_of([carry], EVENING) == []


LIFT = version(uuid4(), uuid4(), "load_repetition")


def lifted(
    *sets: tuple[float, int, str], rest_s: float | None = 240.0, attempt: bool = True
) -> list[tuple[int, str, float | None, float]]:
    """What sets (kg, repetitions, ended by) of one version tell: (ordinal, kind, kg, repetitions)."""
    logs = [
        Logged(
            SetEntry("a", done, ended, load_kg=kg, rest_before_s=rest_s), LIFT, rest_s if attempt else None
        )
        for kg, done, ended in sets
    ]
    return [(row.ordinal, row.kind, row.load_kg, row.repetitions) for row in observations_of(logs, EVENING)]


OPENER, SECOND, THIRD = (90.0, 1, "planned"), (97.5, 1, "planned"), (102.5, 0, "failure")


def test_rising_singles_tell_what_was_lifted_and_what_was_not() -> None:
    """Made, made, missed after full rests: the maximum lies between 97.5 and 102.5 kg."""
    assert lifted(OPENER, SECOND, THIRD) == [
        (0, "at_least", 90.0, 1.0), (1, "at_least", 97.5, 1.0), (2, "zero", 102.5, 0.0),
    ]  # fmt: skip
    assert lifted(OPENER, (97.5, 0, "failure"), (97.5, 0, "failure"), (100.0, 0, "failure")) == [
        (0, "at_least", 90.0, 1.0), (1, "zero", 97.5, 0.0),
    ]  # fmt: skip
    assert lifted((90.0, 3, "planned"), (95.0, 2, "failure"))[1] == (1, "to_failure", 95.0, 2.0)


def test_what_was_lifted_in_the_end_disproves_the_miss_before() -> None:
    """Missed, made with the same or with more: the lift failed, not the strength. A refused one proves nothing."""
    miss, made = (97.5, 0, "failure"), (97.5, 1, "planned")
    assert lifted(miss, made) == [(1, "at_least", 97.5, 1.0)]
    assert lifted(OPENER, miss, (100.0, 1, "planned")) == [
        (0, "at_least", 90.0, 1.0), (2, "at_least", 100.0, 1.0),
    ]  # fmt: skip
    assert lifted(miss, (97.5, 1, "no_rep"))[0] == (0, "zero", 97.5, 0.0)
    assert lifted((90.0, 2, "failure"), (90.0, 3, "planned"))[0] == (0, "at_least", 90.0, 2.0)


def test_a_tired_miss_tells_nothing() -> None:
    """After a short rest, after many repetitions, or in work that is no attempt."""
    first = (0, "at_least", 90.0, 1.0)
    assert lifted(OPENER, THIRD, rest_s=119.0) == [first]
    assert lifted(OPENER, THIRD, attempt=False) == [first]
    assert lifted((90.0, 4, "planned"), THIRD) == [(0, "at_least", 90.0, 4.0)]
    assert lifted(OPENER, (60.0, 0, "pain")) == [first]


def test_more_load_for_as_many_says_more() -> None:
    """Sets of three that rise, in any order of work; back-off sets say nothing new."""
    rising = lifted((80.0, 5, "planned"), (90.0, 3, "planned"), (80.0, 4, "planned"), attempt=False)
    assert rising == [(0, "at_least", 80.0, 5.0), (1, "at_least", 90.0, 3.0)]
    assert lifted(OPENER, (95.0, 1, "no_rep"))[1] == (1, "at_least_weak", 95.0, 1.0)
