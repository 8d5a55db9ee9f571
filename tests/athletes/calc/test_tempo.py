"""How quickly somebody works: against conditioning a joint normal (numpy), and properties."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.tempo import (
    DAY_SD,
    LEAST_UNITS,
    MEAN_STEP,
    MOVEMENT_SD,
    NOTHING_TIMED,
    PERSON_SD,
    SET_SD,
    UNKNOWN,
    TimedSet,
    learn,
)

SETS = st.lists(
    st.builds(
        TimedSet,
        st.sampled_from("abc"),
        st.integers(0, 3),
        st.floats(LEAST_UNITS, 30.0),
        st.floats(20.0, 60.0),
        st.floats(2.0, 4.0),
    ),
    min_size=1, max_size=12,
)  # fmt: skip


def conditioned(sets: list[TimedSet], movement: str) -> tuple[float, float]:
    """Mean and SD of a set to come, without its own error, from the covariances of all sets."""
    many = [*sets, TimedSet(movement, -1, 10.0, 20.0, 2.0)]

    def cov(i: int, j: int) -> float:
        one, other = many[i], many[j]
        shared = PERSON_SD**2 + MOVEMENT_SD**2 * (one.movement == other.movement)
        own = SET_SD**2 * (i == j and i < len(sets))
        return shared + DAY_SD**2 * (one.day == other.day) + own

    all_ = np.array([[cov(i, j) for j in range(len(many))] for i in range(len(many))])
    y = np.array([np.log(one.seconds / (one.amount * one.usual_s)) for one in sets])
    gain = np.linalg.solve(all_[:-1, :-1], all_[:-1, -1])
    return float(gain @ y), float(np.sqrt(all_[-1, -1] - gain @ all_[:-1, -1]))


@given(SETS)
def test_it_is_a_joint_normal_conditioned(sets: list[TimedSet]) -> None:
    used = [one for one in sets if abs(np.log(one.seconds / (one.amount * one.usual_s))) <= 1.5]
    found, other = learn(sets)
    assert {movement: told.sets for movement, told in found.items()} == Counter(one.movement for one in used)
    for movement, told in [*found.items(), ("unseen", other)]:
        mean, sd = conditioned(used, movement) if used else (0.0, UNKNOWN.sd)
        assert told.mean == pytest.approx(mean, abs=1e-9)
        assert told.sd == pytest.approx(sd, rel=1e-9)


@given(SETS, st.randoms())
def test_the_order_does_not_matter_and_sets_never_make_it_less_sure(sets, random) -> None:
    found, other = learn(sets)
    mixed = list(sets)
    random.shuffle(mixed)
    again, other_again = learn(mixed)
    assert other == pytest.approx(other_again) and set(found) == set(again)
    fewer, _ = learn(sets[:-1])
    for movement, told in fewer.items():
        assert found[movement].sd <= told.sd + 1e-12


def test_who_is_slow_in_one_movement_is_foreseen_slow_in_others_but_less() -> None:
    slow = [TimedSet("row", day, 10.0, 30.0, 2.0) for day in range(6)]  # half as long again
    found, other = learn(slow)
    assert 1.35 < np.exp(found["row"].mean) < 1.5
    assert 1.1 < np.exp(other.mean) < np.exp(found["row"].mean)
    assert found["row"].sd < other.sd < UNKNOWN.sd


def test_singles_and_clocks_left_running_tell_nothing() -> None:
    assert learn([TimedSet("row", 0, 1.0, 9.0, 2.0), TimedSet("row", 1, 10.0, 900.0, 2.0)]) == NOTHING_TIMED


def test_one_more_set_as_usual_changes_nothing_that_is_told() -> None:
    """Rounded: of the same cadence a set more moves the mean by less than half a step."""
    sets = [TimedSet("row", day, 10.0, 26.0, 2.0) for day in range(12)]
    before, after = learn(sets), learn([*sets, TimedSet("row", 12, 10.0, 26.0, 2.0)])
    assert before.of("row").mean != after.of("row").mean
    for movement in ("row", "unseen"):
        one, other = before.rounded().of(movement), after.rounded().of(movement)
        assert (one.mean, one.sd) == (other.mean, other.sd)
        assert abs(one.mean - before.of(movement).mean) <= MEAN_STEP / 2 + 1e-12


def test_of_whom_nothing_was_timed_every_movement_is_unknown() -> None:
    assert NOTHING_TIMED.rounded() == NOTHING_TIMED
    assert NOTHING_TIMED.of("row") == UNKNOWN


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_what_is_no_time_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="positive and finite"):
        learn([TimedSet("row", 0, 10.0, bad, 2.0)])
