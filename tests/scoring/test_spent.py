"""Which later sets that failed tell of the fresh athlete, and how much was spent before them."""

import datetime as dt
from dataclasses import replace
from uuid import uuid4

import pytest

from athletes.moments import Moment
from programming.calc.variation import Variation
from programming.plans import MovementEntry, VariationEntry
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged, observations_of
from scoring.spent import spent_before_failures

EVENING = Moment(dt.date(2026, 4, 7), 18.25)


def version(
    movement: str, groups: tuple[tuple[str, float], ...], kind: str = "load_repetition"
) -> VariationEntry:
    variation = Variation(
        key=movement, movement=movement, rung=1, body_mass_fraction=0.0, curve_applies=True,
        muscle_groups=groups,
    )  # fmt: skip
    of = MovementEntry(uuid4(), movement, movement, "hinge", kind, None)
    return VariationEntry(uuid4(), uuid4(), 1, movement, "", of, variation)


ROW = version("row", (("back", 1.0), ("arms", 0.5)))
SQUAT = version("squat", (("legs", 1.0),))
CURL = version("curl", (("arms", 1.0),))
NOBODY_KNOWS = version("hop", ())
BIKE = version("bike", (("legs", 1.0),), "cyclical")


def done(
    of: VariationEntry, repetitions: float, ended: str = "planned", rest_s: float | None = 90.0, **more
) -> Logged:
    entry = SetEntry(
        "a", repetitions, ended, rest_before_s=rest_s, duration_s=20.0, **({"load_kg": 50.0} | more)
    )
    return Logged(entry, of)


PLANNED = [done(ROW, 10.0, rest_s=None), done(ROW, 10.0)]
FAILED = done(ROW, 7.0, "failure")


def kinds(sets: list[Logged]) -> list[tuple[int, str, bool]]:
    """(number, kind, whether something was spent) of each row."""
    return [(row.ordinal, row.kind, row.spent_usual is not None) for row in observations_of(sets, EVENING)]


def test_the_first_failure_after_planned_sets_tells_both_sides() -> None:
    """With more spent the more quickly somebody tires; later failures of the day tell nothing more."""
    rows = observations_of([*PLANNED, FAILED, done(ROW, 5.0, "failure")], EVENING)
    assert [(row.ordinal, row.kind, row.repetitions) for row in rows] == [
        (0, "at_least", 10.0), (2, "to_failure", 7.0),
    ]  # fmt: skip
    assert rows[0].spent_usual is None
    assert rows[1].spent_least is not None
    assert rows[1].spent_usual is not None
    assert rows[1].spent_most is not None
    assert 0.0 < rows[1].spent_least < rows[1].spent_usual < rows[1].spent_most < 20.0
    assert observations_of([*PLANNED, FAILED], EVENING) == observations_of([*PLANNED, FAILED], EVENING)


def test_longer_rests_leave_less_of_it() -> None:
    usual = [
        observations_of([PLANNED[0], done(ROW, 7.0, "failure", rest)], EVENING)[1].spent_usual
        for rest in (60.0, 120.0, 600.0)
    ]
    assert usual[0] > usual[1] > usual[2] > 0.0


@pytest.mark.parametrize(
    "sets",
    [
        pytest.param([done(ROW, 10.0, "failure", None), FAILED], id="fresh failure before"),
        pytest.param([*PLANNED, done(ROW, 7.0, "failure", None)], id="rest missing"),
        pytest.param([*PLANNED, done(SQUAT, 9.0, rest_s=None), FAILED], id="rest missing between"),
        pytest.param([*PLANNED, done(ROW, 7.0, "failure", 59.0)], id="short rest"),
        pytest.param([*PLANNED, done(ROW, 10.0, rest_s=30.0), FAILED], id="short rest before"),
        pytest.param([*PLANNED, done(ROW, 7.0, "failure", load_kg=55.0)], id="other load"),
        pytest.param([done(ROW, 9.0, load_kg=40.0, rest_s=None), *PLANNED, FAILED], id="other load before"),
        pytest.param([done(CURL, 9.0, rest_s=None), *PLANNED[1:], FAILED], id="shared muscles before"),
        pytest.param([done(NOBODY_KNOWS, 9.0, rest_s=None), *PLANNED[1:], FAILED], id="muscles not known"),
        pytest.param([done(BIKE, 9.0, rest_s=None), *PLANNED[1:], FAILED], id="cyclical before"),
        pytest.param([*PLANNED, done(SQUAT, 5.0, "pain"), FAILED], id="after pain"),
        pytest.param([*PLANNED, done(ROW, 7.0, "pain")], id="pain"),
        pytest.param([*PLANNED, done(ROW, 7.0, "clock")], id="clock"),
        pytest.param([*PLANNED, done(ROW, 7.0)], id="planned"),
        pytest.param([*PLANNED, done(ROW, 0.0, "failure")], id="not one"),
        pytest.param([*PLANNED, replace(FAILED, attempt_rest_s=90.0)], id="attempt"),
    ],
)
def test_where_it_is_not_known_it_tells_what_was_done_and_no_more(sets: list[Logged]) -> None:
    assert not any(spent for _, _, spent in kinds(sets))


def test_other_muscles_between_are_rest() -> None:
    """A squat in the rests is time; of what it took itself the row tells nothing."""
    between = [PLANNED[0], done(SQUAT, 9.0, rest_s=40.0), done(ROW, 7.0, "failure", 40.0)]
    alone = [PLANNED[0], done(ROW, 7.0, "failure", 100.0)]
    spent = [observations_of(sets, EVENING)[-1].spent_usual for sets in (between, alone)]
    assert kinds(between) == [(0, "at_least", False), (1, "at_least", False), (2, "to_failure", True)]
    assert spent[0] == pytest.approx(spent[1])


def test_a_longer_failure_late_is_no_mere_bound() -> None:
    """Twelve to failure after tens: it was a bound before, and tells both sides now."""
    assert kinds([*PLANNED, done(ROW, 12.0, "failure")])[1:] == [(2, "to_failure", True)]


def spent_in(sets: list[Logged]) -> list[int]:
    """The places of sets of which it is known what was spent before them."""
    return list(spent_before_failures([(one.entry, one.done) for one in sets]))


def test_of_what_has_no_curve_nothing_is_known() -> None:
    """The same three sets, once of work whose load tells nothing of its repetitions."""
    curved = replace(ROW, variation=replace(ROW.variation, curve_applies=False))
    assert spent_in([*PLANNED, FAILED]) == [2]
    assert spent_in([replace(one, done=curved) for one in (*PLANNED, FAILED)]) == []


@pytest.mark.parametrize("changed", [{"assistance_kg": 8.0}, {"height_cm": 30.0}, {"unit": "hold_s"}])
def test_the_same_work_is_that_under_the_same_load(changed: dict[str, object]) -> None:
    """Another help, another height, or another unit is other work of the same muscles."""
    assert spent_in([PLANNED[0], done(ROW, 10.0, **changed), FAILED]) == []


@pytest.mark.parametrize(("before", "places"), [(50, [50]), (51, [])])
def test_of_more_than_fifty_sets_before_nothing_is_said(before: int, places: list[int]) -> None:
    assert spent_in([*[done(ROW, 3.0)] * before, FAILED]) == places
