"""What an athlete has in them at a moment of a block: the muscles' fatigue, and the breath that lifting takes.

Where a block has cyclical work, lifting draws on the same reserve (``scoring.calc.engine``), at a price for each
unit. A set begins when both allow what the athlete waits for.
"""

from math import exp, inf, isnan
from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, inlined
from scoring.calc.engine import seconds_to_recover, share_after
from scoring.calc.fatigue import FAST_TAU_S, SLOW_TAU_FIRST_S, SLOW_TAU_LATER_S, recover
from scoring.calc.items import CRITICAL, FRESH, GROUP, KEPT, KIND, POWER, RESERVE, RESERVOIR, SECONDS

WAIT_S: Final = 5.0  # step of the wait for a repetition: finer than anyone's patience
EPSILON: Final = 1e-9  # 8.0 computed as 7.999... is 8 repetitions
# Nobody waits for more of the reserve than this share, since the last of it comes back in ever longer times (ours).
RESTED: Final = 0.95
# Rows of the state (8, M): what is left of the round's work; of each group fast and slow fatigue at the end of the
# last set that tired it, that moment, and the number of these sets; the number of each item's sets, and the amount of
# its first; the end of each movement's last set, by the group, minus infinity before there is one.
REMAINING: Final = 0
FAST: Final = 1
SLOW: Final = 2
ENDED: Final = 3
RESTS: Final = 4
SEEN: Final = 5
OPENED: Final = 6
STOPPED: Final = 7
ROWS: Final = 8


class Breath(NamedTuple):
    """What is left of the reserve when the next set may begin or sooner: share b at a moment; critical, reserve: of
    the engine that recovers at rest, critical 0 without one; price: what a unit takes, as a share of the reserve.
    """

    balance: float
    moment: float
    critical: float
    reserve: float
    price: float


class Muscle(NamedTuple):
    """What is available fresh, infinite without a limit; fatigue at the moment `ended`, after `rests` rests; units
    that are kept.
    """

    fresh: float
    fast: float
    slow: float
    ended: float
    rests: int
    kept: float


class Ready(NamedTuple):
    """A moment at which a set may begin, the fatigue and the share of the reserve there."""

    start: float
    fast: float
    slow: float
    balance: float


@inlined
def breath_of(
    table: FloatArray, lead: int, person: FloatArray, item: int, balance: float, moment: float
) -> Breath:
    """The breath of a set of `item`; without an engine it is no limit."""
    if lead < 0:
        return Breath(1.0, moment, 0.0, 1.0, 0.0)
    critical, reserve, power = person[CRITICAL, lead], person[RESERVE, lead], table[POWER, item]
    takes = not isnan(power) and power > critical
    price = (power - critical) * table[SECONDS, item] / reserve if takes else 0.0
    return Breath(balance, moment, critical, reserve, price)


@inlined
def muscle_of(table: FloatArray, person: FloatArray, state: FloatArray, item: int) -> Muscle:
    """The muscles of an item's movement."""
    if table[KIND, item] != RESERVOIR:
        return Muscle(inf, 0.0, 0.0, 0.0, -1, 0.0)
    group = int(table[GROUP, item])
    return Muscle(
        person[FRESH, item], state[FAST, group], state[SLOW, group], state[ENDED, group],
        int(state[RESTS, group]) - 1, table[KEPT, item],
    )  # fmt: skip


@inlined
def at_rest(muscle: Muscle, breath: Breath, moment: float) -> Ready:
    """Both at a moment, after standing still."""
    fast, slow = recover(muscle.fast, muscle.slow, moment - muscle.ended, muscle.rests)
    balance = breath.balance
    if breath.critical > 0.0:
        balance = share_after(balance, breath.critical, breath.reserve, 0.0, moment - breath.moment)
    return Ready(moment, fast, slow, balance)


@inlined
def units_of_muscle(muscle: Muscle, ready: Ready) -> float:
    """Whole units that the muscles have in them, those that are kept included."""
    return max(0.0, float(np.floor(muscle.fresh - ready.fast - ready.slow + EPSILON)))


@inlined
def units_of_breath(breath: Breath, ready: Ready) -> float:
    """Whole units that the reserve pays for."""
    return inf if breath.price == 0.0 else float(np.floor(ready.balance / breath.price + EPSILON))


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
def wait_for(muscle: Muscle, breath: Breath, earliest: float, units: float, until: float) -> Ready:
    """The first moment from `earliest` on at which both allow so many units; `until` or later: none before.

    units: minus infinity for who does not wait at all.
    """
    start, fast, slow = next_start(
        earliest,
        muscle.fresh,
        muscle.fast,
        muscle.slow,
        muscle.ended,
        muscle.rests,
        units + muscle.kept,
        until,
    )
    ready = Ready(start, fast, slow, breath.balance)
    if start >= until or breath.critical <= 0.0:
        return ready
    balance = share_after(breath.balance, breath.critical, breath.reserve, 0.0, start - breath.moment)
    wanted = min(max(units, 0.0) * breath.price, RESTED)
    waited = seconds_to_recover(balance, wanted, breath.critical, breath.reserve)
    if waited == 0.0:
        return Ready(start, fast, slow, balance)
    return at_rest(muscle, breath, start + waited)
