"""The plain versions that the bench compares with do the same task: their answers lie near the service's."""

from __future__ import annotations

import numpy as np
import pytest

from athletes.calc.capacity import published_prior
from athletes.calc.load_history import load_history
from scoring.calc.prescription import Candidate
from services.bench.calculation import (
    AMOUNT,
    PENALTY_S,
    candidates_of,
    choosing,
    choosing_plainly,
    estimate,
    history,
    load_days,
    prescribing,
    work_done,
)
from services.bench.plain import SCENARIOS, pandas_load, plain_capacity, plain_load, plain_pacing


@pytest.mark.parametrize("count", [40, 500])
def test_the_plain_filter_finds_the_same_strength(count: int) -> None:
    """ln L10 within 3 %: it leaves out a person's own way of judging reserve, and what comes after a sight."""
    seen = history()[:count]
    capacity = estimate(seen)
    plain = plain_capacity(published_prior(70.0), seen)
    assert plain == pytest.approx(float(capacity.weight @ capacity.mean), abs=0.03)


def test_the_plain_choice_is_the_same() -> None:
    """Of both items: the load that the first sets decide on."""
    known = estimate(history()[:12])
    chosen = choosing(known)().best_alone
    assert choosing_plainly(known)() == sum(one.candidate.option.effective_kg for one in chosen)


def test_the_plain_simulation_takes_the_same_time() -> None:
    """Of the options that were prescribed, the best mean time lies within a quarter of the foreseen median."""
    known = estimate(history()[:12])
    result = prescribing(known)()
    candidates, multiplier = candidates_of(known)

    def chosen(key: str) -> Candidate:
        option = next(one.option for one in result.chosen if one.work == key)
        return next(one for one in candidates[key] if one.option == option)

    fresh = [[chosen(key).fresh[:SCENARIOS].tolist()] for key in ("a", "b")]
    plain = plain_pacing(fresh, multiplier[:SCENARIOS].tolist(), AMOUNT, PENALTY_S)
    assert result.forecast is not None
    middle = result.forecast.p50
    assert middle is not None
    assert plain == pytest.approx(middle, rel=0.25)


def test_the_plain_load_is_the_same() -> None:
    """Of the last day, in columns, plainly and by pandas."""
    days = load_days()
    told = float(load_history(days).weighted_chronic.values[-1])
    assert plain_load(days.loads.tolist()) == pytest.approx(told)
    assert pandas_load(days.loads.tolist()) == pytest.approx(told)


def test_the_measured_work_is_hard_now_and_then() -> None:
    """The measured sessions make effects, or their part of the time would be none."""
    found = estimate(history(), work_done())
    assert found.soreness is not None
    assert np.isfinite(found.mean).all()
