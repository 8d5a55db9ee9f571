"""When the next set of an item begins and how long it is: what is available, what the athlete's policy says, the
clock, and the breath.

Where a block has cyclical work, lifting draws on the same reserve (``scoring.calc.engine``): a set ends when that
is empty, and does not begin before it pays for the smallest set.
"""

from math import exp, floor, isnan
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, inlined
from scoring.calc.engine import ride, seconds_to_recover, share_after
from scoring.calc.fatigue import FAST_TAU_S, SLOW_TAU_FIRST_S, SLOW_TAU_LATER_S, recover
from scoring.calc.items import (
    CRITICAL,
    EXPONENT,
    FRESH,
    GROUP,
    KEPT,
    KIND,
    LEAST_SET,
    PACE,
    POWER,
    RATE,
    RESERVE,
    RESERVOIR,
    SECONDS,
)

WAIT_S: Final = 5.0  # step of the wait for a repetition: finer than anyone's patience
EPSILON: Final = 1e-9  # 8.0 computed as 7.999... is 8 repetitions


class Policy(NamedTuple):
    """How to pace: share of what is available, seconds since the own last set, factor of the critical power.

    worthwhile: the athlete rests until this share of the item's first set, in whole units, is available; 0: until
    the smallest set is.
    """

    share: float
    own_rest_s: float
    pace: float = 1.0
    worthwhile: float = 0.0


# Nobody waits for more than five of the smallest sets: five repetitions are a set of their own (ours).
MOST_WAITED_FOR: Final = 5.0
# Rows of the state (7, M): what is left of the round's work; of each group fast and slow fatigue at the end of its
# last set, that moment, and the number of its sets; the number of each item's sets, and the amount of its first.
REMAINING: Final = 0
FAST: Final = 1
SLOW: Final = 2
ENDED: Final = 3
RESTS: Final = 4
SEEN: Final = 5
OPENED: Final = 6
ROWS: Final = 7


class Coming(NamedTuple):
    """The next set: start [s], amount, seconds; state at its start; balance at its end.

    whole: units available, 0 where nothing limits; cut: the clock ends it; to_failure: nothing is left after it.
    """

    start: float
    amount: float
    seconds: float
    fast: float
    slow: float
    balance: float
    whole: float
    cut: bool
    to_failure: bool


@inlined
def next_start(
    earliest: float,
    fresh: float,
    fast: float,
    slow: float,
    since: float,
    rests: int,
    wanted: float,
    limit: float,
) -> tuple[float, float, float]:
    """(start, fast, slow): the first moment from `earliest` on, by WAIT_S, with `wanted` units available.

    fast, slow: the reservoirs at the moment `since`. The start is `limit` or later when there is none before.
    """
    fast, slow = recover(fast, slow, earliest - since, rests)
    if fresh - fast - slow + EPSILON >= wanted:
        return earliest, fast, slow
    if fresh < wanted:  # no rest would help
        return limit, fast, slow
    fast_step = exp(-WAIT_S / FAST_TAU_S)
    slow_step = exp(-WAIT_S / (SLOW_TAU_FIRST_S if rests == 0 else SLOW_TAU_LATER_S))
    start = earliest
    while start < limit and fresh - fast - slow + EPSILON < wanted:
        start += WAIT_S
        fast *= fast_step
        slow *= slow_step
    return start, fast, slow


@inlined
def set_size(whole: float, left: float, share: float, least: float) -> float:
    """Units of the next set: all that is left when in reach, else the share, at least the smallest set."""
    if whole >= left:
        return left
    return max(min(least, left), float(floor(share * whole + EPSILON)))


class Limited(NamedTuple):
    """What the movement's own fatigue allows: start [s], state there, whole units available, amount, to failure."""

    start: float
    fast: float
    slow: float
    whole: float
    amount: float
    to_failure: bool


@inlined
def limited_set(
    table: FloatArray, fresh: float, policy: Policy, state: FloatArray, item: int, asked: float,
    earliest: float, until: float, is_attempt: bool,
) -> Limited:  # fmt: skip
    """The next set of an item with a reservoir; see `next_set`."""
    group, left, kept = int(table[GROUP, item]), state[REMAINING, item], table[KEPT, item]
    fast, slow, ended = state[FAST, group], state[SLOW, group], state[ENDED, group]
    rests, least = int(state[RESTS, group]) - 1, table[LEAST_SET, item]
    begin = earliest
    if rests >= 0:
        rested = max(begin, ended + policy.own_rest_s)
        at_once = rested > begin and left >= asked and not is_attempt
        if at_once:  # new work that is all within reach begins at once
            soon_fast, soon_slow = recover(fast, slow, begin - ended, rests)
            at_once = floor(fresh - soon_fast - soon_slow + EPSILON) - kept >= left
        begin = begin if at_once else rested
    worth = max(
        least, min(float(floor(policy.worthwhile * state[OPENED, item] + 0.5)), MOST_WAITED_FOR * least)
    )
    wanted = -np.inf if is_attempt else min(worth, left) + kept
    soonest, fast_then, slow_then = begin, fast, slow
    begin, fast, slow = next_start(soonest, fresh, fast_then, slow_then, ended, rests, wanted, until)
    if begin >= until and worth > least:  # rather a small set than none
        wanted = min(least, left) + kept
        begin, fast, slow = next_start(soonest, fresh, fast_then, slow_then, ended, rests, wanted, until)
    whole = max(0.0, float(floor(fresh - fast - slow + EPSILON)))
    usable = max(0.0, whole - kept)
    smallest = max(least, min(worth, usable))
    amount = min(left, usable) if is_attempt else set_size(usable, left, policy.share, smallest)
    return Limited(begin, fast, slow, whole, amount, (is_attempt or policy.share >= 1.0) and kept == 0.0)


