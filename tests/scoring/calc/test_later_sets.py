"""Later sets are the sets that the athlete chose to end: the forecast and the check of the aim mean the same ones."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.revision import Aim, Block
from scoring.calc.aim import check_aim
from scoring.calc.attempt import SetLog
from scoring.calc.conditions import condition_values
from scoring.calc.forecast import make_scenarios, run_policy
from scoring.calc.loss import in_window
from scoring.calc.next_set import Policy
from scoring.calc.pacing import trace_policy
from scoring.calc.prescribe import prescribe
from scoring.calc.score import official_score
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, later_sets
from tests.scoring.calc.orders import blocks
from tests.scoring.calc.test_simulation import FRESH, POLICIES, SECONDS, candidates, written_down
from tests.support.examples import examples


def in_rounds(floor: float) -> Block:
    """Five rounds of eight of each item, with a floor of later sets of the first."""
    written = block((8, 8), conditions=[later_sets(floor)])
    return replace(written, rules=replace(written.rules, order="rounds", rounds=5))


def both_ends(
    asked: Block, fresh: list[float], seconds: list[float], multiplier: float, policy: Policy
) -> tuple[float, str]:
    """(P of the floor in the one scenario, what the aim says of the log of that scenario)."""
    made = candidates(asked, fresh, seconds)
    scenarios = make_scenarios(asked, made, np.array([multiplier]))
    runs = run_policy(asked, scenarios, policy)
    values = condition_values(asked, asked.aim.conditions[0], scenarios, runs, policy)
    trace, clock, _ = trace_policy(asked, scenarios, policy, scenarios.people[0], multiplier, 3000)
    sets, end = written_down(asked, trace)
    log = SetLog(sets, max(end, clock))
    (outcome,) = check_aim(asked, log, official_score(asked, log), None)
    return float(in_window(values.low, values.high, values.window)[0]), outcome.state


@pytest.mark.parametrize(
    ("fresh", "multiplier", "holds"),
    [
        (40.0, 0.1, (1.0, "met")),  # eight unbroken in each round: nobody chose to stop at fewer than ten
        (9.0, 0.9, (0.0, "missed")),  # a round falls into pieces: the first piece was chosen, and is no ten
    ],
)
def test_rounds_that_are_done_whole_meet_a_floor_above_them(fresh, multiplier, holds):
    """Five rounds of eight, floor ten, by hand; the forecast and the aim, on one log."""
    assert both_ends(in_rounds(10), [fresh, 40.0], [2.0, 2.0], multiplier, Policy(0.8, 20.0)) == holds


def test_a_floor_above_the_rounds_is_no_reason_to_refuse():
    """Who does every round whole is prescribed, with P = 1."""
    strong = Athlete(90.0)
    result = prescribe(
        in_rounds(10),
        {
            key: [replace(one, is_as_written=True) for one in strong.candidates(item=item, loads=(30.0,))]
            for item, key in enumerate("ab")
        },
        multiplier=MULTIPLIER,
    )

    assert result.feasible
    assert [one.probability for one in result.conditions] == [1.0]


@given(blocks(), FRESH, SECONDS, st.floats(0.1, 1.5), POLICIES, st.sampled_from([2.0, 5.0, 10.0]))
@settings(max_examples=examples(60), deadline=None)
def test_forecast_and_aim_mean_the_same_sets(written, fresh, seconds, multiplier, policy, floor):
    """Every order, break rule and end: the floor holds in the scenario exactly when it is met by its log."""
    asked = replace(written, aim=Aim((later_sets(floor),)))
    probability, state = both_ends(asked, fresh, seconds, multiplier, policy)

    if state == "unknown":  # the clock left no set of it at all
        assert probability == 1.0
    else:
        assert state == ("met" if probability else "missed")
