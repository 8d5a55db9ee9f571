"""Attempts with a load of their own each, as the simulation plays them.

The stepper gives a work item one load. So each attempt is an item of its own here, all of one movement, which share
their fatigue, and one of them is due in each round. The block exists in the computation alone: nothing of it is
stored, and what is foreseen is told under the key of the item that the coach wrote.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import REPETITIONS, Block, Intervals
from scoring.calc.candidate import Candidate
from scoring.calc.effort import Budget
from scoring.calc.forecast import BlockForecast, PlannedSet, WorkForecast
from scoring.calc.foresee import Foreseen, foresee
from scoring.calc.next_set import Policy
from scoring.calc.pacing import run_policy
from scoring.calc.scenarios import make_scenarios

_IN_TURN: Final = Intervals(every_s=1.0, count=None, in_turn=True)
"""Of these the order "attempts" reads that the items take turns, and nothing else."""
AT_ONCE: Final = Policy(1.0, 0.0)


@dataclass(frozen=True, eq=False)
class Attempts:
    """What is foreseen of attempts: the forecast under the written key, and how likely each succeeds."""

    seen: Foreseen
    probabilities: tuple[float, ...]


def may_rise(block: Block) -> bool:
    """Whether each attempt may have a load of its own: a number of attempts at so many repetitions of one item, the
    heaviest of which is scored."""
    rules = block.rules
    return (
        rules.order == "attempts"
        and rules.scored == "load"
        and rules.attempts is not None
        and len(block.items) == 1
        and block.work[0].amount is not None
        and block.work[0].unit == REPETITIONS
    )


def one_by_one(block: Block) -> Block:
    """The block with an item for each attempt, the first under the written key."""
    if not may_rise(block):
        raise ValueError(f"block {block.key} has no attempts that may rise")
    item, count = block.work[0], block.rules.attempts or 0
    keys = [item.key, *(f"{item.key}#{number}" for number in range(2, count + 1))]
    work = tuple(replace(item, key=key) for key in keys)
    return replace(block, work=work, rules=replace(block.rules, intervals=_IN_TURN))


def heaviest_of(block: Block, candidates: Sequence[Candidate], multiplier: FloatArray) -> float:
    """Expected heaviest load [kg] that succeeds, 0 where none does, with one candidate for each attempt in order."""
    played = one_by_one(block)
    runs = run_policy(played, make_scenarios(played, candidates, multiplier), AT_ONCE)
    return float(np.maximum(runs.heaviest, 0.0).mean())


def foresee_attempts(
    block: Block, candidates: Sequence[Candidate], *, multiplier: FloatArray, budget: Budget | None = None
) -> Attempts:
    """The forecast of attempts with one candidate for each, in order.

    An attempt is made or fails: no reserve is kept in it, whatever is planned of other sets. Raises ValueError where
    the candidates are not as many as the block's attempts.
    """
    played = one_by_one(block)
    whole = [replace(one, below_failure=False) for one in candidates]
    seen = foresee(played, whole, multiplier=multiplier, budget=budget)
    scenarios = make_scenarios(played, whole, multiplier)
    asked = block.work[0].amount or 0.0
    first = run_policy(played, scenarios, AT_ONCE).sizes[:, :, 0]  # of each item its only set
    probabilities = tuple(round(float(one), 3) for one in (first >= asked - 1e-9).mean(axis=0))
    forecast = _as_written(seen.forecast, block.work[0].key, asked)
    return Attempts(replace(seen, forecast=forecast), probabilities)


def _as_written(forecast: BlockForecast, key: str, asked: float) -> BlockForecast:
    """Under the written key, each attempt planned as what is attempted: half of the last ones fail."""
    plan = tuple(PlannedSet(key, asked, one.rest_before_s, one.unit) for one in forecast.plan)
    stops = forecast.stops
    if stops is not None and stops.work is not None:
        stops = replace(stops, work=key)
    first: WorkForecast = replace(forecast.work[0], smallest_later=None, largest_later=None)
    return replace(forecast, plan=plan, stops=stops, work=(first,))
