"""What a condition of the aim speaks about, scenario by scenario, or why that cannot be told."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import REPETITIONS, Block, Condition
from scoring.calc.items import BY_TIME, KEPT, RESERVOIR
from scoring.calc.loss import SHARE_TOLERANCE, Window, in_window
from scoring.calc.pacing import Way, objective_of, plan_losses, scores_of
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import FINISHED, FIRST, LATER_HIGH, LATER_LOW, SHARE_SETS, SHARE_TOTAL, Runs
from scoring.calc.stops import NO_CAPACITY, NO_RATE, stopped_by

EFFORT: Final = "effort_not_modelled"
SKILL: Final = "skill_not_modelled"
# The share, in percent, that a set asks for where not even its first repetition is there (ours: as much too hard
# as asking for twice of what there is).
NOT_TO_BE_HAD: Final = 200.0
# Sets of so few repetitions are for strength and are done in one go: broken they are other work (common practice, no
# source).
FEW_REPETITIONS: Final = 6.0
# The share, in percent, that such a set asks for where it was broken: more than there was, by the tolerance of a
# share (ours).
BROKEN: Final = 105.0


@dataclass(frozen=True, eq=False)
class Values:
    """Lowest and highest value (N,) that a condition speaks about, its window; possible (N,): 0 where the value is
    only what would come after the clock. reason: why there are none, None when there are.
    """

    low: FloatArray
    high: FloatArray
    window: Window
    possible: FloatArray
    reason: str | None = None

    @property
    def met(self) -> FloatArray:
        """1.0 where the condition is met, else 0.0 (N,)."""
        return in_window(self.low, self.high, self.window) * self.possible


def _unknown(reason: str) -> Values:
    nothing = np.zeros(0)
    return Values(nothing, nothing, Window(None, None, True), nothing, reason)


def window_of(condition: Condition) -> Window:
    """The window of a condition, that of shares with its tolerance."""
    window = Window(condition.lower, condition.upper, low_is_hard=condition.kind not in _HIGH_IS_HARD)
    return window.widened(SHARE_TOLERANCE) if condition.kind == "share_of_available" else window


def condition_values(
    block: Block, condition: Condition, scenarios: Scenarios, runs: Runs, policy: Way
) -> Values:
    """The values of one condition.

    Time: the projected score where the clock cut the work off, so that the loss knows how far it missed.
    """
    window = window_of(condition)
    every = np.ones(len(runs.state))
    if condition.kind == "effort":
        return _unknown(EFFORT)
    if condition.kind == "stopped_by":
        return stopped_values(block, condition, scenarios, policy, runs)
    if condition.kind == "time":
        timed = objective_of(block) == BY_TIME
        seconds = plan_losses(block, runs) if timed else runs.elapsed_s
        return Values(seconds, seconds, window, (runs.state == FINISHED).astype(np.float64))
    if condition.kind == "score":
        scores = scores_of(block, runs)
        return Values(scores, scores, window, every)
    item = None if condition.work is None else block.index_of(condition.work)
    if condition.kind == "first_set":
        if item is None or scenarios.items.kind[item] != RESERVOIR:
            return _unknown(NO_CAPACITY)
        whole = np.floor(scenarios.fresh[:, item])
        return Values(whole, whole, window, every)
    if condition.kind == "later_sets":
        begun = np.where(runs.sizes[:, item, FIRST] > 0.0, 1.0, 0.0)
        return Values(runs.sizes[:, item, LATER_LOW], runs.sizes[:, item, LATER_HIGH], window, begun)
    limited = scenarios.items.kind == RESERVOIR
    if not limited.any() or (item is not None and not limited[item]):
        return _unknown(NO_CAPACITY)
    chosen = np.flatnonzero(limited) if item is None else np.array([item])
    return _shares(
        runs.sizes[:, chosen], window, np.array([_in_one_go(block, scenarios, int(one)) for one in chosen])
    )


def _in_one_go(block: Block, scenarios: Scenarios, index: int) -> float:
    """As `in_one_go`, where a reserve is kept."""
    return in_one_go(block, index) if scenarios.items.table[KEPT, index] > 0.0 else 0.0


def in_one_go(block: Block, index: int) -> float:
    """How many repetitions of an item are a set that is not broken to keep a reserve: a lighter load keeps it too.
    0 where a set may be broken.
    """
    item, rules = block.items[index], block.rules
    few = item.unit == REPETITIONS and item.amount is not None and item.amount <= FEW_REPETITIONS
    return item.amount or 0.0 if few and rules.order == "rounds" and rules.ladder is None else 0.0


def _shares(sizes: FloatArray, window: Window, in_one_go: FloatArray) -> Values:
    """Mean share of what was available [%] over the sets of an item, of several items the least and the greatest
    mean; of work that could not be begun more than all of it.

    The share of a set is its amount divided by what was available when it began, not rounded: after the sets before
    it, and after the rest. Judged by the mean, as a coach does who writes 60 to 80 %: the first set may be easier and
    the last one harder than that. The window is widened by SHARE_TOLERANCE. Of few repetitions a set
    that a reserve breaks asked for more than there was, and how easy its parts were is beside the point: BROKEN.

    sizes (N, I, 6) of the items that something limits; in_one_go (I,): repetitions of a set that nobody breaks.
    """
    counted = sizes[:, :, SHARE_SETS]
    begun = (sizes[:, :, FIRST] > 0.0).all(axis=1)
    means = sizes[:, :, SHARE_TOTAL] / np.maximum(counted, 1.0)
    smallest = np.minimum(sizes[:, :, FIRST], sizes[:, :, LATER_LOW])
    means = np.where(smallest < in_one_go, np.maximum(means, BROKEN), means)
    low = np.where(begun, np.where(counted > 0.0, means, np.inf).min(axis=1), NOT_TO_BE_HAD)
    high = np.where(begun, np.where(counted > 0.0, means, -np.inf).max(axis=1), NOT_TO_BE_HAD)
    return Values(low, high, window, np.where(begun, 1.0, 0.0))


_HIGH_IS_HARD: Final = frozenset({"time", "share_of_available"})


def stopped_values(
    block: Block, condition: Condition, scenarios: Scenarios, policy: Way, runs: Runs | None = None
) -> Values:
    """1 where the limit that stops the athlete is the one asked for; never a guess where breath is not known."""
    if condition.by == "skill":
        return _unknown(SKILL)
    limit, names = stopped_by(block, scenarios, policy, runs)
    if not names:
        return _unknown(NO_CAPACITY)
    if "unknown" in names and condition.by != "strength":
        return _unknown(NO_RATE)
    asked = [index for index, name in enumerate(names) if name == condition.by]
    told = np.isin(limit, asked).astype(np.float64)
    return Values(told, told, Window(1.0, None, low_is_hard=False), np.ones(len(told)))
