"""What becomes of a block in many scenarios, one beside the other."""

from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, IntArray, inlined
from scoring.calc.books import (
    BREAKS,
    CLOCK,
    COLUMNS,
    DONE,
    HEAVIEST,
    MISSES,
    MOVED,
    ROUNDS,
    SETS,
    SMALLEST,
)

FINISHED: Final = 0
CUT_OFF: Final = 1  # by the clock, or with something missed


class Runs(NamedTuple):
    """N scenarios, each (N,); sizes (N, M, 6) as in `run_scenario`.

    elapsed_s: clock at the end; done: as the score adds it up; moved: all units of the main work; rounds: rounds,
    rungs, intervals or attempts that were completed; misses: those that were not; smallest: the least done in an
    interval, 0 without one; heaviest: minus infinity without a set that did what was asked; state: FINISHED or
    CUT_OFF; sets: how many were done.
    """

    elapsed_s: FloatArray
    breaks: IntArray
    done: FloatArray
    moved: FloatArray
    rounds: IntArray
    misses: IntArray
    smallest: FloatArray
    heaviest: FloatArray
    state: IntArray
    sizes: FloatArray
    sets: IntArray


@inlined
def empty_runs(count: int, many: int) -> Runs:
    """Room for so many scenarios of M items."""
    return Runs(
        np.zeros(count), np.zeros(count, np.int64), np.zeros(count), np.zeros(count), np.zeros(count, np.int64),
        np.zeros(count, np.int64), np.zeros(count), np.zeros(count), np.zeros(count, np.int64),
        np.zeros((count, many, COLUMNS)), np.zeros(count, np.int64),
    )  # fmt: skip


@inlined
def enter(runs: Runs, n: int, finished: bool, tally: FloatArray) -> None:
    """Write down scenario n, the sizes of its sets apart."""
    runs.state[n] = FINISHED if finished else CUT_OFF
    runs.elapsed_s[n], runs.done[n], runs.moved[n] = tally[CLOCK], tally[DONE], tally[MOVED]
    runs.breaks[n], runs.rounds[n] = int(tally[BREAKS]), int(tally[ROUNDS])
    runs.misses[n], runs.sets[n] = int(tally[MISSES]), int(tally[SETS])
    runs.smallest[n] = 0.0 if tally[SMALLEST] == np.inf else tally[SMALLEST]
    runs.heaviest[n] = tally[HEAVIEST]
