"""The forecast of a block: its policy, its quantiles, facts of the trade."""

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.calc.fatigue import slow_multipliers
from programming.calc.revision import EndRule
from programming.calc.rule_codes import rule_codes
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import (
    FRESH_LEVELS,
    LEVELS,
    BlockForecast,
    Policy,
    best_policy,
    forecast_block,
    levels_of,
    make_scenarios,
    run_policy,
)
from scoring.calc.pacing import policy_grid
from scoring.calc.simulation import LATER_LOW
from tests.scoring.calc.blocks import block, later_sets
from tests.support.examples import examples

POLICIES = st.builds(Policy, st.sampled_from([0.5, 0.6, 0.75, 0.9, 1.0]), st.floats(0, 200))
FRESH = st.tuples(st.floats(1.5, 40), st.floats(1.5, 40))


def made(written, fresh, multiplier):
    """Scenarios of a block of two items, from an array of fresh repetitions each."""
    option = Option("any", None, None, None, 50.0)
    return make_scenarios(written, [Candidate(option, np.array(one)) for one in fresh], np.array(multiplier))


def scenarios(first=16.0, second=16.0, log_sd=0.15, count=400):
    """Log-normal fresh repetitions around two medians, and the prior's multipliers."""
    rng = np.random.default_rng(20)
    draws = np.exp(log_sd * rng.normal(size=(2, count)))
    u = rng.permutation((np.arange(count) + 0.5) / count)
    return made(block(), [first * draws[0], second * draws[1]], slow_multipliers(u))


@given(FRESH, st.floats(0.1, 1.5), POLICIES, st.floats(0, 300), st.floats(0, 300))
@settings(max_examples=examples(24), deadline=None)
def test_the_score_rises_with_the_penalty(fresh, multiplier, policy, low, high):
    """The same work under a dearer break never scores lower."""
    one = made(block(), [[value] for value in fresh], [multiplier])
    cheap, dear = sorted((low, high))
    scores = []
    for penalty_s in (cheap, dear):
        written = block(penalty_s=penalty_s)
        runs = run_policy(written, one, policy)
        scores.append(runs.elapsed_s[0] + rule_codes(written).penalty_s * runs.breaks[0])

    assert scores[0] <= scores[1] + 1e-9


@given(st.floats(60, 900), FRESH)
@settings(max_examples=examples(24), deadline=None)
def test_a_cap_ends_the_work_and_nothing_is_done_after_it(cap_s, fresh):
    """Capped scenarios end at the cap with work left; finished ones before it with everything done."""
    one = made(block(), [[value] for value in fresh], [0.5])
    written = block(cap_s=cap_s)
    runs = run_policy(written, one, Policy(0.8, 60.0))

    assert runs.elapsed_s[0] <= cap_s
    assert (runs.state[0] == 0) == (runs.moved[0] == written.repetitions)
    assert runs.moved[0] * 2.0 <= cap_s


def test_nobody_starts_without_a_repetition():
    """Less than one fresh repetition: nothing is done, there is no score and no plan."""
    forecast = forecast_block(
        block(cap_s=600.0), made(block(), [np.full(8, 0.7), np.full(8, 9.0)], np.ones(8))
    )

    assert (forecast.p_finish, forecast.plan, forecast.p10) == (0.0, (), None)


def test_the_best_policy_is_the_best_of_its_grid():
    """Every policy run on its own, by the same scenarios: none has a lower mean score."""
    few, written = scenarios(count=32), block()
    chosen = best_policy(written, few)

    means = {}
    for share, rest, *_ in policy_grid(few.items):
        runs = run_policy(written, few, Policy(share, rest))
        means[share, rest] = float(np.mean(runs.elapsed_s + 30.0 * runs.breaks))
    assert means[chosen.share, chosen.own_rest_s] == min(means.values())


def test_sets_stop_short_of_failure_and_dear_breaks_lengthen_rests():
    """Common practice, no source: pacing for time stops at 75 to 90 % of what is available; with dearer
    breaks the rests are not shorter.
    """
    spread = scenarios()
    policies = [best_policy(block(penalty_s=penalty), spread) for penalty in (10.0, 30.0, 60.0, 120.0)]

    assert 0.7 <= policies[1].share <= 0.9
    rests = [policy.own_rest_s for policy in policies]
    assert rests == sorted(rests)
    assert rests[0] < rests[-1]


