"""Every plan of a small block for one athlete whose strength is known: set sizes and rests from a grid, all tried.

Shares no code with the optimiser nor with the stepper; `naive_plan` judges what it finds. The grid: a set has any
whole number of repetitions from one to what is there; it begins when the rules let it and the movement has rested for
one of the rests of the service's own grid (RESTS_S), or at once where it is new work and all of it is within reach.
Where not even one repetition is there the athlete waits in steps of five seconds, as everybody does in the service.
So each policy of the service's grid that stops short of failure is one of the plans, and so is whatever differs from
set to set. Only what cannot end before the best one so far is not followed to its end.
"""

import math
from typing import NamedTuple

import numba
import numpy as np

RESTS_S = (20.0, 40.0, 60.0, 90.0, 150.0)
CHANGE_S, PATIENCE_S, MOST_DEEP = 5.0, 5.0, 64
EARLY, LONG_REST = 1, 2  # what counts as a break


class Small(NamedTuple):
    """A block of repetitions: amounts (R, M) by round, what ends in a break, and what that costs."""

    amounts: np.ndarray
    swaps: bool
    counts: int
    rest_over_s: float
    added_s: float
    served_s: float
    rest_between_s: float


@numba.njit(cache=True)
def spent(fast, slow, ended, sets, moment):
    """Repetitions that are gone at a moment after the last set."""
    if sets == 0:
        return 0.0
    waited = moment - ended
    return fast * math.exp(-waited / 21.5) + slow * math.exp(-waited / (388.0 if sets == 1 else 716.0))


@numba.njit(cache=True)
def start_of(muscle, fresh, earliest, rest_s, is_new, left):
    """(moment, whole repetitions there) after a rest; below zero: at once, nothing unless all is within reach."""
    fast, slow, ended, sets = muscle
    if rest_s < 0.0:
        there = math.floor(fresh - spent(fast, slow, ended, sets, earliest) + 1e-9)
        return earliest, there if is_new and there >= left else 0.0
    moment = earliest if sets == 0 else max(earliest, ended + rest_s)
    there = math.floor(fresh - spent(fast, slow, ended, sets, moment) + 1e-9)
    while there < 1.0 and moment < 20_000.0:
        moment += PATIENCE_S
        there = math.floor(fresh - spent(fast, slow, ended, sets, moment) + 1e-9)
    return moment, there


@numba.njit(cache=True)
def tire(muscle, fresh, m, moment, size, seconds):
    """The muscle after a set, one repetition after the other."""
    fast, slow, ended, sets = muscle
    waited = moment - ended
    if sets > 0:
        fast *= math.exp(-waited / 21.5)
        slow *= math.exp(-waited / (388.0 if sets == 1 else 716.0))
    for _ in range(int(size)):
        depth = (fast + slow + 1.0) / fresh
        part = max(0.0, min(min(1.0, m * (0.3 + depth**5)), 0.9 * fresh - slow))
        slow += part
        fast += 1.0 - part
    muscle[0], muscle[1], muscle[2], muscle[3] = fast, slow, moment + size * seconds, sets + 1.0


@numba.njit(cache=True)
def at_least(block, left, round_, item, seconds):
    """What is left takes at least: the work, and going from one movement to the other."""
    todo = left[item] * seconds[item]
    for other in range(len(left)):
        if other != item and left[other] > 0.0:
            todo += left[other] * seconds[other] + CHANGE_S
    for later in range(round_ + 1, len(block.amounts)):
        for other in range(len(left)):
            if block.amounts[later, other] > 0.0:
                todo += block.amounts[later, other] * seconds[other] + CHANGE_S
    return todo


@numba.njit(cache=True)
def onward(block, left, round_, item, goes_on):
    """(round, movement) of the next set; changes what is left where a round begins."""
    if left[item] > 0.0 and goes_on:
        return round_, item
    for step in range(1, len(left) + 1):
        other = (item + step) % len(left)
        if left[other] > 0.0:
            return round_, other
    left[:] = block.amounts[round_ + 1]
    return round_ + 1, 0


@numba.njit(cache=True)
def search(block, fresh, seconds, m, rests, bound, most_tried):
    """(the least official time below `bound`, its sets (T, 3): movement, size, start; how many sets were tried, -1
    where that were too many). Every movement has something to do in every round.
    """
    many = block.amounts.shape[1]
    muscles, left, at = np.zeros((MOST_DEEP, many, 4)), np.zeros((MOST_DEEP, many)), np.zeros((MOST_DEEP, 5))
    rest, size_of, moments = np.full(MOST_DEEP, -1), np.zeros(MOST_DEEP), np.full(MOST_DEEP, -1.0)
    sets, found, length, best, tried, deep = (
        np.zeros((MOST_DEEP, 3)),
        np.zeros((MOST_DEEP, 3)),
        0,
        bound,
        0,
        0,
    )
    left[0] = block.amounts[0]
    while deep >= 0:
        round_, item = int(at[deep, 0]), int(at[deep, 1])
        last_end, not_before, breaks = at[deep, 2], at[deep, 3], at[deep, 4]
        while size_of[deep] < 1.0 and rest[deep] < len(rests):  # on to the next rest
            k, fresh_muscle = rest[deep], muscles[deep, item, 3] == 0.0
            rest[deep] += 1
            is_new = left[deep, item] == block.amounts[round_, item]
            earliest = max(last_end + (CHANGE_S if deep else 0.0), not_before)
            rest_s = -1.0 if k < 0 else rests[k]
            moment, there = start_of(
                muscles[deep, item], fresh[item], earliest, rest_s, is_new, left[deep, item]
            )
            if k >= 1 and (fresh_muscle or moment <= moments[deep]):
                continue  # the same as the rest before
            moments[deep], size_of[deep] = moment, min(there, left[deep, item])
        if size_of[deep] < 1.0:
            deep -= 1
            continue
        size, moment = size_of[deep], moments[deep]
        size_of[deep] -= 1.0
        tried += 1
        if tried > most_tried:
            return best, found[:length], -1
        end, begun = moment + size * seconds[item], left[deep, item] < block.amounts[round_, item]
        after = left[deep].copy()
        after[item] -= size
        broke = (
            after[item] > 0.0 if block.counts == EARLY else begun and moment - last_end > block.rest_over_s
        )
        broke = broke and block.counts != 0
        cost = block.added_s * (breaks + (1.0 if broke else 0.0))
        sets[deep, 0], sets[deep, 1], sets[deep, 2] = item, size, moment
        todo = at_least(block, after, round_, item, seconds)
        if deep + 1 >= MOST_DEEP or end + todo + cost >= best - 1e-9:
            continue
        if todo == 0.0:
            best, length = end + cost, deep + 1
            found[:length] = sets[:length]
            continue
        new = deep + 1
        muscles[new] = muscles[deep]
        tire(muscles[new, item], fresh[item], m, moment, size, seconds[item])
        at[new, 0], at[new, 1] = onward(block, after, round_, item, not (block.swaps and broke))
        left[new] = after
        at[new, 3] = end + block.rest_between_s if at[new, 0] > round_ else 0.0
        if broke and block.served_s > 0.0:
            at[new, 3] = max(at[new, 3], end + block.served_s)
        at[new, 2], at[new, 4] = end, breaks + (1.0 if broke else 0.0)
        rest[new], size_of[new], moments[new], deep = -1, 0.0, -1.0, new
    return best, found[:length], tried
