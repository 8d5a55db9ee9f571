"""The rules of a block as one transition, read both ways: to score a log and to simulate a plan.

Everything here is written in the subset of Python that numba compiles, so that a simulation calls the same
function as a score does. The rules compose: the order decides where a set leads, the break rule what counts
as a break, penalties what a break costs, the end when it is over; what is scored and how ties are broken read
the totals that the steps add up to.

Orders, with `items` the main work of the block, done `repeats` times (rounds, rungs, intervals, attempts):

- in sequence, rounds, ladder: the items one after the other, each until it is done; a ladder multiplies the
  amounts of a round by its rung.
- swap on break: one item until a break, the end of a set that did not complete it; then the next item that
  still has work. Completing an item is no break.
- intervals: as rounds, but a round begins at a fixed time, and what is not done by its end is missed.
- attempts: each set is a round, whether it succeeds or not.

Penalty work stands behind the main items; it is done after a break, before the block goes on, and breaks
within it cost nothing.
"""

from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, inlined
from programming.calc.rule_codes import (
    ADDED,
    ATTEMPTS,
    FIRST_MISS,
    INTERVALS,
    MISSED_INTERVAL,
    NO_ITEM,
    NO_REP,
    NOTHING,
    REST_LONGER_THAN,
    SERVED_REST,
    SERVED_WORK,
    SET_ENDED_EARLY,
    SWAP_ON_BREAK,
    RuleCodes,
    Work,
)

# Why a set ended, as far as the rules care.
BY_ATHLETE: Final = 0
BY_CLOCK: Final = 1
BY_JUDGE: Final = 2

EPSILON: Final = 1e-9  # metres and kilocalories are fractions: what is left below this is done


class Place(NamedTuple):
    """Where the rules send the athlete: round from 0, item or NO_ITEM when it is over, item after a penalty."""

    round: int
    item: int
    resume: int


class Step(NamedTuple):
    """What a set did: the amount that counted, a break or not, a missed interval or not, and what is next."""

    counted: float
    broke: bool
    missed: bool
    place: Place


@inlined
def rung(work: Work, round_: int) -> float:
    """The factor of the amounts in a round."""
    last = len(work.rungs) - 1
    return float(work.rungs[min(round_, last)]) + work.then_step * max(round_ - last, 0)


@inlined
def portion(codes: RuleCodes, work: Work, round_: int, item: int) -> float:
    """What the rules ask of a main item in a round; 0 where it is another item's turn."""
    if codes.in_turn and round_ % codes.items != item:
        return 0.0
    return float(work.amounts[item]) * rung(work, round_)


@inlined
def refill(codes: RuleCodes, work: Work, round_: int, remaining: FloatArray) -> int:
    """Set `remaining` (M,) to what a round asks for; the item that it begins with."""
    first = NO_ITEM
    for item in range(len(remaining)):
        remaining[item] = portion(codes, work, round_, item) if item < codes.items else 0.0
        if first == NO_ITEM and remaining[item] > 0.0:
            first = item
    return first


@inlined
def start(codes: RuleCodes, work: Work, remaining: FloatArray) -> Place:
    """The beginning of a block; fills `remaining` (M,)."""
    return Place(0, refill(codes, work, 0, remaining), NO_ITEM)


@inlined
def next_round(codes: RuleCodes, work: Work, remaining: FloatArray, round_: int) -> Place:
    """The beginning of the round after `round_`, or the end; refills `remaining`."""
    if round_ + 1 >= codes.repeats:
        remaining[:] = 0.0
        return Place(round_, NO_ITEM, NO_ITEM)
    return Place(round_ + 1, refill(codes, work, round_ + 1, remaining), NO_ITEM)


@inlined
def _following(codes: RuleCodes, remaining: FloatArray, item: int, broke: bool) -> int:
    """The item after a set on `item` in the same round; NO_ITEM when the round is done."""
    unfinished = remaining[item] > 0.0
    if unfinished and not (codes.order == SWAP_ON_BREAK and broke):
        return item
    for offset in range(1, codes.items):  # the next one with work, in written order
        other = item + offset
        other -= codes.items if other >= codes.items else 0
        if remaining[other] > 0.0:
            return other
    return item if unfinished else NO_ITEM


