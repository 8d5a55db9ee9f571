"""How quickly somebody works: against conditioning joint normals (numpy, scipy), and properties."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from athletes.calc.tempo import (
    DAY_SD,
    LEAST_UNITS,
    MEAN_STEP,
    MOVEMENT_SD,
    NOTHING_TIMED,
    PERSON_SD,
    SCALE_PRIOR,
    SCALES,
    SET_SD,
    SLOWER_LOG,
    SLOWER_SD,
    SLOWER_TO_FAILURE,
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
        st.booleans(),
    ),
    min_size=1, max_size=12,
)  # fmt: skip


def logs(sets: list[TimedSet]) -> np.ndarray:
    """ln of the seconds of a unit beside the usual ones; who fails has tried one more."""
    tried = np.array([one.amount + (1.0 if one.failed else 0.0) for one in sets])
    return np.log([one.seconds / one.usual_s for one in sets]) - np.log(tried)


def joint(sets: list[TimedSet], movement: str, scale: float) -> np.ndarray:
    """Covariance of the sets and, last, of one to come on another day, not to failure, without its own error."""
    many = [*sets, TimedSet(movement, -1, 10.0, 20.0, 2.0)]

    def cov(i: int, j: int) -> float:
        one, other = many[i], many[j]
        shared = PERSON_SD**2 + MOVEMENT_SD**2 * (one.movement == other.movement)
        slower = SLOWER_SD**2 * (one.failed and other.failed)
        own = SET_SD**2 * (i == j and i < len(sets))
        return shared + slower + scale**2 * (DAY_SD**2 * (one.day == other.day) + own)

    return np.array([[cov(i, j) for j in range(len(many))] for i in range(len(many))])


def conditioned(sets: list[TimedSet], movement: str) -> tuple[float, float]:
    """Mean and SD of that set to come: of each scale by the joint normal, of all by their densities."""
    y = logs(sets) - [SLOWER_LOG if one.failed else 0.0 for one in sets]
    weight, mean, square = [], [], []
    for scale, before in zip(SCALES, SCALE_PRIOR, strict=True):
        all_ = joint(sets, movement, scale)
        gain = np.linalg.solve(all_[:-1, :-1], all_[:-1, -1])
        weight.append(np.log(before) + multivariate_normal(cov=all_[:-1, :-1]).logpdf(y))
        mean.append(gain @ y)
        square.append(mean[-1] ** 2 + all_[-1, -1] - gain @ all_[:-1, -1])
    share = np.exp(np.array(weight) - np.logaddexp.reduce(weight))
    middle = float(share @ mean)
    return middle, float(np.sqrt(share @ square - middle**2))


@given(SETS)
def test_it_is_joint_normals_conditioned(sets: list[TimedSet]) -> None:
    used = [one for one, y in zip(sets, logs(sets), strict=True) if abs(y) <= 1.5]
    found, other = learn(sets)
    assert {movement: told.sets for movement, told in found.items()} == Counter(one.movement for one in used)
    for movement, told in [*found.items(), ("unseen", other)]:
        mean, sd = conditioned(used, movement) if used else (0.0, UNKNOWN.sd)
        assert told.mean == pytest.approx(mean, abs=1e-7)
        assert told.sd == pytest.approx(sd, rel=1e-6)


def test_before_any_set_it_is_the_mixture_of_the_scales() -> None:
    days = sum(before * (DAY_SD * scale) ** 2 for scale, before in zip(SCALES, SCALE_PRIOR, strict=True))
    assert sum(SCALE_PRIOR) == pytest.approx(1.0)
    assert UNKNOWN.mean == 0.0
    assert UNKNOWN.sd**2 == pytest.approx(PERSON_SD**2 + MOVEMENT_SD**2 + days)


@given(SETS, st.randoms())
def test_the_order_does_not_matter(sets, random) -> None:
    found, other = learn(sets)
    mixed = list(sets)
    random.shuffle(mixed)
    again, other_again = learn(mixed)
    assert other == pytest.approx(other_again) and set(found) == set(again)
    for movement, told in found.items():
        assert told == pytest.approx(again[movement])


def kept(rng: np.random.Generator, scale: float, days: int = 8) -> list[TimedSet]:
    """Four sets of ten on each day, by somebody of that steadiness at 2.6 s for the usual 2."""
    day = np.repeat(DAY_SD * scale * rng.standard_normal(days), 4)
    factors = 1.3 * np.exp(day + SET_SD * scale * rng.standard_normal(4 * days))
    return [TimedSet("row", i // 4, 10.0, 20.0 * factor, 2.0) for i, factor in enumerate(factors)]


def test_who_keeps_a_cadence_is_foreseen_more_surely() -> None:
    """Days to come lie within the SD that is told as often as a normal says, whatever the scale: 68 of 100."""
    rng = np.random.default_rng(5)
    sds, held = [], []
    for scale in SCALES:
        away = []
        for _ in range(150):
            told = learn(kept(rng, scale))[0]["row"]
            came = np.log(1.3) + DAY_SD * scale * rng.standard_normal()
            away.append(abs(came - told.mean) / told.sd)
            sds.append((scale, told.sd))
        held.append(np.mean(np.array(away) < 1.0))
    middle = [np.median([sd for of, sd in sds if of == scale]) for scale in SCALES]
    assert middle == sorted(middle)
    assert middle[0] < 0.4 * DAY_SD < 1.6 * DAY_SD < middle[-1]
    assert 0.60 <= np.mean(held) <= 0.76
    assert all(0.55 <= share <= 0.80 for share in held), held


def test_sets_to_failure_tell_the_cadence_of_others() -> None:
    """Ten counted and one in vain, each slower as usual: about as quick as ten of who stops. The sixth of the
    difference from usual that is missing may be the person's own way of failing.
    """
    stopped = [TimedSet("row", day, 10.0, 26.0, 2.0) for day in range(8)]
    failed = [TimedSet("row", day, 10.0, 11 * 2.6 * SLOWER_TO_FAILURE, 2.0, True) for day in range(8)]
    one, other = learn(stopped)[0]["row"], learn(failed)[0]["row"]
    assert one.mean == pytest.approx(np.log(1.3), abs=0.01)
    assert one.mean / 6.0 > one.mean - other.mean > 0.0
    assert one.sd < other.sd  # by how much this person is slower is not known
    both = learn([*stopped, *failed[:2]])[0]["row"]
    assert both.mean == pytest.approx(one.mean, abs=0.01)


def test_who_is_no_slower_to_failure_is_learned_so() -> None:
    """Who stops at 2.6 s a repetition, and takes as long for each to failure, has sets to failure explained by
    themselves: they draw the cadence down by a third of the difference at most.
    """
    stopped = [TimedSet("row", day, 10.0, 26.0, 2.0) for day in range(6)]
    failed = [TimedSet("row", day, 10.0, 28.6, 2.0, True) for day in range(6)]
    alone, both = learn(stopped)[0]["row"], learn([*stopped, *failed])[0]["row"]
    assert abs(both.mean - alone.mean) < SLOWER_LOG / 3.0


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


def test_to_failure_a_unit_takes_as_much_longer_as_was_measured() -> None:
    """The same repetitions at 0.35 instead of 0.42 m/s (Iglesias-Soler et al. 2012, IJSM 33:351-358, abstract): the
    way up takes a fifth longer, and is half of a repetition (common practice, no source).
    """
    assert pytest.approx(1.0 + (0.42 / 0.35 - 1.0) / 2.0, abs=0.01) == SLOWER_TO_FAILURE
