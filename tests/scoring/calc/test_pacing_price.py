"""What another pacing costs, worked out again by hand from the runs."""

import json
from dataclasses import replace

import numpy as np
import pytest

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.forecast import BlockForecast, Policy, forecast_block, make_scenarios, run_policy
from scoring.calc.pacing_price import neighbours, other_pacings
from tests.scoring.calc.blocks import block

OPTION = Option("any", 20.0, None, None, 50.0)


def scenarios(written, fresh=(16.0, 14.0), *, spread=0.15, count=64, **named):
    """Days of one athlete."""
    draws = np.exp(np.linspace(-spread, spread, count))
    order = np.random.default_rng(4).permutation(count)
    made = [
        Candidate(OPTION, one * draw) for one, draw in zip(fresh, (draws[order], draws[::-1]), strict=True)
    ]
    return make_scenarios(written, made, np.full(count, 0.5), **named)


def seconds(written, spread, policy):
    """The official time of each scenario, by hand: the clock and 30 s for each break."""
    runs = run_policy(written, spread, policy)
    return runs.elapsed_s + 30.0 * runs.breaks, runs.breaks


def test_the_price_is_the_median_of_what_each_scenario_loses():
    """Rests of 60 in place of 40 s and to failure, each beside the pacing as it is."""
    written = block()
    spread, policy = scenarios(written), Policy(0.8, 40.0)
    found = {one.change: one for one in other_pacings(written, spread, policy)}
    before, breaks = seconds(written, spread, policy)
    told = {
        "longer_rest": Policy(0.8, 60.0), "shorter_rest": Policy(0.8, 20.0), "smaller_sets": Policy(0.7, 40.0),
        "to_failure": Policy(1.0, 40.0),
    }  # fmt: skip

    assert found
    for change, one in found.items():
        after, more = seconds(written, spread, told[change])
        assert (one.own_rest_s, one.share) == (told[change].own_rest_s, told[change].share)
        assert one.costs == pytest.approx(np.median(after - before), abs=0.006)
        assert one.breaks == np.median(more - breaks)
    for change in told.keys() - found.keys():  # what is left out is within the noise
        after, _ = seconds(written, spread, told[change])
        assert abs(np.median(after - before)) <= 2.0 * 1.2533 * (after - before).std() / 8.0


def test_sets_to_failure_cost_more_where_breaks_cost_more():
    """Common practice, no source: going to failure costs time once several sets follow."""
    written = block((80, 80))
    spread = scenarios(written, (14.0, 14.0))
    found = {one.change: one.costs for one in other_pacings(written, spread, Policy(0.8, 40.0))}

    assert found["to_failure"] > 0.0


def test_nothing_is_priced_that_may_not_be_planned():
    """Where something is always kept there is no going to failure; who has all in reach has no other pacing."""
    written = block()
    assert "to_failure" not in neighbours(Policy(0.8, 40.0), scenarios(written, to_failure=False).items)
    free = make_scenarios(written, [Candidate(OPTION, np.full(8, np.inf), kind="none")] * 2, np.full(8, 0.5))
    assert neighbours(Policy(0.6, 20.0), free.items) == {}
    assert other_pacings(written, free, Policy(0.6, 20.0)) == ()
    unscored = replace(written, rules=replace(written.rules, scored="none"))
    assert other_pacings(unscored, scenarios(written), Policy(0.8, 40.0)) == ()


def test_pacings_that_come_to_the_same_are_not_told():
    """All within reach: no change changes anything."""
    written = block((5, 4))
    assert other_pacings(written, scenarios(written), Policy(0.8, 40.0)) == ()


def test_a_forecast_keeps_the_prices_and_reads_one_without():
    """JSON brings them back; what was stored before there were any has none."""
    written = block()
    forecast = forecast_block(written, scenarios(written))
    stored = json.loads(json.dumps(forecast.to_json()))

    assert forecast.other_pacings
    assert BlockForecast.from_json(stored) == forecast
    del stored["other_pacings"]
    assert BlockForecast.from_json(stored) == replace(forecast, other_pacings=())


def test_what_would_save_is_kept_with_its_sign():
    """Rests of two and a half minutes with sets of 60 %, where breaks cost 30 s: going on sooner saves time."""
    written = block()
    policy = Policy(0.6, 150.0)
    found = {one.change: one for one in other_pacings(written, scenarios(written), policy)}
    assert found["shorter_rest"].costs < 0.0
    forecast = forecast_block(written, scenarios(written), policy)
    stored = BlockForecast.from_json(json.loads(json.dumps(forecast.to_json())))
    assert {one.change: one.costs for one in stored.other_pacings}["shorter_rest"] < 0.0
