"""What training adds between sights: it moves what is expected, and what was seen moves with it."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.calc.capacity import Observation, estimate_capacity, from_json, to_json
from athletes.calc.carry import carried
from athletes.calc.decay import Absence
from athletes.calc.gain import LASTS_DAYS, gaining_days
from athletes.calc.smooth import capacity_history
from athletes.calc.state import Capacity
from tests.athletes.calc.histories import BENCH

GAIN = 0.001
TRAINED = replace(BENCH, gain=GAIN)


def failed(day: int, load_kg: float, count: int) -> Observation:
    return Observation(day, load_kg, float(count), "to_failure")


def middle(capacity: Capacity) -> float:
    """Mean of ln L10."""
    return float(capacity.weight @ capacity.mean)


@given(
    gain=st.floats(-0.002, 0.002),
    days=st.lists(st.integers(0, 150), min_size=1, max_size=6, unique=True),
    later=st.integers(0, 30),
)
def test_a_gain_is_a_lighter_load_before(gain: float, days: list[int], later: int) -> None:
    """Whoever gains as foreseen is, seen from the last day, one who never changed, at loads that had been heavier
    then by what was gained since; ln L10 goes on from there."""
    ordered = sorted(days)
    grown = [0.0]
    for before, after in pairwise(ordered):
        grown.append(grown[-1] + gain * min(after - before, LASTS_DAYS))
    counts = [6 + (7 * n) % 11 for n in range(len(ordered))]
    level = [failed(day, 80.0, count) for day, count in zip(ordered, counts, strict=True)]
    seen = [replace(one, load_kg=80.0 * math.exp(up)) for one, up in zip(level, grown, strict=True)]

    day = ordered[-1] + later
    trained = estimate_capacity(replace(BENCH, gain=gain), seen, day=day)
    plain = estimate_capacity(BENCH, level, day=day)
    assert trained.mean == pytest.approx(plain.mean + grown[-1] + gain * later, abs=1e-9)
    assert trained.var == pytest.approx(plain.var)
    assert trained.k_nodes == pytest.approx(plain.k_nodes)


def test_it_goes_on_for_six_weeks_and_not_while_away() -> None:
    seen = [failed(0, 80.0, 9)]
    now = estimate_capacity(TRAINED, seen, day=0)
    for day, days in ((28, 28), (42, 42), (43, 42), (365, 42)):
        assert middle(carried(now, day)) == pytest.approx(middle(now) + GAIN * days)
        assert middle(estimate_capacity(TRAINED, seen, day=day)) == pytest.approx(middle(now) + GAIN * days)
    assert middle(carried(carried(now, 30), 60)) == pytest.approx(middle(carried(now, 60)))

    away = Absence(10, 15)  # six days: nothing is lost in the first week
    for first in (None, 5, 12, 14, 20):
        known = estimate_capacity(TRAINED, seen, day=0, absences=[away])
        known = known if first is None else carried(known, first)
        assert middle(carried(known, 28)) == pytest.approx(middle(now) + GAIN * 22)


def test_days_are_counted_one_by_one() -> None:
    """Against a count of days written as one says it."""
    rng = np.random.default_rng(3)
    for _ in range(50):
        seen = np.unique(rng.integers(0, 200, 5)).astype(float)
        at = np.sort(rng.integers(int(seen[0]), 260, 4)).astype(float)
        begin = int(rng.integers(0, 200))
        away = Absence(begin, begin + int(rng.integers(0, 40)))

        def counted(until: float, seen: np.ndarray = seen, away: Absence = away) -> int:
            total = since = 0
            for day in range(int(seen[0]), int(until)):
                since = 0 if day in seen else since
                if not away.from_day <= day <= away.to_day and since < LASTS_DAYS:
                    total, since = total + 1, since + 1
            return total

        assert gaining_days([away], seen, at).tolist() == [counted(day) for day in at]


def test_history_and_estimate_agree_on_the_last_day() -> None:
    seen = [failed(0, 80.0, 9), failed(30, 82.5, 9), failed(100, 85.0, 8)]
    days = [0, 15, 30, 80, 100, 120]
    history = capacity_history(TRAINED, seen, days)
    for index, day in ((4, 100), (5, 120)):
        assert history.mean[index] == pytest.approx(
            middle(estimate_capacity(TRAINED, seen, day=day)), abs=2e-3
        )
    plain = capacity_history(BENCH, [replace(seen[0], day=0)], [0, 20])
    grown = capacity_history(TRAINED, [replace(seen[0], day=0)], [0, 20])
    assert grown.mean - plain.mean == pytest.approx([0.0, 20 * GAIN])


def test_it_is_stored() -> None:
    known = estimate_capacity(TRAINED, [failed(0, 80.0, 9)], day=10)
    read = from_json(to_json(known))
    assert (read.gain, read.gain_days) == (GAIN, LASTS_DAYS - 10)
    for name, wrong in (("gain", "much"), ("gain", 2.0), ("gain_days", -1.0)):
        with pytest.raises(ValueError, match=name):
            from_json(to_json(known) | {name: wrong})
    old = {name: value for name, value in to_json(known).items() if not name.startswith("gain")}
    assert from_json(old).gain == 0.0


def test_nothing_is_gained_from_nothing_seen() -> None:
    assert middle(estimate_capacity(TRAINED, [], day=50)) == pytest.approx(TRAINED.log_l10)
