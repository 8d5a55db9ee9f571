"""A block of repetitions done by shares of what is there, or in equal sets: a second player, quick enough for many.

One loop over the muscles of ``tests.oracles.plan_search``; it shares no code with the service. ``naive_block`` says
the same (a test holds them together).
"""

import math
from typing import NamedTuple

import numba
import numpy as np

from tests.oracles.plan_search import CHANGE_S, EARLY, LONG_REST, PATIENCE_S, onward, spent, tire

LONGEST_S = 14_400.0
SLOWER = math.exp(0.1)  # a set to failure, one repetition more in vain counted in


class Way(NamedTuple):
    """share of what is there, rest since the movement's last set [s], share of the first set that is worth a rest;
    units that are kept (M,); equal (M,): the size of equal sets, 0: by share.
    """

    share: float
    rest_s: float
    worthwhile: float
    kept: np.ndarray
    equal: np.ndarray


@numba.njit(cache=True)
def whole(muscle, fresh, kept, moment):
    """Repetitions that may be used at a moment."""
    fast, slow, ended, sets = muscle
    return max(0.0, math.floor(fresh - spent(fast, slow, ended, sets, moment) + 1e-9) - kept)


@numba.njit(cache=True)
def size_of(way, item, left, there, worth):
    """(repetitions of the next set, whether it went to failure)."""
    if there >= left and (way.equal[item] == 0.0 or left <= way.equal[item]):
        return left, False
    if way.equal[item] > 0.0:
        most = there if way.share >= 1.0 else max(1.0, math.floor(way.share * there + 1e-9))
        wanted = min(way.equal[item], left)
        return min(wanted, most), way.share >= 1.0 and there < wanted
    enough = max(1.0, min(worth, there))
    return max(min(enough, left), math.floor(way.share * there + 1e-9)), way.share >= 1.0


@numba.njit(cache=True)
def play(block, fresh, seconds, m, way):
    """(seconds, breaks, repetitions done, finished)."""
    muscles, left, opened = np.zeros((len(fresh), 4)), block.amounts[0].copy(), np.zeros(len(fresh))
    round_, item, clock, not_before, breaks, done = 0, 0, 0.0, 0.0, 0, 0.0
    while True:
        begin = max(clock + (CHANGE_S if done > 0.0 else 0.0), not_before)
        asked, sets = block.amounts[round_, item], muscles[item, 3]
        if sets > 0.0 and not (
            left[item] == asked and whole(muscles[item], fresh[item], way.kept[item], begin) >= left[item]
        ):
            begin = max(begin, muscles[item, 2] + way.rest_s)
        worth = max(1.0, min(math.floor(way.worthwhile * opened[item] + 0.5), 5.0))
        moment = begin
        for hoped_for in (worth, 1.0):
            moment = begin
            while moment < LONGEST_S and whole(muscles[item], fresh[item], way.kept[item], moment) < min(
                hoped_for, left[item]
            ):
                moment += PATIENCE_S
            if moment < LONGEST_S:
                break
        if moment >= LONGEST_S:
            return LONGEST_S, breaks, done, False
        there = whole(muscles[item], fresh[item], way.kept[item], moment)
        size, failed = size_of(way, item, left[item], there, worth)
        after = left[item] - size
        broke = after > 0.0 if block.counts == EARLY else False
        if block.counts == LONG_REST:
            broke = left[item] < asked and moment - clock > block.rest_over_s
        end = moment + size * seconds[item]
        tire(muscles[item], fresh[item], m, moment, size, seconds[item])
        if failed and after > 0.0 and way.kept[item] == 0.0:
            end = min(moment + (size + 1.0) * seconds[item] * SLOWER, LONGEST_S)
            muscles[item, 2] = end
            muscles[item, 1] = max(muscles[item, 1], min(muscles[item, 1] + 0.05 * m, 0.9 * fresh[item]))
        opened[item] = size if opened[item] == 0.0 else opened[item]
        breaks, done, clock, left[item] = (
            breaks + int(broke),
            done + size,
            end,
            after,
        )
        if left.sum() == 0.0 and round_ + 1 >= len(block.amounts):
            return clock, breaks, done, True
        before = round_
        round_, item = onward(block, left, round_, item, not (block.swaps and broke))
        not_before = clock + block.rest_between_s if round_ > before else 0.0
        if broke and block.served_s > 0.0:
            not_before = max(not_before, clock + block.served_s)


@numba.njit(cache=True)
def losses(block, fresh, seconds, multipliers, way):
    """(N,) official seconds of people fresh (M, N); unfinished work at the own average pace."""
    total, found = block.amounts.sum(), np.zeros(len(multipliers))
    for n in range(len(multipliers)):
        clock, breaks, done, _ = play(block, fresh[:, n], seconds, multipliers[n], way)
        found[n] = clock + block.added_s * breaks + (total - done) * clock / max(done, 1.0)
    return found
