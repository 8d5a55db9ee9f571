"""Nobody who was never seen under a bar is put under one that may be too heavy."""

import datetime as dt
from dataclasses import replace

import pytest

from athletes.calc.capacity import Observation, estimate_capacity
from programming.calc.revision import Condition
from scoring.calc.prescribe import prescribe
from scoring.candidates import gather
from tests.scoring.test_candidates import ACCOMPANIED, plan

LOADS = {"barbell": {"loads_kg": [20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80]}, "rack": {}, "bench": {}}
ABLE = replace(ACCOMPANIED, body_mass_kg=69.0, sex="male")


def found(movement: str, lower: float, upper: float, seen: list[Observation]):
    """(candidates of the first work item, the answer) of sets to a window."""
    session = plan(movement, items=LOADS | {"bar_floor": {}, "rings": {}})
    first = session.block.work[0]
    aim = replace(session.block.aim, conditions=(Condition("first_set", first.key, lower, upper),))
    block = replace(session.block, aim=aim)
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    movements = {session.movement(item.key) for item in block.work}
    day = session.local_date.toordinal()
    capacities = {
        one.id: estimate_capacity(one.prior.at(69.0), seen if one.key == movement else (), day=day)
        for one in movements
    }
    choice = gather(session, ABLE, capacities, frozenset())
    return choice.candidates[first.key], prescribe(block, choice.candidates, multiplier=choice.multiplier)


@pytest.mark.parametrize("movement", ["back_squat", "bench_press"])
@pytest.mark.parametrize(("lower", "upper"), [(5.0, 8.0), (8.0, 12.0)])
def test_the_first_load_gives_the_lower_bound_to_nine_in_ten(
    movement: str, lower: float, upper: float
) -> None:
    """The version told and its check set; what is harder leads up from there, by one step."""
    candidates, result = found(movement, lower, upper, [])
    (told, *_), (check, *_) = result.chosen, result.check_sets
    assert result.feasible
    assert check.option == told.option
    barred = [one for one in candidates if one.starts_light]
    assert barred
    (chosen,) = [one for one in candidates if one.option == told.option]
    assert (chosen.fresh >= lower).mean() >= 0.9
    assert check.harder is not None
    assert check.harder.effective_kg > check.option.effective_kg


def test_where_no_load_is_light_enough_the_lightest_is_tried() -> None:
    """The empty bar."""
    candidates, result = found("bench_press", 12.0, 20.0, [])
    barred = [one for one in candidates if one.starts_light]
    assert all((one.fresh >= 12.0).mean() < 0.9 for one in barred)
    assert result.check_sets[0].option == result.chosen[0].option
    assert result.chosen[0].option.effective_kg == min(one.option.effective_kg for one in candidates)


def test_who_was_seen_is_asked_what_fits() -> None:
    """One set under the bar, and the load is chosen for the window again: heavier than a first try."""
    candidates, unseen = found("back_squat", 8.0, 12.0, [])
    heavy = next(one.option for one in candidates if one.option.load_kg == 70)
    trial = Observation(dt.date(2030, 5, 8).toordinal(), heavy.effective_kg, 11.0, "to_failure")
    _, seen = found("back_squat", 8.0, 12.0, [trial])
    assert seen.chosen[0].option.effective_kg > unseen.chosen[0].option.effective_kg
