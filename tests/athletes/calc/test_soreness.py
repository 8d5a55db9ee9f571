"""Hard work found by a moving window, against a list and a median for each session."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from athletes.calc import soreness
from athletes.calc.constants import (
    FAILURE_LOSS,
    FAILURE_LOSS_SD,
    FAILURE_REPETITIONS,
    UNUSUAL_LEAST,
    UNUSUAL_LOSS,
    UNUSUAL_LOSS_SD,
    UNUSUAL_RATIO,
    UNUSUAL_UNKNOWN,
    USUAL_DAYS,
)
from athletes.calc.soreness import Effect, Work, effects_of, felt, share_left, usual_before

sessions = st.lists(
    st.builds(
        lambda day, done, failed, hour: Work(day, done, failed * done, hour),
        st.integers(0, 90),
        st.one_of(st.just(0.0), st.integers(1, 240).map(float), st.floats(0.5, 300.0)),
        st.floats(0.0, 1.0),
        st.sampled_from([0.0, 7.5, 12.0, 24.0]),
    ),
    max_size=40,
)


def one_by_one(work: list[Work]) -> list[Effect]:
    """Each session against the median of a list of its own."""
    ordered = sorted(work, key=lambda one: (one.at_hour, one.repetitions, one.failure_repetitions))
    found = []
    for n, one in enumerate(ordered):
        before = [w.repetitions for w in ordered[:n] if one.day - w.day <= USUAL_DAYS and w.repetitions > 0]
        if before:
            ratio = one.repetitions / float(np.median(before))
            usual = ratio < UNUSUAL_RATIO or one.repetitions < UNUSUAL_LEAST
            share = 0.0 if usual else min(0.5 * math.log2(ratio), 1.0)
        else:
            share = 1.0 if one.repetitions >= UNUSUAL_UNKNOWN else 0.0
        if share > 0.0:
            found.append(Effect(one.at_hour, share * UNUSUAL_LOSS, share * UNUSUAL_LOSS_SD, True))
        elif one.failure_repetitions >= FAILURE_REPETITIONS:
            found.append(Effect(one.at_hour, FAILURE_LOSS, FAILURE_LOSS_SD, False))
    return found


@given(work=sessions)
@example(work=[Work(1, 10.0), Work(29, 100.0, 0.0, 24.0), Work(30, 50.0, 0.0, 0.0)])
@example(work=[Work(2, 90.0), Work(1, 10.0), Work(29, 200.0, 0.0, 24.0), Work(30, 60.0, 0.0, 0.0)])
def test_a_moving_window_finds_what_a_list_for_each_session_finds(work: list[Work]) -> None:
    """To the last bit, also where midnight belongs to two days."""
    assert effects_of(work) == one_by_one(work)


@given(work=sessions, hours=st.lists(st.floats(0.0, 2600.0), max_size=20))
def test_what_is_felt_is_what_all_effects_together_say(work: list[Work], hours: list[float]) -> None:
    """Every effect at every hour, and at the very bounds of each; the first of equals is kept."""
    effects = effects_of(work)
    hours += [e.at_hour + since for e in effects for since in (0.0, 3.0, 24.0, 168.0)]
    which, share = felt(effects, np.array(hours))
    for at, found, left in zip(hours, which, share, strict=True):
        shares = [float(share_left(np.array([at - e.at_hour]))[0]) for e in effects]
        felts = [s * e.mean for s, e in zip(shares, effects, strict=True)]
        best = max(felts, default=0.0)
        assert found == (felts.index(best) if best > 0.0 else -1)
        assert left == (shares[found] if found >= 0 else 0.0)


class Counted(float):
    """A number that counts how often it is compared."""

    compared = 0

    def __lt__(self, other: float) -> bool:
        Counted.compared += 1
        return float.__lt__(self, other)


def compared(sessions: int) -> int:
    """How often the window compares, interpreted."""
    Counted.compared = 0
    draw = np.random.default_rng(5)
    done = np.array([Counted(draw.integers(10, 60)) for _ in range(sessions)], dtype=object)
    days = np.arange(float(sessions))
    usual_before.py_func(days, done, np.arange(sessions))  # type: ignore[attr-defined]
    return Counted.compared


def test_the_work_grows_with_the_sessions_and_no_faster(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times the sessions, about four times the comparisons: a list for each session needs sixteen times."""
    for name in ("enter", "leave"):
        monkeypatch.setattr(soreness, name, getattr(soreness, name).py_func)
    assert compared(400) > 0
    assert compared(1600) < 5.0 * compared(400)


def test_medians_are_those_of_numpy() -> None:
    """Odd and even counts, all on one day."""
    done = np.random.default_rng(9).uniform(1.0, 90.0, 30)
    usual = usual_before(np.zeros(30), done, np.argsort(done))
    assert np.isnan(usual[0])
    assert usual[1:].tolist() == [np.median(done[:size]) for size in range(1, 30)]
