"""What of a log tells how quickly somebody tires: hand-made sets of two movements, without a database."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any
from uuid import UUID

import numpy as np
import pytest

from athletes.calc.capacity import (
    Capacity,
    Observation,
    Prior,
    estimate_capacity,
    in_variation,
    sample_lifts,
)
from athletes.calc.multiplier import FAILURE, OTHERWISE, Able, SetsDone
from programming.calc.catalogue import LOAD_REPETITION
from programming.calc.variation import Variation
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged
from scoring.person import common_draws
from scoring.tiring import FORM_LOG_SD, PEOPLE, session_of

PRESS, ROW = UUID(int=1), UUID(int=2)
CHEST = (("chest", 1.0), ("triceps", 0.5))
LATS = (("lats", 1.0), ("biceps", 0.5))


def known() -> Capacity:
    """Ten with 60 kg to failure, in the version `press`."""
    prior = Prior(float(np.log(60.0)), 0.2, float(np.log(0.03)), 0.1)
    return estimate_capacity(prior, [Observation(1, 60.0, 10.0, "to_failure", variation="press")], day=2)


def logged(
    count: int, rest_s: float | None, *, movement: UUID = PRESS, key: str = "press", kg: float = 60.0,
    groups: tuple[tuple[str, float], ...] = CHEST, ended_by: Any = "failure", curve: bool = True,
    duration_s: float | None = None,
) -> Logged:  # fmt: skip
    variation = Variation(
        key=key, movement="press", rung=1, body_mass_fraction=0.0, adjustable=frozenset({"load"}),
        load_item="barbell", muscle_groups=groups, curve_applies=curve,
    )  # fmt: skip
    kept = SimpleNamespace(id=movement, capacity_kind=LOAD_REPETITION)
    done: Any = SimpleNamespace(variation=variation, movement=kept)
    return Logged(SetEntry("b", float(count), ended_by, rest_s, duration_s=duration_s, load_kg=kg), done)


def session(*sets: Logged) -> tuple[SetsDone, Able] | None:
    return session_of(sets, {PRESS: known(), ROW: known()}, 80.0)


def told(*sets: Logged) -> tuple[SetsDone, Able]:
    found = session(*sets)
    assert found is not None
    return found


def test_two_sets_to_failure_tell_something() -> None:
    """Ten in twenty seconds, a minute, seven in fourteen; what came before the first counts for nothing."""
    done, _ = told(logged(10, 500.0), logged(7, 60.0))
    assert done.start.tolist() == [0.0, 80.0]
    assert done.seconds.tolist() == [20.0, 14.0]
    assert done.ended.tolist() == [FAILURE, FAILURE]


def test_a_duration_that_was_logged_is_taken() -> None:
    done, _ = told(logged(10, None, duration_s=45.0), logged(7, 60.0))
    assert (done.start[1], done.seconds[0]) == (105.0, 45.0)


def test_where_no_curve_applies_nothing_is_told() -> None:
    assert session(logged(10, None, curve=False), logged(7, 60.0, curve=False)) is None


def test_pain_is_no_failure() -> None:
    assert session(logged(10, None), logged(7, 60.0, ended_by="pain")) is None
    done, _ = told(logged(10, None), logged(7, 60.0, ended_by="pain"), logged(5, 60.0))
    assert done.ended.tolist() == [FAILURE, OTHERWISE, FAILURE]


@pytest.mark.parametrize(("groups", "tells"), [(LATS, False), (CHEST, True)])
def test_another_movement_tells_where_it_shares_muscles(
    groups: tuple[tuple[str, float], ...], tells: bool
) -> None:
    found = session(logged(10, None), logged(7, 60.0, movement=ROW, groups=groups))
    assert (found is not None) is tells


def test_of_two_movements_each_has_a_strength_of_its_own() -> None:
    """Known alike and with the same load, and yet whoever is good at the one need not be at the other."""
    _, able = told(logged(10, None), logged(7, 60.0, movement=ROW))
    assert np.corrcoef(able.fresh.T)[0, 1] < 0.8


def test_the_days_form_leaves_what_a_repetition_takes_in_proportion() -> None:
    """n k, how far ln S lies above ln L, is that of the capacity's people, though n is not: in good form a repetition
    takes less of what is there.
    """
    _, able = told(logged(10, None), logged(7, 60.0))
    of_capacity = sample_lifts(in_variation(known(), "press"), 60.0, common_draws(1, PEOPLE).movements[0])
    assert able.fresh * able.per_unit == pytest.approx(
        (of_capacity.repetitions * of_capacity.per_repetition)[:, None]
    )
    form = np.log(able.fresh[:, 0] / of_capacity.repetitions)
    assert form.std() == pytest.approx(FORM_LOG_SD, rel=0.05)


def test_another_version_is_known_less_well() -> None:
    spreads = [
        float(np.std(np.log(told(logged(10, None, key=key), logged(7, 60.0, key=key))[1].fresh)))
        for key in ("press", "incline")
    ]
    assert spreads[0] < spreads[1]
