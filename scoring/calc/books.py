"""What is written down of a scenario while it is played: sizes of sets, the tally, the sets themselves."""

from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, inlined
from programming.calc.rule_codes import ATTEMPTS, RuleCodes, Work
from programming.calc.stepper import EPSILON, Place, Step, rung
from scoring.calc.items import LOAD, WEIGHT
from scoring.calc.next_set import Coming
from scoring.calc.readiness import REMAINING, STOPPED

# Columns of `sizes`.
FIRST: Final = 0
LATER_LOW: Final = 1
LATER_HIGH: Final = 2
SHARE_TOTAL: Final = 3
SHARE_SETS: Final = 4
BROKEN_SETS: Final = 5
COLUMNS: Final = 6
TRACED: Final = 7

# Of who is asked for more than is there, all of it is asked, in percent: the rest of the set comes after a pause.
MOST_ASKED: Final = 100.0

# The tally of a scenario: the clock, the end of the last set, the share of the reserve at that moment; what was done,
# as the score adds it up, and all units of the main work; what was done in the round so far, the least in one that is
# over; the heaviest load with which the asked was done; breaks, rounds (rungs, intervals, attempts) that were
# completed and those that were not; sets.
CLOCK: Final = 0
LAST_END: Final = 1
BALANCE: Final = 2
DONE: Final = 3
MOVED: Final = 4
IN_ROUND: Final = 5
SMALLEST: Final = 6
HEAVIEST: Final = 7
BREAKS: Final = 8
ROUNDS: Final = 9
MISSES: Final = 10
SETS: Final = 11
TALLY: Final = 12


@inlined
def begin(state: FloatArray, body: FloatArray, sizes: FloatArray, tally: FloatArray) -> None:
    """Empty what the scenario before has left."""
    state[:], body[:] = 0.0, 0.0
    state[STOPPED] = -np.inf
    sizes[:, FIRST] = -1.0
    sizes[:, LATER_LOW], sizes[:, LATER_HIGH] = np.inf, -np.inf
    sizes[:, SHARE_TOTAL], sizes[:, SHARE_SETS], sizes[:, BROKEN_SETS] = 0.0, 0.0, 0.0
    tally[:] = 0.0
    tally[BALANCE], tally[SMALLEST], tally[HEAVIEST] = 1.0, np.inf, -np.inf


@inlined
def note(
    sizes: FloatArray, item: int, amount: float, available: float, is_later: bool, is_own: bool, wanted: float
) -> None:
    """Keep the size of a set, and the share of what was available that was wanted of it.

    is_later: ended by the athlete's choice, after the first; is_own: begun by it, and not what was left over.
    """
    if sizes[item, FIRST] < 0.0:
        sizes[item, FIRST] = amount
    if is_later:
        sizes[item, LATER_LOW] = min(sizes[item, LATER_LOW], amount)
        sizes[item, LATER_HIGH] = max(sizes[item, LATER_HIGH], amount)
    if is_own and available > 0.0:
        sizes[item, SHARE_TOTAL] += min(100.0 * wanted / available, MOST_ASKED)
        sizes[item, SHARE_SETS] += 1.0


@inlined
def write_down(trace: FloatArray, tally: FloatArray, place: Place, coming: Coming) -> None:
    """Write a set down, while there is room."""
    row = int(tally[SETS])
    if row < len(trace):
        trace[row, 0], trace[row, 1] = place.item, coming.amount
        trace[row, 2], trace[row, 3] = coming.start - tally[LAST_END], coming.seconds
        trace[row, 4], trace[row, 5] = place.round, int(coming.cut)
        trace[row, 6] = coming.available


@inlined
def close_round(tally: FloatArray, missed: bool) -> None:
    """A round, rung, interval or attempt is over."""
    if missed:
        tally[MISSES] += 1.0
    else:
        tally[ROUNDS] += 1.0
    tally[SMALLEST], tally[IN_ROUND] = min(tally[SMALLEST], tally[IN_ROUND]), 0.0


@inlined
def count_set(
    codes: RuleCodes, work: Work, table: FloatArray, state: FloatArray, tally: FloatArray, place: Place,
    coming: Coming, taken: Step, left: float,
) -> None:  # fmt: skip
    """What a set of main work adds to the score, and whether a round is over with it."""
    complete = left - coming.amount <= EPSILON
    worth = taken.counted * table[WEIGHT, place.item]
    if codes.by_progress:
        worth /= rung(work, place.round)
    tally[MOVED] += taken.counted
    tally[DONE] += worth
    tally[IN_ROUND] += worth
    if complete or (left == np.inf and coming.amount > 0.0):
        tally[HEAVIEST] = max(tally[HEAVIEST], table[LOAD, place.item])
    over = 0.0
    for item in range(codes.items):
        over += state[REMAINING, item]
    if taken.place.round != place.round or over == 0.0:
        close_round(tally, codes.order == ATTEMPTS and not complete and left < np.inf)