@inlined
def _cut(limited: Limited, seconds: float, until: float, balance: float) -> Coming:
    """The set as far as the clock lets it go."""
    fits = max(0.0, float(floor((until - limited.start) / seconds + EPSILON)))
    amount = min(limited.amount, fits)
    return Coming(
        limited.start, amount, amount * seconds, limited.fast, limited.slow, balance, limited.whole,
        fits < limited.amount, limited.to_failure,
    )  # fmt: skip


@inlined
def _with_breath(
    table: FloatArray, state: FloatArray, item: int, limited: Limited, critical: float, reserve: float,
    balance: float, until: float,
) -> Coming:  # fmt: skip
    """Work that is lifted or held, as far as the reserve pays for it; `balance` is that at its start."""
    power, seconds, start = table[POWER, item], table[SECONDS, item], limited.start
    fast, slow, amount, to_failure = limited.fast, limited.slow, limited.amount, limited.to_failure
    if not isnan(power) and power > critical:
        price = (power - critical) * seconds / reserve  # of a unit, as a share of the reserve
        least = min(table[LEAST_SET, item], amount)
        waited = seconds_to_recover(balance, min(least * price, 1.0 - EPSILON), critical, reserve)
        if waited > 0.0:
            balance = share_after(balance, critical, reserve, 0.0, waited)
            start += waited
            if table[KIND, item] == RESERVOIR:
                group = int(table[GROUP, item])
                since = start - state[ENDED, group]
                rests = int(state[RESTS, group]) - 1
                fast, slow = recover(state[FAST, group], state[SLOW, group], since, rests)
        breaths = max(least, float(floor(balance / price + EPSILON)))
        to_failure = to_failure and breaths >= amount
        amount = min(amount, breaths)
    coming = _cut(Limited(start, fast, slow, limited.whole, amount, to_failure), seconds, until, balance)
    after = balance if isnan(power) else share_after(balance, critical, reserve, power, coming.seconds)
    return Coming(
        coming.start, coming.amount, coming.seconds, fast, slow, after, coming.whole, coming.cut, to_failure
    )


@inlined
def next_set(
    table: FloatArray,
    lead: int,
    person: FloatArray,
    policy: Policy,
    state: FloatArray,
    item: int,
    asked: float,
    earliest: float,
    until: float,
    balance: float,
    balance_at: float,
    is_attempt: bool,
) -> Coming:
    """The next set of `item`, to begin at `earliest` and to end by `until`.

    table, lead: of Items; person (3, M): of Scenarios; asked: the whole of it in this round; balance: the share of
    the reserve at the moment balance_at. An attempt does not wait for what is not there; its amount may be 0.
    """
    left = state[REMAINING, item]
    limited = Limited(earliest, 0.0, 0.0, 0.0, left, False)
    if table[KIND, item] == RESERVOIR:
        fresh = person[FRESH, item]
        limited = limited_set(table, fresh, policy, state, item, asked, earliest, until, is_attempt)
    if limited.start >= until:
        return Coming(limited.start, 0.0, 0.0, 0.0, 0.0, balance, 0.0, True, False)
    if lead < 0:
        return _cut(limited, table[SECONDS, item], until, balance)
    critical, reserve = person[CRITICAL, lead], person[RESERVE, lead]
    balance = share_after(balance, critical, reserve, 0.0, limited.start - balance_at)
    if table[KIND, item] != PACE:
        return _with_breath(table, state, item, limited, critical, reserve, balance, until)
    piece = ride(
        balance, person[CRITICAL, item], person[RESERVE, item], policy.pace, left, table[RATE, item],
        table[EXPONENT, item], until - earliest,
    )  # fmt: skip
    cut = piece.amount < left - EPSILON
    return Coming(earliest, piece.amount, piece.seconds, 0.0, 0.0, piece.balance, 0.0, cut, False)
