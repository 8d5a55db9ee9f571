"""What the conditions that couple the items think of a block under a policy, compiled: their mean losses.

The same as ``scoring.calc.conditions`` and ``scoring.calc.loss`` tell of a forecast, for which it is told scenario by
scenario; here for the many combinations that are compared. What stops the athlete is not among it.
"""

from math import inf, log
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, compiled, inlined
from programming.calc.kept import kept
from programming.calc.revision import Block, Condition
from programming.calc.rule_codes import RuleCodes, Work, rule_codes, work_of
from scoring.calc.conditions import BROKEN, NOT_TO_BE_HAD, in_one_go, window_of
from scoring.calc.items import BY_TIME, KEPT, KIND, RESERVOIR
from scoring.calc.loss import costs_of
from scoring.calc.next_set import Policy
from scoring.calc.pacing import objective_of, total_of
from scoring.calc.policy_score import loss_of, score_of
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import (
    COLUMNS,
    FINISHED,
    FIRST,
    LATER_HIGH,
    LATER_LOW,
    SHARE_SETS,
    SHARE_TOTAL,
    Runs,
    run_all,
)

# Nobody goes on for more than three times the most that is asked: how much further a projected time goes is the
# projection's, and the few scenarios in which it is huge must not decide for all others. What is beyond counts by a
# tenth of its logarithm, so that the less hopeless of two hopeless options is still found. Both are ours.
LONGEST_COUNTED: Final = 3.0
BEYOND: Final = 0.1

# What a condition speaks about.
_KINDS: Final = {"time": 0, "score": 1, "later_sets": 2, "share_of_available": 3}
_TIME: Final = 0
_SCORE: Final = 1
_LATER: Final = 2
# Columns of the conditions asked (C, 7): kind; item, below 0 for all; bounds, infinite where open; what a unit below
# the lower and above the upper costs; times from which on they count by their logarithm, infinite without such.
_WHAT: Final = 0
_ITEM: Final = 1
_LOWER: Final = 2
_UPPER: Final = 3
_BELOW: Final = 4
_ABOVE: Final = 5
_MOST: Final = 6
_COLUMNS: Final = 7
# Columns of what is found (C, 3): the mean loss, how often it is met, 1 where it can be told.
LOSS: Final = 0
MET: Final = 1
TOLD: Final = 2
# Scenarios that are played before it is asked whether enough was lost.
AT_ONCE: Final = 16


def is_compiled(condition: Condition) -> bool:
    """Whether a condition is told here."""
    return condition.kind in _KINDS


@kept
def _asked(block: Block) -> FloatArray:
    """The conditions of a block that are told here, in their order (C, 7)."""
    conditions = [one for one in block.aim.conditions if is_compiled(one)]
    rows = np.zeros((len(conditions), _COLUMNS))
    for row, one in zip(rows, conditions, strict=True):
        window = window_of(one)
        index = None if one.work is None else block.index_of(one.work)
        row[_WHAT], row[_ITEM] = _KINDS[one.kind], -1 if index is None else index
        row[_LOWER] = -inf if window.lower is None else window.lower
        row[_UPPER] = inf if window.upper is None else window.upper
        row[_BELOW], row[_ABOVE] = costs_of(window)
        timed = one.kind == "time" and window.upper is not None and window.upper > 0.0
        row[_MOST] = LONGEST_COUNTED * (window.upper or 0.0) if timed else inf
    return rows


@kept
def _in_one_go(block: Block) -> FloatArray:
    """(M,): repetitions of a set that nobody breaks to keep a reserve, 0 where a set may be broken."""
    return np.array([in_one_go(block, index) for index in range(len(block.items))])


@inlined
def counted_seconds(seconds: float, most: float) -> float:
    """A time as far as it counts for the loss: beyond `most` by its logarithm."""
    return seconds if seconds <= most else most * (1.0 + BEYOND * log(seconds / most))


@inlined
def _mean_share(sizes: FloatArray, in_one_go: float) -> float:
    """The mean share [%] of what was available of the sets of an item (6,); NaN without one that counts."""
    if sizes[SHARE_SETS] == 0.0:
        return np.nan
    mean = sizes[SHARE_TOTAL] / sizes[SHARE_SETS]
    return float(max(mean, BROKEN) if min(sizes[FIRST], sizes[LATER_LOW]) < in_one_go else mean)


@inlined
def _shares(
    sizes: FloatArray, table: FloatArray, in_one_go: FloatArray, item: int
) -> tuple[float, float, bool]:
    """(least and greatest mean share of an item, below 0 of all that something limits; whether all were begun)."""
    low, high, begun = inf, -inf, True
    for index in range(len(sizes)):
        if table[KIND, index] != RESERVOIR or item not in (-1, index):
            continue
        begun = begun and sizes[index, FIRST] > 0.0
        mean = _mean_share(sizes[index], in_one_go[index] if table[KEPT, index] > 0.0 else 0.0)
        if not np.isnan(mean):
            low, high = min(low, mean), max(high, mean)
    return (low, high, True) if begun else (NOT_TO_BE_HAD, NOT_TO_BE_HAD, False)


