"""What an athlete has in them at a moment of a block: the muscles' fatigue, and the breath that lifting takes.

Where a block has cyclical work, lifting draws on the same reserve (``scoring.calc.engine``), at a price for each
unit. A set begins when both allow what the athlete waits for.
"""

from math import inf, isnan, nan
from typing import Final, NamedTuple

import numpy as np

from athletes.calc.fatigue import Spent, after_rest, seconds_until, spent_of, total
from athletes.calc.rested import Decay, both, decay
from programming.calc.arrays import FloatArray, inlined
from scoring.calc.engine import seconds_to_recover, share_after
from scoring.calc.items import (
    CRITICAL,
    FRESH,
    KEPT,
    KIND,
    PER_UNIT,
    POWER,
    RESERVE,
    RESERVOIR,
    SECONDS,
    TEMPO,
    TRIED,
)

WAIT_S: Final = 5.0  # step of the wait for a repetition: finer than anyone's patience
EPSILON: Final = 1e-9  # 8.0 computed as 7.999... is 8 repetitions
# Nobody waits for more of the reserve than this share, since the last of it comes back in ever longer times (ours).
RESTED: Final = 0.95
# Rows of the state (4, M): what is left of the round's work; the number of each item's sets, and the amount of its
# first; the end of each movement's last set, by the movement, minus infinity before there is one. What the body has
# spent is kept by muscle group (`athletes.calc.fatigue`).
REMAINING: Final = 0
SEEN: Final = 1
OPENED: Final = 2
STOPPED: Final = 3
ROWS: Final = 4


class Breath(NamedTuple):
    """What is left of the reserve when the next set may begin or sooner: share b at a moment; critical, reserve: of
    the engine that recovers at rest, critical 0 without one; price: what a unit takes, as a share of the reserve;
    seconds, power: of a unit of this athlete, NaN where the power cannot be told; tried: units that are tried in vain
    at the end of a set to failure.
    """

    balance: float
    moment: float
    critical: float
    reserve: float
    price: float
    seconds: float
    power: float
    tried: float


class Muscle(NamedTuple):
    """What is available fresh, infinite without a limit; what is spent of it at a moment; units that are kept."""

    fresh: float
    spent: Spent
    moment: float
    kept: float


class Ready(NamedTuple):
    """A moment at which a set may begin, what is spent and the share of the reserve there; gone: what the rest since
    the moment of the muscles has left.
    """

    start: float
    spent: Spent
    balance: float
    gone: Decay


@inlined
def breath_of(
    table: FloatArray, lead: int, person: FloatArray, item: int, balance: float, moment: float
) -> Breath:
    """The breath of a set of `item`; without an engine it is no limit."""
    tempo = person[TEMPO, item]
    seconds, tried = table[SECONDS, item] * tempo, table[TRIED, item]
    if lead < 0:
        return Breath(1.0, moment, 0.0, 1.0, 0.0, seconds, nan, tried)
    # The same work in more seconds is less power.
    critical, reserve, power = person[CRITICAL, lead], person[RESERVE, lead], table[POWER, item] / tempo
    takes = not isnan(power) and power > critical
    price = (power - critical) * seconds / reserve if takes else 0.0
    return Breath(balance, moment, critical, reserve, price, seconds, power, tried)


@inlined
def muscle_of(
    table: FloatArray, weights: FloatArray, person: FloatArray, body: FloatArray, item: int, moment: float
) -> Muscle:
    """The muscles of an item at the moment of the body, the end of the last set; weights (M, G): of Items."""
    if table[KIND, item] != RESERVOIR:
        return Muscle(inf, Spent(0.0, 0.0, 0.0), moment, 0.0)
    spent = spent_of(body, weights[item], person[PER_UNIT, item])
    return Muscle(person[FRESH, item], spent, moment, table[KEPT, item])


@inlined
def at_rest(muscle: Muscle, breath: Breath, moment: float) -> Ready:
    """Both at a moment, after standing still."""
    balance = breath.balance
    if breath.critical > 0.0:
        balance = share_after(balance, breath.critical, breath.reserve, 0.0, moment - breath.moment)
    gone = decay(moment - muscle.moment)
    return Ready(moment, after_rest(muscle.spent, gone), balance, gone)


@inlined
def units_of_muscle(muscle: Muscle, ready: Ready) -> float:
    """Whole units that the muscles have in them, those that are kept included."""
    return max(0.0, float(np.floor(muscle.fresh - total(ready.spent) + EPSILON)))


@inlined
def units_of_breath(breath: Breath, ready: Ready) -> float:
    """Whole units that the reserve pays for."""
    return inf if breath.price == 0.0 else float(np.floor(ready.balance / breath.price + EPSILON))


@inlined
def wait_for(muscle: Muscle, breath: Breath, earliest: float, units: float, until: float) -> Ready:
    """The first moment from `earliest` on at which both allow so many units; `until` or later: none before.

    units: minus infinity for who does not wait at all.
    """
    gone = decay(earliest - muscle.moment)
    spent = after_rest(muscle.spent, gone)
    allowed = muscle.fresh - units - muscle.kept + EPSILON
    waited = seconds_until(spent, allowed, WAIT_S, until - earliest)
    start = until if waited == inf else earliest + waited
    if start >= until:
        return Ready(start, spent, breath.balance, gone)
    if waited > 0.0:
        more = decay(waited)
        spent, gone = after_rest(spent, more), both(gone, more)
    if breath.critical <= 0.0:
        return Ready(start, spent, breath.balance, gone)
    balance = share_after(breath.balance, breath.critical, breath.reserve, 0.0, start - breath.moment)
    wanted = min(max(units, 0.0) * breath.price, RESTED)
    waited = seconds_to_recover(balance, wanted, breath.critical, breath.reserve)
    if waited == 0.0:
        return Ready(start, spent, balance, gone)
    return at_rest(muscle, breath, start + waited)
