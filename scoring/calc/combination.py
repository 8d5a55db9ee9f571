"""One option per work item, jointly: what the conditions that couple the items think of a combination.

Later sets, time and score depend on all items and on the pacing, so a combination is forecast with its own best
policy. From the options that serve each item best for itself, options are moved along the ladders of loads by
shrinking steps while that helps (the loss falls to the fitting load and rises beyond it, so a local search is
enough; the tests compare it with trying everything). An item with a first-set window takes those alone that have a
chance in it. A step that is far worse even under the pacing of where it came from is not paced for itself.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, cast

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block, Condition
from scoring.calc.candidate import Candidate
from scoring.calc.conditions import condition_values
from scoring.calc.effort import Budget, limits_of, runs_of, sets_of_a_draw
from scoring.calc.first_set import Judged, is_new_and_unsure
from scoring.calc.forecast import Scenarios, best_policy, make_scenarios, run_policy
from scoring.calc.in_one_go import broken_cost, has_straight_sets
from scoring.calc.loss import NOT_AS_WRITTEN, Window, window_loss
from scoring.calc.next_set import Policy
from scoring.calc.pacing import PLAN_SCENARIOS, WORTHWHILE, more_careful, policy_grid
from scoring.calc.stops import TOLD_BY
from scoring.calc.volume import NOVEL_SHARE

# Scenarios that compare combinations; the chosen one is forecast from all.
COMPARED: Final = 256
# The least of them, and of those that compare policies, however long a session is.
FEWEST_COMPARED: Final = 32
FEWEST_PLANNED: Final = 8
# Draws that the forecast comes from, and of them those that tell what stops the athlete, at least.
FEWEST_FORESEEN: Final = 64
FEWEST_STOPPED: Final = 16
# A combination whose loss under the pacing of its neighbour is worse than the neighbour's by this, in some of the
# scenarios, is not paced itself.
GLIMPSED: Final = 0.1
GLANCES: Final = 64
# Conditions on the block as a whole: more or less work could serve them.
OF_BLOCK: Final = frozenset({"time", "score"})
# Nobody goes on for more than three times the most that is asked: how much further a projected time goes is the
# projection's, and the few scenarios in which it is huge must not decide for all others. What is beyond counts by a
# tenth of its logarithm, so that the less hopeless of two hopeless options is still found. Both are ours.
LONGEST_COUNTED: Final = 3.0
BEYOND: Final = 0.1


@dataclass(frozen=True, eq=False)
class Weighed:
    """What was found of a combination: its pacing, the losses of the coupling conditions and of broken sets, the
    least probability of a condition on the block as a whole (1 without one), and about how many sets a draw has.
    """

    policy: Policy
    losses: tuple[float, ...]
    p_block: float
    sets: float


@dataclass(frozen=True, eq=False)
class Combination:
    """One option per work item, its expected loss over all conditions, and what was found of it."""

    options: tuple[Judged, ...]
    loss: float
    found: Weighed

    @property
    def policy(self) -> Policy:
        """Its pacing."""
        return self.found.policy

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Its options, without what was judged of them."""
        return tuple(one.candidate for one in self.options)

    @property
    def p_block(self) -> float:
        """The least probability of a condition on the block as a whole, 1 without one."""
        return self.found.p_block


@dataclass(frozen=True, eq=False)
class Setting:
    """What all combinations share: the block, multiplier (N,), whether sets to failure may be planned, and how much
    may be simulated.
    """

    block: Block
    multiplier: FloatArray
    to_failure: bool = True
    budget: Budget = field(default_factory=Budget)

    def scenarios(self, options: Sequence[Judged], count: int | None = None) -> Scenarios:
        """The common scenarios, or the first of them, with these options."""
        chosen = [one.candidate for one in options]
        return make_scenarios(self.block, chosen, self.multiplier, to_failure=self.to_failure, count=count)

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
    setting: Setting, alone: Sequence[Judged], ladders: Sequence[Sequence[Judged]]
) -> Combination:
    """The combination with the least expected loss, of those that the budget lets us look at.

    alone (M): the option that serves each item best for itself; ladders (M): the options that an item may take for
    the sake of the whole block, in the order of their load.
    """
    best = evaluate(setting, tuple(alone))
    if not setting.is_played:
        return best
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


