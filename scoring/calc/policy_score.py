"""What a plan is to make small, and the official scores of runs."""

from typing import Final

import numpy as np

from programming.calc.arrays import BoolArray, FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes
from programming.calc.stepper import official_amount, official_seconds
from scoring.calc.books import BREAKS, CLOCK, DONE, HEAVIEST, MOVED, ROUNDS, SMALLEST
from scoring.calc.items import (
    BY_INTERVALS,
    BY_LOAD,
    BY_SMALLEST,
    BY_TIME,
)
from scoring.calc.simulation import Runs

NO_MARK: Final = -1000.0  # below any load less any assistance


@inlined
def loss_of(
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


@inlined
def loss_of_tally(codes: RuleCodes, objective: int, total: float, tally: FloatArray) -> float:
    """The same of one scenario's books (T,)."""
    smallest = 0.0 if tally[SMALLEST] == np.inf else tally[SMALLEST]
    return loss_of(
        codes, objective, total, tally[CLOCK], int(tally[BREAKS]), tally[DONE], tally[MOVED], int(tally[ROUNDS]),
        smallest, tally[HEAVIEST],
    )  # fmt: skip


@compiled
def losses(codes: RuleCodes, objective: int, total: float, runs: Runs) -> FloatArray:
    """(N,) of runs; only for comparing plans: unfinished work has no official score."""
    found = np.zeros(len(runs.elapsed_s))
    for n in range(len(found)):
        found[n] = loss_of(
            codes, objective, total, runs.elapsed_s[n], runs.breaks[n], runs.done[n], runs.moved[n],
            runs.rounds[n], runs.smallest[n], runs.heaviest[n],
        )  # fmt: skip
    return found


@inlined
def score_of(
    codes: RuleCodes, objective: int, finished: bool, elapsed_s: float, breaks: int, done: float, rounds: int,
    smallest: float, heaviest: float,
) -> float:  # fmt: skip
    """The official score: infinite where work for time was not finished, minus infinity without a mark; the clock
    where nothing is scored.
    """
    if objective == BY_TIME:
        return official_seconds(codes, elapsed_s, breaks) if finished else np.inf
    if objective == BY_LOAD:
        return heaviest
    if objective == BY_INTERVALS:
        return float(rounds)
    if objective == BY_SMALLEST:
        return smallest
    return official_amount(codes, done, breaks)


@compiled
def scores(
    codes: RuleCodes, objective: int, finished: BoolArray, elapsed_s: FloatArray, breaks: IntArray, done: FloatArray,
    rounds: IntArray, smallest: FloatArray, heaviest: FloatArray,
) -> FloatArray:  # fmt: skip
    """The official scores (N,)."""
    found = np.zeros(len(finished))
    for n in range(len(finished)):
        found[n] = score_of(
            codes,
            objective,
            finished[n],
            elapsed_s[n],
            breaks[n],
            done[n],
            rounds[n],
            smallest[n],
            heaviest[n],
        )
    return found