@inlined
def is_break(
    codes: RuleCodes,
    work: Work,
    remaining: FloatArray,
    place: Place,
    amount: float,
    rest_s: float,
    ended: int,
) -> bool:
    """Whether a set of `amount` after `rest_s` of rest is a break; NaN rest is an unknown one, and none."""
    item = place.item
    if item == codes.penalty_item or codes.break_counts == NOTHING:
        return False
    if codes.break_counts == NO_REP:
        return ended == BY_JUDGE
    if codes.break_counts == REST_LONGER_THAN:
        begun = remaining[item] < portion(codes, work, place.round, item)
        return begun and rest_s > codes.rest_over_s
    if codes.break_counts == SET_ENDED_EARLY:
        return ended != BY_CLOCK and remaining[item] - amount > EPSILON
    return False


@inlined
def step(
    codes: RuleCodes,
    work: Work,
    remaining: FloatArray,
    place: Place,
    amount: float,
    rest_s: float,
    ended: int,
) -> Step:
    """One set of `amount` on place.item; `remaining` (M,) is brought up to date.

    rest_s: since the set before; ended: BY_ATHLETE, BY_CLOCK or BY_JUDGE.
    """
    item = place.item
    broke = is_break(codes, work, remaining, place, amount, rest_s, ended)
    counted = min(amount, remaining[item])
    remaining[item] -= counted
    if remaining[item] < EPSILON:
        remaining[item] = 0.0
    if item == codes.penalty_item:
        back = item if remaining[item] > 0.0 else place.resume
        return Step(counted, False, False, Place(place.round, back, place.resume))
    following = NO_ITEM if codes.order == ATTEMPTS else _following(codes, remaining, item, broke)
    if following == NO_ITEM:
        onward = next_round(codes, work, remaining, place.round)
    else:
        onward = Place(place.round, following, NO_ITEM)
    if broke and codes.penalty == SERVED_WORK and codes.penalty_item != NO_ITEM:
        remaining[codes.penalty_item] = work.amounts[codes.penalty_item]
        onward = Place(onward.round, codes.penalty_item, onward.item)
    return Step(counted, broke, False, onward)


@inlined
def expire(codes: RuleCodes, work: Work, remaining: FloatArray, place: Place) -> Step:
    """The end of an interval whose work is not done: missed, unless only open work was left."""
    missed = False
    for item in range(codes.items):
        missed = missed or 0.0 < remaining[item] < np.inf
    if missed and codes.end == FIRST_MISS:
        onward = Place(place.round, NO_ITEM, NO_ITEM)
    else:
        onward = next_round(codes, work, remaining, place.round)
    return Step(0.0, missed and codes.break_counts == MISSED_INTERVAL, missed, onward)


@inlined
def earliest_start(codes: RuleCodes, clock: float, round_before: int, place: Place, broke: bool) -> float:
    """The moment from which the next set may begin: after served rest, rest between rounds, the interval's start."""
    earliest = clock
    if place.round != round_before:
        earliest += codes.rest_between_s
    if broke and codes.penalty == SERVED_REST:
        earliest = max(earliest, clock + codes.penalty_s)
    if codes.order == INTERVALS:
        earliest = max(earliest, place.round * codes.interval_s)
    return earliest


@inlined
def deadline(codes: RuleCodes, round_: int) -> float:
    """The moment at which work must stop: the end of the interval's work, or of the block."""
    if codes.order == INTERVALS:
        return min(codes.limit_s, round_ * codes.interval_s + codes.work_s)
    return codes.limit_s


@inlined
def official_seconds(codes: RuleCodes, elapsed_s: float, breaks: int) -> float:
    """The score of finished work for time: the clock, plus the penalties that are added and not served."""
    return elapsed_s + codes.penalty_s * breaks if codes.penalty == ADDED else elapsed_s


@inlined
def official_amount(codes: RuleCodes, done: float, breaks: int) -> float:
    """The score of work for an amount: what was done, less the repetitions that breaks cost; not below 0."""
    return max(0.0, done - codes.penalty_repetitions * breaks) if codes.penalty == ADDED else done
