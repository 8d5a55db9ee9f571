"""The next set of somebody who follows a written list of sets, whatever is there of it.

Every set has its item, its amount, the rest since the end of the set before (of whatever item) and the round that it
belongs to. A set of which less is there goes to failure at what is there; where not even the smallest set is, the
athlete waits for that one. What a list has left open of a round is made up behind its sets of that round, in sets of
the usual size after the usual rest; open work goes on with the list's last set and rest. Who has no set of an item in
the list does all of it at once. The clock cuts as it cuts any set.
"""

from math import inf
from typing import Final, NamedTuple

from programming.calc.arrays import FloatArray, inlined
from scoring.calc.items import KIND, LEAST_SET, PACE
from scoring.calc.next_set import (
    Coming,
    Limited,
    available_units,
    by_muscles,
    lifted_from,
    no_set,
    ridden_piece,
    usable_units,
)
from scoring.calc.readiness import EPSILON, REMAINING, breath_of, muscle_of, wait_for

# Columns of a list of sets (L, 4).
ITEM: Final = 0
AMOUNT: Final = 1
REST: Final = 2
ROUND: Final = 3
LISTED: Final = 4
# Rows of what is usual of each item (2, M): the size of its sets, 0 without any, and the rest before them [s].
SIZE: Final = 0
PAUSE: Final = 1

# How a set of the list ended.
NOT_BEGUN: Final = 0
AS_LISTED: Final = 1
FELL_SHORT: Final = 2  # less was there, or nothing at its time
CUT_SHORT: Final = 3  # by the clock


class Listing(NamedTuple):
    """A list of sets (L, 4) by the columns above, what is usual (2, M), and what is noted of a scenario: the row to
    look at next, by item (M,), how each set ended (L,) and what was done in it (L,).
    """

    rows: FloatArray
    usual: FloatArray
    following: FloatArray
    ended: FloatArray
    done: FloatArray


@inlined
def row_of(listing: Listing, round_: int, item: int) -> int:
    """The next set that the list has of an item in a round, -1 without one."""
    if listing.usual[SIZE, item] == 0.0:
        return -1
    for row in range(int(listing.following[item]), len(listing.rows)):
        if int(listing.rows[row, ITEM]) == item and listing.rows[row, ROUND] >= round_:
            return row if int(listing.rows[row, ROUND]) == round_ else -1
    return -1


@inlined
def _wanted(listing: Listing, row: int, item: int, left: float) -> tuple[float, float]:
    """(amount, rest before it [s]) of the next set of an item, by its row or what is usual."""
    if row >= 0:
        return min(listing.rows[row, AMOUNT], left), listing.rows[row, REST]
    if listing.usual[SIZE, item] == 0.0:
        return left, 0.0
    last = int(listing.following[item]) - 1
    if left == inf and last >= 0:
        return listing.rows[last, AMOUNT], listing.rows[last, REST]
    return min(listing.usual[SIZE, item], left), listing.usual[PAUSE, item]


@inlined
def _lifted(
    table: FloatArray, weights: FloatArray, lead: int, person: FloatArray, body: FloatArray, item: int, wanted: float,
    begin: float, until: float, balance: float, balance_at: float, is_attempt: bool,
) -> Coming:  # fmt: skip
    """The next set of work that is lifted or held, of so much, from a moment on."""
    breath = breath_of(table, lead, person, item, balance, balance_at)
    muscle = muscle_of(table, weights, person, body, item, balance_at)
    smallest = -inf if is_attempt else min(table[LEAST_SET, item], wanted)
    ready = wait_for(muscle, breath, begin, smallest, until)
    if ready.start >= until:
        return no_set(ready.start, balance)
    usable = usable_units(muscle, breath, ready, smallest)
    amount = min(wanted, usable)
    failing = usable < wanted and by_muscles(muscle, breath, ready, smallest)
    limited = Limited(available_units(muscle, breath, ready, amount), amount, failing)
    return lifted_from(breath, until, ready, limited)


@inlined
def listed_set(
    listing: Listing, table: FloatArray, weights: FloatArray, lead: int, person: FloatArray, pace: float,
    state: FloatArray, body: FloatArray, item: int, round_: int, earliest: float, until: float, balance: float,
    balance_at: float, is_attempt: bool,
) -> Coming:  # fmt: skip
    """The next set of `item` by the list, noted in it when it is begun; arguments as of `next_set`, balance_at the
    end of the last set, from which rests count. pace: factor of the critical power for cyclical work.
    """
    row = row_of(listing, round_, item)
    wanted, rest_s = _wanted(listing, row, item, state[REMAINING, item])
    begin = max(earliest, balance_at + rest_s)
    if table[KIND, item] == PACE:
        coming = no_set(begin, balance)
        if begin < until:
            breath = breath_of(table, lead, person, item, balance, balance_at)
            muscle = muscle_of(table, weights, person, body, item, balance_at)
            coming = ridden_piece(table, muscle, breath, person, pace, item, wanted, begin, until)
    else:
        coming = _lifted(
            table, weights, lead, person, body, item, wanted, begin, until, balance, balance_at, is_attempt
        )
    if row >= 0 and coming.start < until and (coming.amount > 0.0 or is_attempt):
        listing.following[item] = row + 1
        listing.done[row] = coming.amount
        in_time = coming.start <= begin + EPSILON
        if coming.amount >= wanted - EPSILON and in_time and wanted >= listing.rows[row, AMOUNT] - EPSILON:
            listing.ended[row] = AS_LISTED
        else:
            listing.ended[row] = CUT_SHORT if coming.cut else FELL_SHORT
    return coming
