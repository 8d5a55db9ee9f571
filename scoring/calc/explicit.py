"""A block done by a written list of sets instead of a policy: the list read by the rules, and played.

A list may be as short as one set. What it has of its last round is repeated in the rounds behind it; how it is
followed where less is there, and what becomes of what it leaves open, tells ``scoring.calc.planned_set``. Read with
everything available, the rules say to which round each set belongs, and whether it can be its turn at all: a set out
of turn, or of more than is left of its item, is a fault of the list and not a forecast. An item, and a penalty, may
be left out of a list; it is then done at once.
"""

from collections.abc import Sequence
from statistics import median
from typing import Final, NamedTuple

import numpy as np

from athletes.calc.fatigue import BODY_ROWS
from programming.calc.arrays import FloatArray, compiled
from programming.calc.extent import MOST_SETS
from programming.calc.revision import Block
from programming.calc.rule_codes import RuleCodes, Work, rule_codes, work_of
from scoring.calc.books import TALLY, TRACED
from scoring.calc.list_reader import (
    FAULTS,
    NO_SETS,
    TOO_MANY,
    Filled,
    ListedSet,
    ListError,
    LongerRest,
    Reader,
)
from scoring.calc.next_set import Policy
from scoring.calc.planned_set import AMOUNT, ITEM, LISTED, PAUSE, REST, ROUND, SIZE, Listing
from scoring.calc.readiness import ROWS
from scoring.calc.runs import Runs, empty_runs, enter
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import run_scenario

__all__ = [
    "FAULTS", "Filled", "ListError", "ListRuns", "ListedSet", "LongerRest", "SetList", "listing_of", "play_list",
    "read_list", "run_list",
]  # fmt: skip

# Behind a list as many sets are repeated at most as fit into four hours with five seconds between two.
MOST_ROWS: Final = 2880


class SetList(NamedTuple):
    """A list that was read: rows (L, 4) and what is usual (2, M) as of `Listing`; written: how many of the rows are
    the list itself, the others repeat its last round; pace: factor of the critical power for cyclical work; filled:
    what the rules make of what the list leaves open.
    """

    rows: FloatArray
    usual: FloatArray
    written: int
    pace: float = 1.0
    filled: Filled = Filled((), (), ())


class ListRuns(NamedTuple):
    """What comes of a list: runs; of each written set and scenario (N, L), how it ended (NOT_BEGUN, AS_LISTED,
    FELL_SHORT, CUT_SHORT) and what was done in it.
    """

    runs: Runs
    ended: FloatArray
    done: FloatArray


def read_list(block: Block, sets: Sequence[ListedSet], pace: float = 1.0) -> SetList:
    """The list as the rules of the block read it. Raises ListError where nobody could follow it, IndexError for an
    item that the block has not.
    """
    if not sets:
        raise ListError(NO_SETS, 0)
    if len(sets) > MOST_SETS:
        raise ListError(TOO_MANY, MOST_SETS + 1)
    reader, rows = Reader(block, sets), np.empty((len(sets), LISTED))
    for number, one in enumerate(sets, start=1):
        rows[number - 1] = one.item, one.amount, one.rest_before_s, reader.take(number, one)
    return SetList(_repeated(block, rows), _usual(rows, len(block.items)), len(sets), pace, reader.filled())


def play_list(block: Block, scenarios: Scenarios, listed: SetList, pace: float | None = None) -> ListRuns:
    """All scenarios by a list; pace None: its own."""
    items = scenarios.items
    runs, ended, done = _play_all(
        rule_codes(block), work_of(block), items.table, items.weights, items.engine, scenarios.people,
        scenarios.multiplier, listed.pace if pace is None else pace, listed.rows, listed.usual,
    )  # fmt: skip
    return ListRuns(runs, ended[:, : listed.written], done[:, : listed.written])


def run_list(block: Block, scenarios: Scenarios, sets: Sequence[ListedSet], pace: float = 1.0) -> Runs:
    """All scenarios by a list, told as `run_policy` tells them. Raises as `read_list`."""
    return play_list(block, scenarios, read_list(block, sets, pace)).runs


def listing_of(listed: SetList, many: int) -> Listing:
    """Room for one scenario by a list, of a block with so many items."""
    rows = len(listed.rows)
    return Listing(listed.rows, listed.usual, np.zeros(many), np.zeros(rows), np.zeros(rows))


@compiled
def _play_all(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, pace: float, rows: FloatArray, usual: FloatArray,
) -> tuple[Runs, FloatArray, FloatArray]:  # fmt: skip
    """(runs, how each set of the list ended (N, L), what was done in it (N, L))."""
    count, many = len(multiplier), table.shape[1]
    runs = empty_runs(count, many)
    ended, done = np.zeros((count, len(rows))), np.zeros((count, len(rows)))
    room, body, following = np.zeros((ROWS, many)), np.zeros((BODY_ROWS, weights.shape[1])), np.zeros(many)
    tally, no_trace = np.zeros(TALLY), np.zeros((0, TRACED))
    policy = Policy(1.0, 0.0, pace, 0.0)
    for n in range(count):
        following[:] = 0.0
        finished = run_scenario(
            codes, work, table, weights, lead, people[n], multiplier[n], policy, room, body, runs.sizes[n], tally,
            no_trace, Listing(rows, usual, following, ended[n], done[n]),
        )  # fmt: skip
        enter(runs, n, finished, tally)
    return runs, ended, done


def _repeated(block: Block, rows: FloatArray) -> FloatArray:
    """The rows with those of the last round again in the rounds behind it, as far as there are such."""
    codes, last = rule_codes(block), int(rows[-1, ROUND])
    turn = codes.items if codes.in_turn else 1
    pattern = rows[rows[:, ROUND] > last - turn]
    rounds = np.arange(last + 1, min(codes.repeats, last + 1 + MOST_ROWS * turn))
    copies = min(-(-len(rounds) // turn), MOST_ROWS // len(pattern))
    if copies <= 0:
        return rows
    again = np.tile(pattern, (copies, 1))
    again[:, ROUND] += np.repeat(np.arange(1, copies + 1) * turn, len(pattern))
    return np.concatenate([rows, again])


def _usual(rows: FloatArray, many: int) -> FloatArray:
    """The median size of the sets of each item (2, M), and of the rests before them; the first set has no rest."""
    usual, rests = np.zeros((2, many)), rows[1:, REST]
    between = float(np.median(rests)) if len(rests) else 0.0
    for item in range(many):
        own = rows[:, ITEM] == item
        if own.any():
            usual[SIZE, item] = max(1.0, round(median(rows[own, AMOUNT].tolist())))
            later = rests[own[1:]]
            usual[PAUSE, item] = float(np.median(later)) if len(later) else between
    return usual