def test_a_floor_of_later_sets_is_kept_by_pacing():
    """With a floor of 9 the policy keeps the floor more often than the fastest policy does."""
    spread, free, floor = scenarios(), block(), block(conditions=[later_sets(9)])
    holds = [
        float((run_policy(floor, spread, policy).sizes[:, 0, LATER_LOW] >= 9).mean())
        for policy in (best_policy(free, spread), best_policy(floor, spread))
    ]

    assert holds[1] > holds[0] + 0.1


def test_a_forecast_is_a_function_of_its_scenarios():
    """The same scenarios give the same forecast; the order of its numbers holds; JSON brings it back."""
    written, spread = block(cap_s=1500.0), scenarios()
    forecast = forecast_block(written, spread)
    finite = [value for value in forecast.score_quantiles if value is not None]

    assert forecast == forecast_block(written, spread)
    assert finite == sorted(finite)
    assert len(forecast.score_quantiles) == len(LEVELS) == 21
    assert (forecast.version, forecast.levels) == (3, LEVELS)
    assert forecast.p50 == forecast.score_quantiles[10]
    assert [part.work for part in forecast.work] == ["a", "b"]
    assert sum(one.repetitions for one in forecast.plan) == written.repetitions
    assert BlockForecast.from_json(json.loads(json.dumps(forecast.to_json(), allow_nan=False))) == forecast


def test_what_is_available_is_told_at_the_ends_of_three_intervals():
    """As numpy has them of the scenarios; where nothing local limits the work there are none."""
    spread = scenarios()
    forecast = forecast_block(block(), spread)
    for index, part in enumerate(forecast.work):
        assert part.fresh_quantiles == pytest.approx(
            np.quantile(spread.fresh[:, index], FRESH_LEVELS), abs=0.005
        )
        assert part.fresh.p10 == part.fresh_quantiles[FRESH_LEVELS.index(0.1)]
    assert pytest.approx([1 - level for level in reversed(FRESH_LEVELS)]) == FRESH_LEVELS


def test_a_forecast_stored_by_version_2_is_still_read():
    """Nineteen levels from 5 to 95 %, and three points of what is available fresh."""
    stored = json.loads(json.dumps(forecast_block(block(), scenarios()).to_json()))
    stored |= {"version": 2, "score_quantiles": stored["score_quantiles"][1:-1]}
    for part in stored["work"]:
        del part["fresh_quantiles"]
    read = BlockForecast.from_json(stored)
    assert read.levels == tuple(round(0.05 * step, 2) for step in range(1, 20))
    assert (read.p10, read.p50, read.p90) == tuple(stored["score_quantiles"][at] for at in (1, 9, 17))
    assert [part.fresh_quantiles for part in read.work] == [None, None]
    assert BlockForecast.from_json(json.loads(json.dumps(read.to_json()))) == read


@pytest.mark.parametrize("count", [0, 3, 20])
def test_a_table_of_no_version_is_refused(count):
    """Rather than to be read at levels that it is not at."""
    with pytest.raises(ValueError):
        levels_of((None,) * count)


def test_quantiles_that_do_not_finish_are_none():
    """A cap that about half the scenarios reach: the table ends where they begin."""
    spread, policy = scenarios(log_sd=0.3), Policy(0.8, 60.0)
    middle = float(np.median(run_policy(block(), spread, policy).elapsed_s))
    forecast = forecast_block(block(cap_s=round(middle)), spread, policy)

    assert 0.4 < forecast.p_finish < 0.6
    assert forecast.p90 is None
    assert forecast.p10 is not None


def test_a_stronger_athlete_scores_better():
    """Twenty per cent more fresh repetitions shorten the forecast."""
    weak, strong = (forecast_block(block(), scenarios(first, first)) for first in (15.0, 18.0))

    assert strong.p50 < weak.p50


@pytest.mark.parametrize(
    ("fresh", "multiplier"),
    [([[1.0], [1.0, 2.0]], [1.0]), ([[1.0], [1.0]], [1.0, 1.0]), ([[np.nan], [1.0]], [1.0]),
     ([[-1.0], [1.0]], [1.0]), ([[1.0], [np.inf]], [1.0]), ([[], []], [])],
)  # fmt: skip
def test_scenarios_that_do_not_fit_are_refused(fresh, multiplier):
    """Shapes and ranges are checked once, at the door."""
    with pytest.raises(ValueError):
        made(block(), fresh, multiplier)