def _move(setting: Setting, best: Combination, ladders: Sequence[Sequence[Judged]], step: int) -> Combination:
    """The best of the combinations one step up or down the ladder of one item; `best` itself if none is better."""
    found = best
    for options in _neighbours(best.options, ladders, step):
        if setting.budget.stop():
            break
        if _has_a_chance(setting, options, best, found.loss + GLIMPSED):
            tried = evaluate(setting, options)
            # Like the version as written, what serves best for itself is not left within the noise.
            least = best.loss - NOT_AS_WRITTEN if found is best else found.loss
            found = tried if tried.loss < least else found
    return found


def _neighbours(
    options: tuple[Judged, ...], ladders: Sequence[Sequence[Judged]], step: int
) -> Iterator[tuple[Judged, ...]]:
    """The options with one of them a step down or up its ladder; one that is not on it stays."""
    for item, ladder in enumerate(ladders):
        place = next((index for index, one in enumerate(ladder) if one is options[item]), None)
        for target in () if place is None else (place - step, place + step):
            if 0 <= target < len(ladder):
                yield (*options[:item], ladder[target], *options[item + 1 :])


def _has_a_chance(setting: Setting, options: tuple[Judged, ...], near: Combination, most: float) -> bool:
    """Whether a combination may lose less than that: it does paced as a near one is or with more care, a tenth of the
    work of finding its own pacing.
    """
    own = sum(one.loss for one in options)
    if any(is_new_and_unsure(one) for one in options):
        return own < most  # paced with less: not to be told by the neighbour
    if own >= most:
        return False
    scenarios = setting.scenarios(options, GLANCES)
    tried = (near.policy, more_careful(near.policy))
    return any(own + sum(_losses(setting, scenarios, one, near.found.sets)[0]) < most for one in tried)


def evaluate(setting: Setting, options: tuple[Judged, ...]) -> Combination:
    """Pace a combination and weigh it: the items' own losses plus those of the coupling conditions.

    What was weighed before under the same budget is not simulated again: how finely does not depend on what is spent.
    """
    most_share = NOVEL_SHARE if any(is_new_and_unsure(one) for one in options) else 1.0
    candidates = tuple(one.candidate for one in options)
    key = (setting.block, setting.to_failure, id(setting.multiplier), most_share, candidates)
    weighed = setting.budget.weighed
    if key not in weighed:
        weighed[key] = _weigh(setting, options, most_share)
    found = cast(Weighed, weighed[key])
    return Combination(options, sum(found.losses, sum(one.loss for one in options)), found)


def _weigh(setting: Setting, options: tuple[Judged, ...], most_share: float) -> Weighed:
    """Pace a combination, and weigh it under that pacing."""
    scenarios = setting.scenarios(options, COMPARED)
    budget, sets = setting.budget, sets_of_a_draw(setting.block, scenarios)
    grid = budget.policies(policy_grid(scenarios.items, most_share), FEWEST_PLANNED, sets)
    draws = budget.draws(
        PLAN_SCENARIOS, sets * (len(grid) + len(WORTHWHILE)), FEWEST_PLANNED, budget.comparisons
    )
    policy = best_policy(setting.block, scenarios, grid, draws)
    losses, p_block = _losses(setting, scenarios, policy, sets) if setting.is_played else ([], 1.0)
    return Weighed(policy, tuple(losses), p_block, sets)


def _losses(setting: Setting, scenarios: Scenarios, policy: Policy, sets: float) -> tuple[list[float], float]:
    """(the losses of the coupling conditions and of broken sets, the least probability of a condition on the whole
    block) under one policy; sets: about so many in a draw.
    """
    losses: list[float] = []
    p_block = 1.0
    budget, runs_each = setting.budget, runs_of(setting.coupled, scenarios.items)
    wanted = min(COMPARED, len(scenarios.multiplier))
    few = budget.draws(wanted, sets * runs_each, min(wanted, FEWEST_COMPARED), budget.comparisons)
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
    return losses, p_block


def counted_seconds(seconds: FloatArray, window: Window) -> FloatArray:
    """Times (N,) as far as they count for the loss."""
    if window.upper is None or window.upper <= 0.0:
        return seconds
    most = LONGEST_COUNTED * window.upper
    beyond: FloatArray = most * (1.0 + BEYOND * np.log(np.maximum(seconds, most) / most))
    return np.where(seconds <= most, seconds, beyond)
