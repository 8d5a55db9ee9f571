"""One option per work item, jointly: what the conditions that couple the items think of a combination.

Later sets and time depend on both items and on the pacing, so a combination is forecast with its own best
policy. Items with a first-set window come with a shortlist, and all combinations of the shortlists are tried.
An item without one may take any option: from the best combination so far its option is moved along the ladder
of loads by shrinking steps while that helps (the loss falls to the fitting load and rises beyond it, so a
local search is enough; the tests compare it with trying everything).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block, Condition
from programming.calc.rules import rule_codes
from scoring.calc.first_set import Judged
from scoring.calc.forecast import (
    BELOW_FAILURE_GRID,
    GRID,
    Policy,
    Scenarios,
    best_policy,
    make_scenarios,
    run_policy,
)
from scoring.calc.loss import Window, window_loss
from scoring.calc.simulation import Runs

# Scenarios that compare combinations; the chosen one is forecast from all.
COMPARED: Final = 250


@dataclass(frozen=True, eq=False)
class Combination:
    """One option per work item, its pacing and its expected loss over all conditions."""

    options: tuple[Judged, ...]
    policy: Policy
    loss: float


@dataclass(frozen=True, eq=False)
class Setting:
    """What all combinations share: the block, multiplier (N,), seconds per repetition (M,)."""

    block: Block
    multiplier: FloatArray
    seconds: Sequence[float] | None

    def scenarios(self, options: Sequence[Judged]) -> Scenarios:
        """The common scenarios with these options."""
        return make_scenarios([one.candidate.fresh for one in options], self.multiplier, self.seconds)

    @property
    def coupled(self) -> list[Condition]:
        """The conditions that couple the items."""
        return [condition for condition in self.block.aim.conditions if condition.kind != "first_set"]


def best_combination(
    setting: Setting, shortlists: Sequence[Sequence[Judged]], ladders: Sequence[Sequence[Judged]]
) -> Combination:
    """The combination with the least expected loss.

    shortlists (M): options of each item, best first, at least one; ladders (M): all options in the order of
    their load for an item that may move, empty for one that may not.
    """
    if not setting.coupled:
        return evaluate(setting, tuple(options[0] for options in shortlists))
    best = min((evaluate(setting, options) for options in product(*shortlists)), key=lambda one: one.loss)
    longest = max(len(ladder) for ladder in ladders)
    step = (longest + 2) // 3 if longest > 1 else 0
    while step:
        moved = _move(setting, best, ladders, step)
        if moved is best:
            step //= 2
        best = moved
    return best


def _move(setting: Setting, best: Combination, ladders: Sequence[Sequence[Judged]], step: int) -> Combination:
    """The best of the combinations one step up or down the ladder of one item; `best` itself if none is better."""
    found = best
    for item, ladder in enumerate(ladders):
        if not ladder:
            continue
        place = next(index for index, one in enumerate(ladder) if one is best.options[item])
        for target in (place - step, place + step):
            if 0 <= target < len(ladder):
                options = (*best.options[:item], ladder[target], *best.options[item + 1 :])
                tried = evaluate(setting, options)
                found = tried if tried.loss < found.loss else found
    return found


def evaluate(setting: Setting, options: tuple[Judged, ...]) -> Combination:
    """Pace a combination and weigh it: the items' own losses plus those of the coupling conditions."""
    scenarios = setting.scenarios(options)
    alone_under_a_bar = any(one.candidate.below_failure for one in options)
    policy = best_policy(setting.block, scenarios, BELOW_FAILURE_GRID if alone_under_a_bar else GRID)
    loss = sum(one.loss for one in options)
    if setting.coupled:
        compared = scenarios.subset(COMPARED)
        runs = run_policy(setting.block, compared, policy)
        for condition in setting.coupled:
            loss += float(window_loss(*condition_values(setting.block, condition, compared, runs)).mean())
    return Combination(options, policy, loss)


def condition_values(
    block: Block, condition: Condition, scenarios: Scenarios, runs: Runs
) -> tuple[FloatArray, FloatArray, Window]:
    """Lowest and highest value (N,) that the condition speaks about, and its window.

    Time: the projected score where the clock cut the work off, so that the loss knows how far it missed.
    """
    item = 0 if condition.work is None else block.index_of(condition.work)
    window = Window(condition.lower, condition.upper, low_is_hard=condition.kind != "time")
    if condition.kind == "first_set":
        whole = np.floor(scenarios.fresh[:, item])
        return whole, whole, window
    if condition.kind == "later_sets":
        return runs.later[:, item, 0], runs.later[:, item, 1], window
    score = runs.elapsed_s + rule_codes(block.rules).penalty_s * runs.breaks
    score = score + (block.repetitions - runs.done) * runs.elapsed_s / np.maximum(runs.done, 1)
    return score, score, window
