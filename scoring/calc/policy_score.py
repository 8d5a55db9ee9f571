"""Policies compared over scenarios: what a plan is to make small, and whether its sets keep the aim's windows."""

from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes, Work
from programming.calc.stepper import official_amount, official_seconds
from scoring.calc.items import (
    BY_INTERVALS,
    BY_LOAD,
    BY_SMALLEST,
    BY_TIME,
)
from scoring.calc.next_set import Policy
from scoring.calc.simulation import (
    LATER_HIGH,
    LATER_LOW,
    SHARE_SETS,
    SHARE_TOTAL,
    Runs,
    run_all,
)

NO_MARK: Final = -1000.0  # below any load less any assistance


@compiled
def _loss(
    codes: RuleCodes, objective: int, total: float, elapsed_s: float, breaks: int, done: float, moved: float,
    rounds: int, smallest: float, heaviest: float,
) -> float:  # fmt: skip
    """What a plan is to make small: the projected time, or the score with its sign turned."""
    if objective == BY_TIME:
        if total < np.inf:
            # Of several units the part that is done is that of the rounds, and the least of it a hundredth.
            part, least = (done, 0.01 * total) if codes.by_progress else (moved, 1.0)
            left = (total - part) * elapsed_s / max(part, least)
            return official_seconds(codes, elapsed_s, breaks) + max(0.0, left)
        return -done if codes.by_progress else -moved
    tie = 1e-6 * elapsed_s
    if objective == BY_LOAD:
        return tie - max(heaviest, NO_MARK)
    if objective == BY_INTERVALS:
        return tie - rounds
    if objective == BY_SMALLEST:
        return tie - smallest
    return tie - official_amount(codes, done, breaks)


@compiled
def losses(codes: RuleCodes, objective: int, total: float, runs: Runs) -> FloatArray:
    """(N,) of runs; only for comparing plans: unfinished work has no official score."""
    found = np.zeros(len(runs.elapsed_s))
    for n in range(len(found)):
        found[n] = _loss(
            codes, objective, total, runs.elapsed_s[n], runs.breaks[n], runs.done[n], runs.moved[n],
            runs.rounds[n], runs.smallest[n], runs.heaviest[n],
        )  # fmt: skip
    return found


@compiled
def official_times(codes: RuleCodes, elapsed_s: FloatArray, breaks: IntArray) -> FloatArray:
    """The official scores (N,) of finished work for time."""
    found = np.zeros(len(elapsed_s))
    for n in range(len(elapsed_s)):
        found[n] = official_seconds(codes, elapsed_s[n], breaks[n])
    return found


@compiled
def official_amounts(codes: RuleCodes, done: FloatArray, breaks: IntArray) -> FloatArray:
    """The official scores (N,) of amounts."""
    found = np.zeros(len(done))
    for n in range(len(done)):
        found[n] = official_amount(codes, done[n], breaks[n])
    return found


@inlined
def _keeps(sizes: FloatArray, window: FloatArray) -> bool:
    """Whether the sets of an item (5,) lie in its windows (4,)."""
    if sizes[LATER_LOW] < window[0] or sizes[LATER_HIGH] > window[1]:
        return False
    if sizes[SHARE_SETS] == 0.0:
        return True
    share = sizes[SHARE_TOTAL] / sizes[SHARE_SETS]
    return bool(window[2] <= share <= window[3])


@compiled
def score_policies(
    codes: RuleCodes,
    work: Work,
    table: FloatArray,
    weights: FloatArray,
    lead: int,
    people: FloatArray,
    multiplier: FloatArray,
    policies: FloatArray,
    windows: FloatArray,
    objective: int,
    total: float,
) -> FloatArray:
    """(P, 3): mean loss, share of scenarios whose sets all lie in `windows`, mean number of sets.

    policies (P, 4); windows (M, 4): lower, upper of each later set, of the mean share in percent, infinite where
    open.
    """
    result = np.zeros((len(policies), 3))
    for p in range(len(policies)):
        policy = Policy(policies[p, 0], policies[p, 1], policies[p, 2], policies[p, 3])
        runs = run_all(codes, work, table, weights, lead, people, multiplier, policy)
        result[p, 0], result[p, 2] = losses(codes, objective, total, runs).mean(), runs.sets.mean()
        for n in range(len(multiplier)):
            holds = True
            for item in range(len(windows)):
                holds = holds and _keeps(runs.sizes[n, item], windows[item])
            result[p, 1] += holds / len(multiplier)
    return result
