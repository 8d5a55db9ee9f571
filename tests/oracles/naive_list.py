"""The naive block done by a written list of sets, and a maker of lists that can be followed.

Rounds are looked up by their number in a dictionary, not walked through row by row; what a list means is written from
its description: a set of which less is there goes to failure, the rest of the round is made up in sets of the usual
size after the usual rest, open work goes on with the last set, the last round is repeated.
"""

import math
import statistics

from tests.oracles.naive_block import CHANGE_S, EPS, BlockOverError, NaiveBlock
from tests.oracles.naive_engine import NaiveEngineBlock


class _InRounds:
    """Knows the number of the round."""

    def _round(self, number, todo):
        self.number = number
        super()._round(number, todo)

    def _earliest(self):
        return max(self.last_end + (CHANGE_S if self.told.sets else 0.0), self.not_before)


class ListMaker(_InRounds, NaiveBlock):
    """Whatever is asked, done in no time by somebody with everything: in sets of the sizes and rests of a sequence,
    taken in turn; all of the work `whole` in one go and not listed. `made`: (work, amount, rest before, round).
    """

    def __init__(self, block, sizes, rests, most, whole=()):
        nothing = {item.key: math.inf for item in block.items}
        super().__init__(block, nothing, 1.0, {item.key: 1e-9 for item in block.items}, share=1, own_rest_s=0)
        self.limit, self.sizes, self.rests, self.most, self.made = math.inf, sizes, rests, most, []
        self.whole = whole

    def _set(self, key, todo, asked, stop):
        if len(self.made) == self.most or len(self.told.sets) > 1000:
            raise BlockOverError
        self.by_muscles = False
        if key in self.whole:
            return self._done(key, todo, asked, self._earliest(), todo[key], 0, False)
        at = len(self.made)
        size = min(self.sizes[at % len(self.sizes)], todo[key])
        rest = self.rests[at % len(self.rests)] if at else 0.0
        moment = max(self._earliest(), self.last_end + rest)
        self.made.append((key, size, rest, self.number))
        return self._done(key, todo, asked, moment, size, 0, False)


class _ByList(_InRounds):
    """Chooses sets by a list of (work, amount, rest before, round)."""

    def follow(self, listed):
        """Take a list; notes of each of its sets come into `became`: None, or (how it ended, amount)."""
        self.became = [None] * len(listed)
        self.plan, self.last_used, turned = {}, {}, self.rules.intervals
        self.turn = len(self.block.work) if turned is not None and turned.in_turn else 1
        self.last_round = max(number for *_, number in listed)
        for index, (key, amount, rest, number) in enumerate(listed):
            self.plan.setdefault((number, key), []).append((index, amount, rest))
        pauses, self.usual = [rest for _, _, rest, _ in listed[1:]], {}
        for key in {key for key, *_ in listed}:
            own = [rest for other, _, rest, _ in listed[1:] if other == key]
            rest = statistics.median(own or pauses or [0.0])
            size = max(1, round(statistics.median(amount for other, amount, *_ in listed if other == key)))
            self.usual[key] = (None, size, rest)
        self.read, self.short = {}, False
        return self

    def _next_of(self, key, left):
        written = self.number
        while written > self.last_round:
            written -= self.turn
        rows = self.plan.get((written, key), [])
        at = self.read.get((self.number, key), 0)
        if at < len(rows):
            return rows[at]
        if key not in self.usual:
            return None, left, 0.0
        if left == math.inf and key in self.last_used:
            return None, *self.last_used[key][1:]
        return self.usual[key]

    def _set(self, key, todo, asked, stop):
        left, attempt, self.stop = todo[key], self.rules.order == "attempts", stop
        row = self._next_of(key, left)
        _, amount, rest = row
        wanted = min(amount, left)
        begin = max(self._earliest(), self.last_end + rest)
        if self._rides(key):
            assert key not in self.usual
            return self._ride(key, todo, asked, begin, stop)
        smallest = 5.0 if self.items[key].unit == "hold_s" else 1.0
        kept = 0.0
        if self.keep:
            kept = max(smallest, min(3 * smallest, (self.fresh[key] + EPS) // 3))
        moment = begin if attempt else self._wait(key, begin, min(smallest, wanted), kept, stop)
        if moment >= stop:
            return None
        muscles, breaths = self._muscles(key, moment), self._breaths(key, moment)
        if not attempt:
            breaths = max(breaths, min(smallest, wanted))
        there = min(max(0, muscles - kept), breaths)
        fits = math.floor((stop - moment) / self.seconds[key] + EPS)
        size = min(wanted, there, fits)
        if size <= 0 and not attempt:
            return None
        self.by_muscles, self.short = muscles <= breaths, there < wanted
        cut = fits < min(wanted, there)
        self._note(row, key, size, wanted, cut, moment > begin + EPS)
        tired = 0
        if not math.isinf(muscles):
            spent = sum(self.muscles[self.items[key].movement].at(moment))
            tired = max(size, min(self.fresh[key] - spent, self._breath_left(key, moment)))
        return self._done(key, todo, asked, moment, size, tired, cut)

    def _note(self, row, key, size, wanted, cut, late):
        index, amount, _ = row
        if index is None:  # made up, or beyond the list
            return
        self.read[self.number, key] = self.read.get((self.number, key), 0) + 1
        self.last_used[key] = row
        if self.number <= self.last_round:
            whole = size == wanted == amount and not late
            self.became[index] = ("as listed" if whole else "cut" if cut else "short", size)

    def _takes_all(self):
        return self.short


class NaiveListBlock(_ByList, NaiveBlock):
    """By a list, without breath."""


class NaiveListEngineBlock(_ByList, NaiveEngineBlock):
    """By a list of what is lifted and held, with breath; machines are ridden in one go."""
