"""Profiles of sets, counted by hand."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.calc.energy import energy_kcal
from scoring.calc.profile import NEAR, Lengths, ProfiledSet, profile_of, quarrel

PRESS = ProfiledSet("a", 10.0, "repetitions", 25.0, 0.0, 2.0, "push", (("triceps", 0.5), ("chest", 1.0)))
ROW = ProfiledSet("r", 1000.0, "distance_m", 240.0, 60.0, None, "row", paced=True)


def sets(*amounts: float, reserve: float | None = 2.0) -> list[ProfiledSet]:
    return [
        replace(PRESS, amount=amount, seconds=2.0 * amount, rest_s=60.0, reserve=reserve)
        for amount in amounts
    ]


def test_what_is_counted_by_hand() -> None:
    """Sets of 5, 8 and 20 at 2 s a repetition and a minute between them, two left after each."""
    found = profile_of(sets(5, 8, 20))
    assert (found.sets, found.work_s, found.rest_s) == (3, 66.0, 120.0)
    assert found.density == pytest.approx(66 / 186)
    assert found.lengths == Lengths(1, 5.0, 1, 8.0, 1, 20.0)
    # With two left after a set, its last repetition alone had fewer than three left.
    assert (found.near_failure, found.reserve_known) == (3.0, 1.0)
    assert [(one.name, one.amount, one.unit) for one in found.patterns] == [("push", 33.0, "repetitions")]
    assert [(one.name, one.amount) for one in found.muscles] == [("chest", 33.0), ("triceps", 16.5)]
    assert found.trains == "local_muscular_endurance"
    assert found.share == pytest.approx(20 / 33)


@pytest.mark.parametrize(("amounts", "trains"), [
    # NSCA guidance, from memory: up to six repetitions strength, twelve and more endurance, between them growth.
    ((6, 6, 6), "maximal_strength"), ((7, 7), "strength_and_growth"), ((11, 11, 6), "strength_and_growth"),
    ((12, 12), "local_muscular_endurance"), ((5, 5, 4, 3), "maximal_strength"),
    # Common practice, no source: a first set of 20 to 30 keeps later sets near 10, which is endurance work; later
    # ones that only fatigue has made shorter train no strength.
    ((25, 11, 10, 10, 9), "local_muscular_endurance"), ((20, 6, 5, 4, 4), "local_muscular_endurance"),
])  # fmt: skip
def test_what_sets_of_a_length_train(amounts: tuple[int, ...], trains: str) -> None:
    assert profile_of(sets(*amounts)).trains == trains


def test_the_same_work_is_another_session_for_another_athlete() -> None:
    """Sixty repetitions: of twenty at a time endurance, of five at a time strength, and the label is wrong for it."""
    strong, weak = profile_of(sets(20, 20, 20)), profile_of(sets(*[5] * 12))
    assert not quarrel("local_muscular_endurance", strong)
    assert quarrel("local_muscular_endurance", weak)
    assert (quarrel("power", weak), quarrel("skill", weak)) == (False, None)


@pytest.mark.parametrize(("seconds", "trains"), [
    (90.0, "anaerobic_capacity"), (240.0, "aerobic_power"), (2400.0, "aerobic_endurance"),
])  # fmt: skip
def test_cyclical_work_is_told_by_how_long_it_lasts(seconds: float, trains: str) -> None:
    assert profile_of([replace(ROW, seconds=seconds)]).trains == trains


def test_sets_that_stop_far_short_tell_nothing() -> None:
    """Five of twenty-five that are possible are no strength work, for they are light; nor are they endurance."""
    early = profile_of(sets(5, 5, 5, reserve=20.0))
    assert (early.trains, early.trains_reason) == (None, "sets_stopped_early")
    assert profile_of(sets(5, 5, 5, reserve=3.0)).trains == "maximal_strength"
    assert profile_of(sets(5, 5, 5, reserve=None)).trains == "maximal_strength"


def test_rests_part_stretches() -> None:
    """Eight times half a minute with four minutes of rest is no half hour of endurance; four minutes with one between
    are one stretch of 24 (work is more than half of it): common practice, no source."""
    sprints = [replace(ROW, seconds=30.0, rest_s=240.0)] * 8
    repeats = [replace(ROW, seconds=240.0, rest_s=60.0)] * 5
    assert (profile_of(sprints).trains, profile_of(sprints).stretch_s) == ("anaerobic_capacity", 30.0)
    assert (profile_of(repeats).trains, profile_of(repeats).stretch_s) == ("aerobic_endurance", 1440.0)


def test_cyclical_work_without_a_time_tells_nothing() -> None:
    mixed = [replace(ROW, seconds=None), *sets(12, 12)]
    assert (profile_of(mixed).trains, profile_of(mixed).trains_reason) == (None, "durations_not_known")


def test_who_is_stopped_by_breathing_trains_the_engine() -> None:
    """Sets of fifteen, a second or two of rest between them: one stretch of some minutes."""
    quick = [replace(one, rest_s=2.0, seconds=60.0) for one in sets(15, 15, 15)]
    found = profile_of(quick, "breathing")
    assert (found.trains, found.share, found.stopped_by) == ("aerobic_power", None, "breathing")
    assert profile_of(sets(15, 15, 15), "local_muscle").trains == "local_muscular_endurance"


def test_what_is_not_known_is_not_guessed() -> None:
    unknown = [replace(one, seconds=None, reserve=None) for one in sets(10, 10)]
    found = profile_of(unknown)
    assert (found.work_s, found.density, found.near_failure, found.reserve_known) == (None, None, 0.0, 0.0)
    assert profile_of([*sets(10), *unknown]).reserve_known == pytest.approx(1 / 3)
    assert profile_of([]).trains_reason == "no_sets"
    hold = replace(PRESS, unit="hold_s", amount=30.0)
    assert profile_of([hold]).trains_reason == "no_sets_that_tell"
    assert profile_of([replace(ROW, seconds=None)]).trains is None
    every = [*sets(6), *(replace(one, work=key) for key, one in zip("bc", sets(9, 12), strict=True))]
    assert profile_of(every).trains_reason == "sets_of_every_length"


@pytest.mark.parametrize(("amount", "reserve", "near"), [
    (10, 0, 3), (10, 1, 2), (10, 3, 0), (10, 9, 0), (2, 0, 2), (10, 2.5, 0.5),
])  # fmt: skip
def test_repetitions_close_to_failure(amount: float, reserve: float, near: float) -> None:
    assert profile_of(sets(amount, reserve=reserve)).near_failure == near
    assert near <= NEAR


@settings(deadline=None)
@given(st.lists(st.integers(1, 40), min_size=1, max_size=12))
def test_every_repetition_is_counted_once(amounts: list[int]) -> None:
    found = profile_of(sets(*amounts))
    lengths = found.lengths
    assert lengths.short_sets + lengths.middle_sets + lengths.long_sets == len(amounts)
    assert lengths.repetitions == sum(amounts) == sum(one.amount for one in found.patterns)
    assert found.share is None or 0.5 < found.share <= 1.0


def test_energy_by_the_published_equivalents() -> None:
    """Compendium of Physical Activities 2011 (from memory): MET times kilograms times hours."""
    assert energy_kcal(600.0, 3000.0, 0.0, 80.0) == (280.0, 480.0)  # an hour of lifting: 3.5 and 6.0 MET
    assert energy_kcal(1800.0, 1800.0, 0.0, 80.0) == (340.0, 640.0)  # an hour of circuits: 344 and 640
    assert energy_kcal(1800.0, 0.0, 1.0, 80.0) == (
        190.0,
        480.0,
    )  # half an hour on the machine: 192 and 480
    assert energy_kcal(20.0, 0.0, 1.0, 80.0) == (0.0, 10.0)  # outwards: a range is never one number
    assert energy_kcal(0.0, 0.0, 0.0, 80.0) == (0.0, 0.0)