def test_a_forecast_stored_by_version_1_is_still_read():
    """What version 1 wrote, letter by letter: a time, lower better, sets of repetitions, nothing about what stops."""
    stored = {
        "score_quantiles": [300.0, *[310.0] * 17, None], "p_finish": 0.93, "breaks": {"p10": 2, "p50": 3, "p90": 5},
        "share": 0.8, "own_rest_s": 60.0, "scenarios": 1024, "version": 1,
        "work": [{"work": "a", "fresh": {"p10": 9.0, "p50": 12.0, "p90": 15.0}, "smallest_later": None,
                  "largest_later": {"p10": 4.0, "p50": 5.0, "p90": 6.0}}],
        "plan": [{"work": "a", "repetitions": 9, "rest_before_s": 0}],
    }  # fmt: skip
    read = BlockForecast.from_json(json.loads(json.dumps(stored)))

    assert (read.version, read.unit, read.better, read.pace, read.stops) == (1, "s", "lower", None, None)
    assert (read.plan[0].repetitions, read.plan[0].unit) == (9, "repetitions")
    assert (read.work[0].unit, read.work[0].largest_later.p50) == ("repetitions", 5.0)
    assert (read.p10, read.p90) == (310.0, 310.0)
    assert BlockForecast.from_json(json.loads(json.dumps(read.to_json()))) == read


@pytest.mark.parametrize(
    ("scored", "unit", "better"),
    [("time", "s", "lower"), ("repetitions", "repetitions", "higher"), ("rounds", "repetitions", "higher"),
     ("load", "kg", "higher"), ("volume_load", "kg_repetitions", "higher"), ("none", None, "lower")],
)  # fmt: skip
def test_every_score_has_its_unit_and_the_better_side(scored, unit, better):
    """Quantiles ascend in the unit of the score; the stronger athlete is on the better side."""
    written = block(cap_s=400.0)
    written = replace(written, rules=replace(written.rules, scored=scored))
    weak, strong = (forecast_block(written, scenarios(n, n)) for n in (12.0, 24.0))

    assert (weak.unit, weak.better) == (unit, better)
    finite = [value for value in strong.score_quantiles if value is not None]
    assert finite == sorted(finite)
    if scored in ("repetitions", "rounds"):
        assert strong.p50 > weak.p50
        assert strong.p50 <= 100
    if scored == "none":
        assert finite == []
        assert strong.elapsed.p50 <= weak.elapsed.p50


def test_amounts_are_paced_for_the_most():
    """As many repetitions as possible in six minutes: no policy of the grid has a higher mean."""
    written = block((2000, 2000), penalty_s=0.0)
    end = EndRule("fixed_time", time_s=360.0)
    written = replace(written, rules=replace(written.rules, scored="repetitions", end=end))
    few = scenarios(count=32)
    chosen = best_policy(written, few)
    means = {
        (share, rest): float(run_policy(written, few, Policy(share, rest)).done.mean())
        for share, rest, *_ in policy_grid(few.items)
    }

    assert means[chosen.share, chosen.own_rest_s] == max(means.values())
    assert forecast_block(written, few).p_finish == 1.0


def test_what_stops_is_whose_improvement_gains_most():
    """Worked out again by hand: 10 % more of each movement's fresh repetitions, the pacing as it was."""
    written, spread = block(), scenarios(10.0, 25.0)
    forecast = forecast_block(written, spread)
    policy = best_policy(written, spread)
    few = spread.subset(128)
    base = run_policy(written, few, policy)
    gains = []
    for item in (0, 1):
        fresh = [few.fresh[:, other] * (1.1 if other == item else 1.0) for other in (0, 1)]
        better = run_policy(written, made(written, fresh, few.multiplier), policy)
        gains.append(
            float(np.mean(base.elapsed_s + 30.0 * base.breaks - better.elapsed_s - 30.0 * better.breaks))
        )

    assert gains[0] > gains[1]
    assert forecast.stops.work == "a"
    assert forecast.stops.gain == pytest.approx(gains[0], abs=0.051)
