"""When the next set of an item begins and how long it is: what is available, what the athlete's policy says, the
clock, and the breath.

What is available is the least of what the muscles and the breath allow (``scoring.calc.readiness``): of that the
policy takes its share, and for that the athlete waits.
"""

from math import floor, inf, isnan
from typing import Final, NamedTuple

from athletes.calc.fatigue import total
from athletes.calc.rested import Decay
from athletes.calc.tempo import SLOWER_TO_FAILURE
from programming.calc.arrays import FloatArray, inlined
from scoring.calc.engine import ride, share_after
from scoring.calc.items import (
    CRITICAL,
    EXPONENT,
    GROUP,
    KIND,
    LEAST_SET,
    PACE,
    RATE,
    RESERVE,
)
from scoring.calc.readiness import (
    EPSILON,
    OPENED,
    REMAINING,
    STOPPED,
    Breath,
    Muscle,
    Ready,
    at_rest,
    breath_of,
    muscle_of,
    units_of_breath,
    units_of_muscle,
    wait_for,
)


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


class Coming(NamedTuple):
    """The next set: start [s], amount, seconds; balance at its end.

    available: units that muscles and breath allow, not rounded, 0 where the muscles are no limit; cut: the clock ends
    it; to_failure: the muscles have nothing left after it, though more is to be done. spent: of the muscles when it
    begins; gone: what the rest before it has left of all that is spent.
    """

    start: float
    amount: float
    seconds: float
    balance: float
    available: float
    cut: bool
    to_failure: bool
    spent: float
    gone: Decay


@inlined
def no_set(start: float, balance: float) -> Coming:
    """None before the clock ends it."""
    return Coming(start, 0.0, 0.0, balance, 0.0, True, False, 0.0, Decay(1.0, 1.0, 1.0))


@inlined
def set_size(whole: float, left: float, share: float, least: float) -> float:
    """Units of the next set: all that is left when in reach, else the share, at least the smallest set."""
    if whole >= left:
        return left
    return max(min(least, left), float(floor(share * whole + EPSILON)))


class Limited(NamedTuple):
    """What muscles and breath allow, not rounded; the amount of it; whether the muscles have nothing left then,
    though more is to be done.
    """

    available: float
    amount: float
    to_failure: bool


@inlined
def own_start(
    policy: Policy, muscle: Muscle, breath: Breath, stopped: float, left: float, is_new: bool, earliest: float
) -> float:
    """The moment from which on the athlete would go on: after the own rest, but at once to new work within reach."""
    if muscle.fresh == inf and breath.price == 0.0:
        return earliest
    rested = max(earliest, stopped + policy.own_rest_s)
    if rested > earliest and is_new:
        ready = at_rest(muscle, breath, earliest)
        if min(units_of_muscle(muscle, ready) - muscle.kept, units_of_breath(breath, ready)) >= left:
            return earliest
    return rested


@inlined
def usable_units(muscle: Muscle, breath: Breath, ready: Ready, smallest: float) -> float:
    """Whole units that may be done from a moment on, none that are kept among them; smallest: what who has waited
    for a set has the breath for, minus infinity for who has not.
    """
    breaths = max(units_of_breath(breath, ready), smallest)
    return min(max(0.0, units_of_muscle(muscle, ready) - muscle.kept), breaths)


@inlined
def by_muscles(muscle: Muscle, breath: Breath, ready: Ready, smallest: float) -> bool:
    """Whether the muscles have nothing left after all of `usable_units`: none is kept, and breath ends no sooner."""
    breaths = max(units_of_breath(breath, ready), smallest)
    return muscle.kept == 0.0 and units_of_muscle(muscle, ready) <= breaths


@inlined
def available_units(muscle: Muscle, breath: Breath, ready: Ready, amount: float) -> float:
    """What muscles and breath allow, not rounded, at least what is done; 0 where the muscles are no limit."""
    if units_of_muscle(muscle, ready) == inf:
        return 0.0
    paid_for = inf if breath.price == 0.0 else ready.balance / breath.price
    return max(amount, min(muscle.fresh - total(ready.spent), paid_for))