@inlined
def _is_told(asked: FloatArray, table: FloatArray) -> bool:
    """Whether a condition (7,) can be told: shares of work that nothing limits cannot."""
    if asked[_WHAT] <= _LATER:
        return True
    limited = False
    for index in range(table.shape[1]):
        limited = limited or (table[KIND, index] == RESERVOIR and int(asked[_ITEM]) in (-1, index))
    return limited


@inlined
def _values(
    codes: RuleCodes, table: FloatArray, runs: Runs, n: int, asked: FloatArray, in_one_go: FloatArray,
    objective: int, total: float,
) -> tuple[float, float, bool]:  # fmt: skip
    """(lowest and highest value that a condition (7,) speaks about in a scenario, whether it was possible)."""
    what, item, finished = int(asked[_WHAT]), int(asked[_ITEM]), runs.state[n] == FINISHED
    if what == _TIME:
        seconds = runs.elapsed_s[n]
        if objective == BY_TIME:
            seconds = loss_of(
                codes, objective, total, runs.elapsed_s[n], runs.breaks[n], runs.done[n], runs.moved[n],
                runs.rounds[n], runs.smallest[n], runs.heaviest[n],
            )  # fmt: skip
        return seconds, seconds, finished
    if what == _SCORE:
        score = score_of(
            codes, objective, finished, runs.elapsed_s[n], runs.breaks[n], runs.done[n], runs.rounds[n],
            runs.smallest[n], runs.heaviest[n],
        )  # fmt: skip
        return score, score, True
    if what == _LATER:
        sizes = runs.sizes[n, item]
        return sizes[LATER_LOW], sizes[LATER_HIGH], sizes[FIRST] > 0.0
    return _shares(runs.sizes[n], table, in_one_go, item)


@compiled
def _weigh(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policy: Policy, asked: FloatArray, in_one_go: FloatArray, objective: int, total: float,
    most: float,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """(what is found of the conditions asked (C, 3), sizes of the sets (N, M, 6)); no more scenarios than it takes to
    tell that the losses add up to more than `most`: then fewer sizes, and no more is known than that.
    """
    count, last = len(multiplier), 0
    found, sizes = np.zeros((len(asked), 3)), np.empty((count, table.shape[1], COLUMNS))
    for first in range(0, count, AT_ONCE):
        last = min(first + AT_ONCE, count)
        runs = run_all(
            codes, work, table, weights, lead, people[first:last], multiplier[first:last], policy
        )  # fmt: skip
        sizes[first:last] = runs.sizes
        for row in range(len(asked)):
            if _is_told(asked[row], table):
                _add(codes, table, runs, asked[row], in_one_go, objective, total, found[row])
        if found[:, LOSS].sum() > most * count:
            break
    found[:, LOSS] /= count
    found[:, MET] /= count
    return found, sizes[:last]


@inlined
def _add(
    codes: RuleCodes, table: FloatArray, runs: Runs, one: FloatArray, in_one_go: FloatArray, objective: int,
    total: float, found: FloatArray,
) -> None:  # fmt: skip
    """Add to what is found of a condition (3,) what runs tell of it."""
    found[TOLD] = 1.0
    for n in range(len(runs.state)):
        low, high, possible = _values(codes, table, runs, n, one, in_one_go, objective, total)
        counted = counted_seconds(high, one[_MOST])
        # A cost of nothing is never multiplied: what is lost of an infinite value would be no number.
        if low < one[_LOWER] and one[_BELOW] > 0.0:
            found[LOSS] += one[_BELOW] * (one[_LOWER] - low)
        if counted > one[_UPPER]:
            found[LOSS] += one[_ABOVE] * (counted - one[_UPPER])
        if possible and low >= one[_LOWER] and high <= one[_UPPER]:
            found[MET] += 1.0


def coupled_losses(
    block: Block, scenarios: Scenarios, policy: Policy, most: float = inf
) -> tuple[FloatArray, FloatArray]:
    """(of each condition of the block for which `is_compiled`, in their order (C, 3): LOSS, the mean loss; MET, how
    often it is met; TOLD, 0 where it cannot be told; and sizes of the sets (N, M, 6) as in `run_scenario`).

    most: where the losses add up to more, the scenarios are not played to the end, sizes are fewer than N, and the
    losses are only what was lost so far.
    """
    items = scenarios.items
    return _weigh(
        rule_codes(block), work_of(block), items.table, items.weights, items.engine, scenarios.people,
        scenarios.multiplier, policy, _asked(block), _in_one_go(block), objective_of(block), total_of(block), most,
    )  # fmt: skip
