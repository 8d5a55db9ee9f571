"""What "nothing to failure" leaves: a margin that somebody could count, and not the last repetition."""

from dataclasses import replace

import numpy as np
import pytest

from programming.calc.revision import HOLD
from scoring.calc.items import KEPT, items_of
from scoring.calc.next_set import Policy
from scoring.calc.pacing import BELOW_FAILURE_SHARE, policy_grid, run_policy
from scoring.calc.scenarios import make_scenarios
from scoring.calc.simulation import SHARE_SETS, SHARE_TOTAL
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block

SPREAD = np.linspace(0.9, 1.1, 401)


def kept(low: float, *, unit: str = "repetitions", to_failure: bool = False, alone: bool = False) -> float:
    """Units that item a keeps; the least available in nine of ten scenarios is `low`."""
    share = block()
    one = replace(share.work[0], unit=unit)
    made = replace(share, work=(one, *share.work[1:]))
    fresh = SPREAD / np.quantile(SPREAD, 0.1) * low
    options = [Athlete(70.0).candidates(item=item)[3] for item in (0, 1)]
    options[0] = replace(options[0], fresh=fresh, below_failure=alone)
    return float(items_of(made, options, to_failure=to_failure).table[KEPT, 0])


@pytest.mark.parametrize(
    ("low", "left"),
    [(2.5, 1.0), (5.9, 1.0), (6.0, 2.0), (8.9, 2.0), (9.0, 3.0), (23.0, 3.0), (60.0, 3.0)],
)
def test_three_are_left_or_a_third_of_what_is_there_on_a_bad_day(low: float, left: float) -> None:
    """Who has six still does four; who has two does one."""
    assert kept(low) == left
    assert kept(low, to_failure=True, alone=True) == left
    assert kept(low, to_failure=True) == 0.0


@pytest.mark.parametrize(("low", "left"), [(9.0, 5.0), (30.0, 10.0), (45.0, 15.0), (120.0, 15.0)])
def test_a_hold_leaves_fifteen_seconds_or_a_third(low: float, left: float) -> None:
    """At least the five that are a set of their own."""
    assert kept(low, unit=HOLD) == left


def test_who_can_do_23_to_27_is_not_sent_to_22() -> None:
    """At most four fifths in any scenario that is planned, so that 25 in the middle plan 20: three under the 23."""
    options = [Athlete(70.0).candidates(item=item)[3] for item in (0, 1)]
    fresh = np.full_like(options[0].fresh, 25.0)
    options = [replace(one, fresh=fresh) for one in options]
    scenarios = make_scenarios(block(), options, MULTIPLIER, to_failure=False)
    shares = policy_grid(scenarios.items)[:, 0]
    most = float(shares.max())
    assert most == BELOW_FAILURE_SHARE
    runs = run_policy(block(), scenarios, Policy(most, 60.0))
    mean = runs.sizes[:, :, SHARE_TOTAL] / runs.sizes[:, :, SHARE_SETS]
    assert mean.max() <= 100.0 * 22.0 / 25.0
    first = np.floor(most * 25.0)
    assert 23.0 - first >= 3.0
