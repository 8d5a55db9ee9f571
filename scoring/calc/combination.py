"""One option per work item, jointly: what the conditions that couple the items think of a combination.

Later sets, time and score depend on all items and on the pacing, so a combination is forecast with its own best
policy. Items with a first-set window come with a shortlist, and all combinations of the shortlists are tried.
An item without one may take any option: from the best combination so far its option is moved along the ladder
of loads by shrinking steps while that helps (the loss falls to the fitting load and rises beyond it, so a
local search is enough; the tests compare it with trying everything).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block, Condition
from scoring.calc.conditions import condition_values
from scoring.calc.effort import Budget, limits_of, runs_of, sets_of_a_draw
from scoring.calc.first_set import Judged, is_new_and_unsure
from scoring.calc.forecast import Scenarios, best_policy, make_scenarios, run_policy
from scoring.calc.in_one_go import broken_cost, has_straight_sets
from scoring.calc.loss import Window, window_loss
from scoring.calc.next_set import Policy
from scoring.calc.pacing import PLAN_SCENARIOS, WORTHWHILE, policy_grid
from scoring.calc.stops import TOLD_BY
from scoring.calc.volume import NOVEL_SHARE

# Scenarios that compare combinations; the chosen one is forecast from all.
COMPARED: Final = 250
# The least of them, and of those that compare policies, however long a session is.
FEWEST_COMPARED: Final = 31
FEWEST_PLANNED: Final = 8
# Draws that the forecast comes from, and of them those that tell what stops the athlete, at least.
FEWEST_FORESEEN: Final = 64
FEWEST_STOPPED: Final = 16
# Beyond so many combinations of shortlists only the best of each item is combined.
MOST_COMBINATIONS: Final = 16
# Conditions on the block as a whole: more or less work could serve them.
OF_BLOCK: Final = frozenset({"time", "score"})
# Nobody goes on for more than three times the most that is asked: how much further a projected time goes is the
# projection's, and the few scenarios in which it is huge must not decide for all others. What is beyond counts by a
# tenth of its logarithm, so that the less hopeless of two hopeless options is still found. Both are ours.
LONGEST_COUNTED: Final = 3.0
BEYOND: Final = 0.1


@dataclass(frozen=True, eq=False)
class Combination:
    """One option per work item, its pacing and its expected loss over all conditions.

    p_block: the least probability of a condition on the block as a whole, 1 without one.
    """

    options: tuple[Judged, ...]
    policy: Policy
    loss: float
    p_block: float = 1.0


@dataclass(frozen=True, eq=False)
class Setting:
    """What all combinations share: the block, multiplier (N,), whether sets to failure may be planned, and how much
    may be simulated.
    """

    block: Block
    multiplier: FloatArray
    to_failure: bool = True
    budget: Budget = field(default_factory=Budget)

    def scenarios(self, options: Sequence[Judged]) -> Scenarios:
        """The common scenarios with these options."""
        chosen = [one.candidate for one in options]
        return make_scenarios(self.block, chosen, self.multiplier, to_failure=self.to_failure)

    def affordable(self, scenarios: Scenarios, conditions: Sequence[Condition]) -> Scenarios:
        """As many of the scenarios as the budget has for a forecast and the probabilities of the conditions."""
        sets = sets_of_a_draw(self.block, scenarios) * runs_of(conditions, scenarios.items)
        return scenarios.subset(self.budget.draws(len(scenarios.multiplier), sets, FEWEST_FORESEEN))

    def told_by(self, scenarios: Scenarios) -> int:
        """How many scenarios tell what stops the athlete."""
        sets = sets_of_a_draw(self.block, scenarios) * (1 + limits_of(scenarios.items))
        return self.budget.draws(min(TOLD_BY, len(scenarios.multiplier)), sets, FEWEST_STOPPED)

    @property
    def coupled(self) -> list[Condition]:
        """The conditions that couple the items."""
        return [condition for condition in self.block.aim.conditions if condition.kind != "first_set"]

    @property
    def is_played(self) -> bool:
        """Whether anything but what is there fresh tells combinations apart."""
        return bool(self.coupled) or has_straight_sets(self.block)

    @property
    def asks_of_block(self) -> bool:
        """Whether a condition is on the block as a whole, so that more or less work could serve it."""
        return any(condition.kind in OF_BLOCK for condition in self.coupled)


def best_combination(
    setting: Setting, shortlists: Sequence[Sequence[Judged]], ladders: Sequence[Sequence[Judged]]
) -> Combination:
    """The combination with the least expected loss, of those that the budget lets us look at.

    shortlists (M): options of each item, best first, at least one; ladders (M): all options in the order of
    their load for an item that may move, empty for one that may not.
    """
    if not setting.is_played:
        return evaluate(setting, tuple(options[0] for options in shortlists))
    lists = _bounded(shortlists)
    best = best_of(setting, list(product(*lists)))
    longest = max(len(ladder) for ladder in ladders)
    step = (longest + 2) // 3 if longest > 1 else 0
    while step and not setting.budget.stop():
        moved = _move(setting, best, ladders, step)
        if moved is best:
            step //= 2
        best = moved
    return best


def best_of(setting: Setting, combinations: Sequence[tuple[Judged, ...]]) -> Combination:
    """The best of several, the first in any case."""
    best = evaluate(setting, combinations[0])
    for options in combinations[1:]:
        if setting.budget.stop():
            break
        tried = evaluate(setting, options)
        best = tried if tried.loss < best.loss else best
    return best


def _bounded(shortlists: Sequence[Sequence[Judged]]) -> list[Sequence[Judged]]:
    """The shortlists, of the first items only while the combinations stay few."""
    kept: list[Sequence[Judged]] = []
    many = 1
    for options in shortlists:
        several = many * len(options) <= MOST_COMBINATIONS
        kept.append(options if several else options[:1])
        many *= len(kept[-1])
    return kept


def _move(setting: Setting, best: Combination, ladders: Sequence[Sequence[Judged]], step: int) -> Combination:
    """The best of the combinations one step up or down the ladder of one item; `best` itself if none is better."""
    found = best
    for item, ladder in enumerate(ladders):
        if not ladder:
            continue
        place = next(index for index, one in enumerate(ladder) if one is best.options[item])
        for target in (place - step, place + step):
            if 0 <= target < len(ladder) and not setting.budget.stop():
                options = (*best.options[:item], ladder[target], *best.options[item + 1 :])
                tried = evaluate(setting, options)
                found = tried if tried.loss < found.loss else found
    return found


def evaluate(setting: Setting, options: tuple[Judged, ...]) -> Combination:
    """Pace a combination and weigh it: the items' own losses plus those of the coupling conditions.

    What was weighed before under the same budget is not simulated again: how finely does not depend on what is spent.
    """
    most_share = NOVEL_SHARE if any(is_new_and_unsure(one) for one in options) else 1.0
    candidates = tuple(one.candidate for one in options)
    key = (setting.block, setting.to_failure, id(setting.multiplier), most_share, candidates)
    if key not in setting.budget.weighed:
        setting.budget.weighed[key] = _weigh(setting, options, most_share)
    policy, losses, p_block = setting.budget.weighed[key]
    return Combination(options, policy, sum(losses, sum(one.loss for one in options)), p_block)


def _weigh(
    setting: Setting, options: tuple[Judged, ...], most_share: float
) -> tuple[Policy, list[float], float]:
    """(the best policy, the losses of the coupling conditions and of broken sets, the least probability of a
    condition on the whole block).
    """
    scenarios = setting.scenarios(options)
    budget, sets = setting.budget, sets_of_a_draw(setting.block, scenarios)
    grid = budget.policies(policy_grid(scenarios.items, most_share), FEWEST_PLANNED, sets)
    draws = budget.draws(
        PLAN_SCENARIOS, sets * (len(grid) + len(WORTHWHILE)), FEWEST_PLANNED, budget.comparisons
    )
    policy = best_policy(setting.block, scenarios, grid, draws)
    losses: list[float] = []
    p_block = 1.0
    if setting.is_played:
        runs_each = runs_of(setting.coupled, scenarios.items)
        few = budget.draws(COMPARED, sets * runs_each, FEWEST_COMPARED, budget.comparisons)
        compared = scenarios.subset(few)
        runs = run_policy(setting.block, compared, policy)
        for condition in setting.coupled:
            values = condition_values(setting.block, condition, compared, runs, policy)
            if values.reason is not None:
                continue
            high = counted_seconds(values.high, values.window) if condition.kind == "time" else values.high
            losses.append(float(window_loss(values.low, high, values.window).mean()))
            if condition.kind in OF_BLOCK:
                p_block = min(p_block, float(values.met.mean()))
        losses.append(broken_cost(setting.block, runs))
    return policy, losses, p_block


def counted_seconds(seconds: FloatArray, window: Window) -> FloatArray:
    """Times (N,) as far as they count for the loss."""
    if window.upper is None or window.upper <= 0.0:
        return seconds
    most = LONGEST_COUNTED * window.upper
    beyond: FloatArray = most * (1.0 + BEYOND * np.log(np.maximum(seconds, most) / most))
    return np.where(seconds <= most, seconds, beyond)