@inlined
def limited_set(
    policy: Policy, muscle: Muscle, breath: Breath, ready: Ready, left: float, least: float, worth: float,
    is_attempt: bool,
) -> Limited:  # fmt: skip
    """How much is done from a moment on; who has waited for the smallest set has the breath for it."""
    smallest = -inf if is_attempt else min(least, left)
    usable = usable_units(muscle, breath, ready, smallest)
    worthy = max(least, min(worth, usable))
    amount = min(left, usable) if is_attempt else set_size(usable, left, policy.share, worthy)
    everything = is_attempt or policy.share >= 1.0
    failing = everything and usable < left and by_muscles(muscle, breath, ready, smallest)
    return Limited(available_units(muscle, breath, ready, amount), amount, failing)


@inlined
def lifted_from(breath: Breath, until: float, ready: Ready, limited: Limited) -> Coming:
    """The set that begins at a moment: as much of it as the clock leaves, and what it takes of the reserve.

    Who goes to failure is slower, and tries a unit in vain at the end, during which the reserve stands still.
    """
    seconds, power = breath.seconds, breath.power
    fits = max(0.0, float(floor((until - ready.start) / seconds + EPSILON)))
    amount, balance = min(limited.amount, fits), ready.balance
    if breath.critical > 0.0 and not isnan(power):
        balance = share_after(balance, breath.critical, breath.reserve, power, amount * seconds)
    cut, takes, failing = fits < limited.amount, amount * seconds, limited.to_failure
    if failing and not cut and breath.tried > 0.0:
        takes = min((amount + breath.tried) * seconds * SLOWER_TO_FAILURE, until - ready.start)
    spent = total(ready.spent)
    return Coming(ready.start, amount, takes, balance, limited.available, cut, failing, spent, ready.gone)


@inlined
def lifted_set(
    table: FloatArray, policy: Policy, muscle: Muscle, breath: Breath, state: FloatArray, item: int, asked: float,
    earliest: float, until: float, is_attempt: bool,
) -> Coming:  # fmt: skip
    """The next set of work that is lifted or held; see `next_set`."""
    left, least = state[REMAINING, item], table[LEAST_SET, item]
    is_new = left >= asked and not is_attempt
    begin = own_start(policy, muscle, breath, state[STOPPED, int(table[GROUP, item])], left, is_new, earliest)
    worth = max(
        least, min(float(floor(policy.worthwhile * state[OPENED, item] + 0.5)), MOST_WAITED_FOR * least)
    )
    ready = wait_for(muscle, breath, begin, -inf if is_attempt else min(worth, left), until)
    if ready.start >= until and worth > least and not is_attempt:  # rather a small set than none
        ready = wait_for(muscle, breath, begin, min(least, left), until)
    if ready.start >= until:
        return no_set(ready.start, breath.balance)
    limited = limited_set(policy, muscle, breath, ready, left, least, worth, is_attempt)
    return lifted_from(breath, until, ready, limited)


@inlined
def ridden_piece(
    table: FloatArray, muscle: Muscle, breath: Breath, person: FloatArray, pace: float, item: int, wanted: float,
    start: float, until: float,
) -> Coming:  # fmt: skip
    """A piece of cyclical work from a moment on."""
    ready = at_rest(muscle, breath, start)
    piece = ride(
        ready.balance, person[CRITICAL, item], person[RESERVE, item], pace, wanted, table[RATE, item],
        table[EXPONENT, item], until - start,
    )  # fmt: skip
    cut = piece.amount < wanted - EPSILON
    return Coming(start, piece.amount, piece.seconds, piece.balance, 0.0, cut, False, 0.0, ready.gone)


@inlined
def next_set(
    table: FloatArray,
    weights: FloatArray,
    lead: int,
    person: FloatArray,
    policy: Policy,
    state: FloatArray,
    body: FloatArray,
    item: int,
    asked: float,
    earliest: float,
    until: float,
    balance: float,
    balance_at: float,
    is_attempt: bool,
) -> Coming:
    """The next set of `item`, to begin at `earliest` and to end by `until`.

    table, weights, lead: of Items; person (5, M): of Scenarios; asked: the whole of it in this round; balance: the
    share of the reserve at the moment balance_at. An attempt does not wait for what is not there; its amount may be
    0.
    """
    breath = breath_of(table, lead, person, item, balance, balance_at)
    muscle = muscle_of(table, weights, person, body, item, balance_at)
    if table[KIND, item] != PACE:
        return lifted_set(table, policy, muscle, breath, state, item, asked, earliest, until, is_attempt)
    if earliest >= until:
        return no_set(earliest, balance)
    return ridden_piece(
        table, muscle, breath, person, policy.pace, item, state[REMAINING, item], earliest, until
    )
