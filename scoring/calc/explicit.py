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
from programming.calc.rule_codes import INTERVALS, NO_ITEM, RuleCodes, Work, rule_codes, work_of
from programming.calc.stepper import BY_ATHLETE, EPSILON, next_round, start, step
from scoring.calc.books import TALLY, TRACED
from scoring.calc.next_set import Policy
from scoring.calc.planned_set import AMOUNT, ITEM, LISTED, PAUSE, REST, ROUND, SIZE, Listing
from scoring.calc.readiness import ROWS
from scoring.calc.runs import Runs, empty_runs, enter
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import LONGEST_S, run_scenario

# Behind a list as many sets are repeated at most as fit into four hours with five seconds between two.
MOST_ROWS: Final = 2880

# Why a list cannot be followed.
NO_SETS: Final = "no_sets"
TOO_MANY: Final = "too_many_sets"
AMOUNT_NOT_POSITIVE: Final = "amount_not_positive"
REST_IS_NONE: Final = "rest_is_none"
NOT_ITS_TURN: Final = "not_its_turn"
MORE_THAN_LEFT: Final = "more_than_left"
AFTER_THE_END: Final = "after_the_end"
RESTS_TOO_LONG: Final = "rests_too_long"
FAULTS: Final = (
    NO_SETS, TOO_MANY, AMOUNT_NOT_POSITIVE, REST_IS_NONE, NOT_ITS_TURN, MORE_THAN_LEFT, AFTER_THE_END, RESTS_TOO_LONG,
)  # fmt: skip


class ListedSet(NamedTuple):
    """A set of a list: the index of its item in `block.items`, amount in the item's unit, rest before it [s] since
    the end of the set before; round: of intervals the number from 0, None: as the rules have it.
    """

    item: int
    amount: float
    rest_before_s: float
    round: int | None = None


class ListError(ValueError):
    """A list that nobody can follow, whatever is in them: code is one of FAULTS; number: of the set, from 1, 0 for
    the list as a whole; asked: the item whose turn it is, NO_ITEM without one; left: what is left of it.
    """

    def __init__(self, code: str, number: int, asked: int = NO_ITEM, left: float = 0.0) -> None:
        super().__init__(f"set {number} of the list: {code}")
        self.code, self.number, self.asked, self.left = code, number, asked, left


class SetList(NamedTuple):
    """A list that was read: rows (L, 4) and what is usual (2, M) as of `Listing`; written: how many of the rows are
    the list itself, the others repeat its last round; pace: factor of the critical power for cyclical work.
    """

    rows: FloatArray
    usual: FloatArray
    written: int
    pace: float = 1.0


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
    reader, rows = _Reader(block, sets), np.empty((len(sets), LISTED))
    for number, one in enumerate(sets, start=1):
        rows[number - 1] = one.item, one.amount, one.rest_before_s, reader.take(number, one)
    return SetList(_repeated(block, rows), _usual(rows, len(block.items)), len(sets), pace)


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


class _Reader:
    """Plays a list with everything available."""

    def __init__(self, block: Block, sets: Sequence[ListedSet]) -> None:
        self.listed = {one.item for one in sets}
        self.codes, self.work = rule_codes(block), work_of(block)
        self.remaining = np.zeros(len(block.items))
        self.place = start(self.codes, self.work, self.remaining)
        self.rested_s, self.seen_in = 0.0, [-1] * len(block.items)

    def take(self, number: int, one: ListedSet) -> int:
        """The round of a set. Raises ListError."""
        self._look_at_numbers(number, one)
        self._go_to(one)
        place = self.place
        if place.item == NO_ITEM:
            raise ListError(AFTER_THE_END, number)
        left = float(self.remaining[place.item])
        if place.item != one.item or self._is_sooner(one):
            raise ListError(NOT_ITS_TURN, number, place.item, left)
        if one.amount > left + EPSILON:
            raise ListError(MORE_THAN_LEFT, number, place.item, left)
        self.seen_in[one.item] = place.round
        taken = step(self.codes, self.work, self.remaining, place, one.amount, one.rest_before_s, BY_ATHLETE)
        self.place = taken.place
        return place.round

    def _look_at_numbers(self, number: int, one: ListedSet) -> None:
        if not 0.0 < one.amount < np.inf:
            raise ListError(AMOUNT_NOT_POSITIVE, number)
        if not 0.0 <= one.rest_before_s < np.inf:
            raise ListError(REST_IS_NONE, number)
        self.rested_s += one.rest_before_s
        if self.rested_s >= min(self.codes.limit_s, LONGEST_S):
            raise ListError(RESTS_TOO_LONG, number)

    def _go_to(self, one: ListedSet) -> None:
        """Do what the list leaves out, and go to the interval of the set."""
        while self.place.item != NO_ITEM:
            if self._is_left_out(one):
                place, all_left = self.place, float(self.remaining[self.place.item])
                self.place = step(
                    self.codes, self.work, self.remaining, place, all_left, 0.0, BY_ATHLETE
                ).place
            elif self._is_later(one):
                self.place = next_round(self.codes, self.work, self.remaining, self.place.round)
            else:
                return

    def _is_left_out(self, one: ListedSet) -> bool:
        """Whether the work whose turn it is has no set in the list, or is a penalty that it passes over here."""
        item = self.place.item
        if item == self.codes.penalty_item:
            return item != one.item
        return item not in self.listed and one.item < self.codes.items and bool(self.remaining[item] < np.inf)

    def _is_sooner(self, one: ListedSet) -> bool:
        """Whether a set is told to belong to an interval whose work is done."""
        return self.codes.order == INTERVALS and one.round is not None and one.round < self.place.round

    def _is_later(self, one: ListedSet) -> bool:
        """Whether a set belongs to an interval after that of the place: as it says, or since it is not its turn, or
        open work was there before in this one.
        """
        if self.codes.order != INTERVALS or one.item >= self.codes.items:
            return False
        if one.round is not None:
            return one.round > self.place.round
        again = self.remaining[one.item] == np.inf and self.seen_in[one.item] == self.place.round
        return bool(again or (self.place.item != one.item and self.remaining[one.item] == 0.0))


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
