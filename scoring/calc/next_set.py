"""When the next set of an item begins and how long it is: what is available, what the athlete's policy says, the
clock, and the breath.

Where a block has cyclical work, lifting draws on the same reserve (``scoring.calc.engine``): a set ends when that
is empty, and does not begin before it pays for the smallest set.
"""

from math import exp, floor, isnan
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, inlined
from scoring.calc.engine import recovered, ride, seconds_to_recover, spent
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
    """How to pace: share of what is available, seconds since the own last set, factor of the critical power."""

    share: float
    own_rest_s: float
    pace: float = 1.0


# Rows of the state (6, M): what is left of the round's work; of each group fast and slow fatigue at the end of its
# last set, that moment, and the number of its sets; the number of each item's sets.
REMAINING: Final = 0
FAST: Final = 1
SLOW: Final = 2
ENDED: Final = 3
RESTS: Final = 4
SEEN: Final = 5
ROWS: Final = 6


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


@inlined
def next_set(
    table: FloatArray,
    lead: int,
    person: FloatArray,
    policy: Policy,
    state: FloatArray,
    item: int,
    left: float,
    begun: bool,
    earliest: float,
    until: float,
    balance: float,
    balance_at: float,
    is_attempt: bool,
) -> Coming:
    """The next set of `item`, of which `left` is asked, to begin at `earliest` and to end by `until`.

    begun: some of what the round asks for is done already.
    table, lead: of Items; person (3, M): of Scenarios.
    An attempt does not wait for what is not there; its amount may be 0.
    """
    group = int(table[GROUP, item])
    fresh = person[FRESH, item]
    begin, fast, slow, whole, amount, to_failure = earliest, 0.0, 0.0, 0.0, left, False
    if table[KIND, item] == RESERVOIR:
        rests = int(state[RESTS, group]) - 1
        if rests >= 0:
            rested = max(begin, state[ENDED, group] + policy.own_rest_s)
            if begun or is_attempt or rested == begin:
                begin = rested
            else:  # new work that is all within reach begins at once
                fast, slow = recover(
                    state[FAST, group], state[SLOW, group], begin - state[ENDED, group], rests
                )
                if floor(fresh - fast - slow + EPSILON) - table[KEPT, item] < left:
                    begin = rested
        wanted = -np.inf if is_attempt else min(table[LEAST_SET, item], left) + table[KEPT, item]
        begin, fast, slow = next_start(
            begin,
            fresh,
            state[FAST, group],
            state[SLOW, group],
            state[ENDED, group],
            rests,
            wanted,
            until,
        )
        whole = max(0.0, float(floor(fresh - fast - slow + EPSILON)))
        usable = max(0.0, whole - table[KEPT, item])
        share = 1.0 if is_attempt else policy.share
        amount = min(left, usable) if is_attempt else set_size(usable, left, share, table[LEAST_SET, item])
        to_failure = share >= 1.0 and table[KEPT, item] == 0.0
    if begin >= until:
        return Coming(begin, 0.0, 0.0, fast, slow, balance, whole, True, False)
    if lead < 0:
        fits = float(floor((until - begin) / table[SECONDS, item] + EPSILON))
        cut = fits < amount
        amount = min(amount, fits)
        return Coming(
            begin, amount, amount * table[SECONDS, item], fast, slow, balance, whole, cut, to_failure
        )
    critical, reserve = person[CRITICAL, lead], person[RESERVE, lead]
    balance = recovered(balance, critical, reserve, 0.0, begin - balance_at)
    if table[KIND, item] == PACE:
        piece = ride(
            balance, person[CRITICAL, item], person[RESERVE, item], policy.pace, left, table[RATE, item],
            table[EXPONENT, item], until - begin,
        )  # fmt: skip
        cut = piece.amount < left - EPSILON
        return Coming(begin, piece.amount, piece.seconds, 0.0, 0.0, piece.balance, 0.0, cut, False)
    power, seconds = table[POWER, item], table[SECONDS, item]
    if not isnan(power) and power > critical:
        price = (power - critical) * seconds / reserve  # of a unit, as a share of the reserve
        least = min(table[LEAST_SET, item], amount)
        waited = seconds_to_recover(balance, min(least * price, 1.0 - EPSILON), critical, reserve)
        if waited > 0.0:
            balance = recovered(balance, critical, reserve, 0.0, waited)
            begin += waited
            fast, slow = (0.0, 0.0)
            if table[KIND, item] == RESERVOIR:
                fast, slow = recover(
                    state[FAST, group],
                    state[SLOW, group],
                    begin - state[ENDED, group],
                    int(state[RESTS, group]) - 1,
                )
        breaths = max(least, float(floor(balance / price + EPSILON)))
        to_failure = to_failure and breaths >= amount
        amount = min(amount, breaths)
    fits = max(0.0, float(floor((until - begin) / seconds + EPSILON)))
    cut = fits < amount
    amount = min(amount, fits)
    after = balance if isnan(power) else spent(balance, critical, reserve, power, amount * seconds)
    return Coming(begin, amount, amount * seconds, fast, slow, after, whole, cut, to_failure)
