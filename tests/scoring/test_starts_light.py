"""Nobody who was never seen under a bar is put under one that may be too heavy."""

import datetime as dt
from dataclasses import replace

import pytest

from athletes.calc.capacity import Observation, estimate_capacity
from programming.calc.revision import Aim, Condition
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


@pytest.mark.parametrize("amount", [3.0, 5.0])
@pytest.mark.parametrize("movement", ["deadlift", "back_squat", "bench_press"])
def test_heavy_work_begins_with_three_to_spare_for_nine_in_ten(movement: str, amount: float) -> None:
    """At 80 to 95 % of what nobody knows, with plates so fine that all loads near the window lie above it."""
    fine = {"barbell": {"loads_kg": [20 + 2.5 * step for step in range(93)]}, "rack": {}, "bench": {}}
    session = plan(movement, items=fine | {"bar_floor": {}})
    first = session.block.work[0]
    first = replace(first, amount=amount, as_written=replace(first.as_written, load_kg=140.0))
    share = Condition("share_of_available", first.key, 80.0, 95.0)
    rules = replace(session.block.rules, rounds=4, rest_between_s=180.0)
    block = replace(session.block, work=(first,), rules=rules, aim=Aim((share,)))
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    nobody = {session.movement("a").id: estimate_capacity(session.movement("a").prior.at(80.0), [], day=0)}
    choice = gather(session, ACCOMPANIED, nobody, frozenset())
    candidates = choice.candidates["a"]
    result = prescribe(block, choice.candidates, multiplier=choice.multiplier)
    (told,) = [one for one in candidates if one.option == result.chosen[0].option]

    assert result.feasible
    assert ("begins_light", "a") in {(one.code, one.work) for one in result.reasons}
    assert (told.fresh >= amount + 3.0).mean() >= 0.9
    heavier = [one for one in candidates if one.option.effective_kg > told.option.effective_kg]
    following = min(heavier, key=lambda one: one.option.effective_kg)
    assert told.option.effective_kg >= 0.3 * 80.0 or (following.fresh >= amount + 3.0).mean() < 0.9
    assert len(candidates) <= 25


def test_where_no_load_is_light_enough_it_is_not_next_to_nothing() -> None:
    """Dumbbells from one kilogram, thirty of it to the first set: the load with which most people can."""
    session = plan(
        "dumbbell_press", items={"dumbbell": {"loads_kg": [1, 2, 3, 4, 5, 6, 8, 10, 12, 14]}, "rings": {}}
    )
    first = replace(session.block.work[0], amount=30.0)
    aim = replace(session.block.aim, conditions=(Condition("first_set", first.key, 30.0, 40.0),))
    block = replace(session.block, work=(first,), aim=aim)
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    nobody = {session.movement("a").id: estimate_capacity(session.movement("a").prior.at(80.0), [], day=0)}
    choice = gather(session, ACCOMPANIED, nobody, frozenset())
    result = prescribe(block, choice.candidates, multiplier=choice.multiplier)
    sure = {one.option: (one.fresh >= 30.0).mean() for one in choice.candidates["a"]}

    assert max(sure.values()) < 0.9
    assert sure[result.chosen[0].option] == max(sure.values())
    assert result.chosen[0].option.effective_kg > 2.0


def test_who_was_seen_is_asked_what_fits() -> None:
    """One set under the bar, and the load is chosen for the window again: heavier than a first try."""
    candidates, unseen = found("back_squat", 8.0, 12.0, [])
    heavy = next(one.option for one in candidates if one.option.load_kg == 70)
    trial = Observation(dt.date(2030, 5, 8).toordinal(), heavy.effective_kg, 11.0, "to_failure")
    _, seen = found("back_squat", 8.0, 12.0, [trial])
    assert seen.chosen[0].option.effective_kg > unseen.chosen[0].option.effective_kg
