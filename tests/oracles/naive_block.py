"""A second implementation of the block simulation, written another way: objects and loops over rounds.

It reads the block as a coach would, by the names of its rules, and uses neither the compiled kernels nor the
transition function of the project. Without cyclical work and without breath, which ``naive_engine`` adds.
"""

import itertools
import math
from dataclasses import dataclass, field

EPS = 1e-9
CHANGE_S, PATIENCE_S, LONGEST_S = 5.0, 5.0, 14_400.0
SLOWER = math.e**0.1  # a set to failure, one repetition more in vain counted in


class BlockOverError(Exception):
    """The clock, or a miss, ends the block."""


class NaiveMuscle:
    """The two reservoirs of a movement, in repetitions or seconds."""

    def __init__(self):
        self.fast = self.slow = 0.0
        self.ended, self.sets = None, 0
        self.stopped = None  # the end of the last set of the movement, limited or not
        self.others = []  # what is there fresh of each work that takes this muscle

    def at(self, moment):
        """(fast, slow) at a moment after the last set."""
        if self.ended is None:
            return 0.0, 0.0
        waited = moment - self.ended
        slow_tau = 388.0 if self.sets == 1 else 716.0
        return self.fast * math.e ** (-waited / 21.5), self.slow * math.e ** (-waited / slow_tau)

    def work(self, size, moment, fresh, m, duration, failed):
        """Do a set, one unit after the other."""
        self.fast, self.slow = self.at(moment)
        most = 0.9 * min([fresh, *(one for one in self.others if 1.0 <= one < math.inf)])
        left = size
        while left > 0:
            unit = min(1.0, left)
            depth = (self.fast + self.slow + unit) / fresh
            part = unit * min(1.0, m * (0.3 + math.pow(depth, 5)))
            part = max(0.0, min(part, most - self.slow))
            self.slow, self.fast = self.slow + part, self.fast + unit - part
            left -= unit
        if failed:
            self.slow = max(self.slow, min(self.slow + 0.05 * m, most))
        self.sets += 1
        self.ended = moment + duration


@dataclass
class Told:
    """What happened."""

    sets: list = field(default_factory=list)  # (work, amount, start)
    later: dict = field(default_factory=dict)
    shares: dict = field(default_factory=dict)
    by_round: dict = field(default_factory=dict)
    breaks: int = 0
    misses: int = 0
    rounds: int = 0
    elapsed: float = 0.0
    finished: bool = True


class NaiveBlock:
    """One athlete in one block: fresh and seconds by work key, m, share, own rest, units that are kept, and the share
    of the first set that is worth a rest.
    """

    def __init__(self, block, fresh, m, seconds, *, share, own_rest_s, keep=False, worthwhile=0.0):
        self.worthwhile = worthwhile
        self.block, self.rules, self.fresh, self.m, self.seconds = block, block.rules, fresh, m, seconds
        self.share, self.own_rest_s, self.keep = share, own_rest_s, keep
        self.limit = min(self.rules.end.limit_s or LONGEST_S, LONGEST_S)
        self.muscles = {item.movement: NaiveMuscle() for item in block.items}
        for item in block.items:
            self.muscles[item.movement].others.append(fresh[item.key])
        self.items = {item.key: item for item in block.items}
        self.told, self.last_end, self.not_before, self.owed = Told(), 0.0, 0.0, False

    def play(self):
        """Play it to its end."""
        try:
            for number, todo in enumerate(self._rounds()):
                self._round(number, todo)
                self.stop_of_last = self._stop(number)
            if self._penalty(self.owed, self.stop_of_last) is None:
                self._interval_is_over(number, {}, self.stop_of_last)
        except BlockOverError:
            pass
        self.told.finished = self.told.finished and self.told.misses == 0
        return self.told

    def _rounds(self):
        """What each round asks for, by work key."""
        ladder, intervals = self.rules.ladder, self.rules.intervals
        for number in itertools.count():
            if self.rules.repeats is not None and number >= self.rules.repeats:
                return
            factor = 1.0
            if ladder is not None:
                beyond = number - len(ladder.amounts) + 1
                factor = (
                    ladder.amounts[number] if beyond <= 0 else ladder.amounts[-1] + beyond * ladder.then_step
                )
            asked = {
                item.key: math.inf if item.amount is None else item.amount * factor
                for item in self.block.work
            }
            if intervals is not None and intervals.in_turn:
                turn = self.block.work[number % len(self.block.work)].key
                asked = {key: amount if key == turn else 0.0 for key, amount in asked.items()}
            yield asked

    def _round(self, number, todo):
        asked, keys = dict(todo), list(todo)
        self.told.by_round[number] = 0.0
        if number:
            self.not_before = max(self.not_before, self.last_end + self.rules.rest_between_s)
        stop = self._stop(number)
        if self.rules.intervals is not None:
            self.not_before = max(self.not_before, number * self.rules.intervals.every_s)
        owed, self.owed = self.owed, False
        if self._penalty(owed, stop) is None:
            self._interval_is_over(number, todo, stop)
            return
        current = next(key for key in keys if todo[key] > 0)
        while any(amount > 0 for amount in todo.values()):
            done = self._set(current, todo, asked, stop)
            if done is None:
                self._interval_is_over(number, todo, stop)
                return
            amount, broke = done
            self.told.by_round[number] += amount
            finished = todo[current] <= 0
            if self.rules.order == "attempts":
                self.told.misses += not finished
                self.told.rounds += finished
                self._rest_penalty(broke)
                self.owed = broke
                return
            if finished or (broke and self.rules.order == "swap_on_break"):
                after = keys[keys.index(current) + 1 :] + keys[: keys.index(current)]
                current = next((key for key in after if todo[key] > 0), current)
            self._rest_penalty(broke)
            self.owed = broke and not any(amount > 0 for amount in todo.values())
            if broke and not self.owed and self._penalty(broke, stop) is None:
                self._interval_is_over(number, todo, stop)
                return
        self.told.rounds += 1

    def _stop(self, number):
        """When work must stop: the end of the interval's work, or of the block."""
        intervals = self.rules.intervals
        if intervals is None:
            return self.limit
        work_s = intervals.every_s if intervals.work_s is None else intervals.work_s
        return min(self.limit, number * intervals.every_s + work_s)

    def _interval_is_over(self, number, todo, stop):
        intervals = self.rules.intervals
        if intervals is None or (number + 1) * intervals.every_s > self.limit:
            self.told.elapsed = self.limit
            self.told.finished = self.rules.end.kind == "fixed_time"
            raise BlockOverError
        missed = any(0 < amount < math.inf for amount in todo.values())
        self.told.misses += missed
        self.told.rounds += not missed
        self.told.elapsed = stop
        if missed and self.rules.break_rule.counts == "missed_interval":
            self.told.breaks += 1
            if self.rules.break_rule.penalty == "served_rest":
                self.not_before = max(self.not_before, stop + self.rules.break_rule.penalty_s)
        if missed and self.rules.end.kind == "first_miss":
            raise BlockOverError

    def _rest_penalty(self, broke):
        if broke and self.rules.break_rule.penalty == "served_rest":
            self.not_before = max(self.not_before, self.last_end + self.rules.break_rule.penalty_s)

    def _penalty(self, broke, stop):
        """Serve the work that a break costs; None when the clock does not let the athlete."""
        rule = self.rules.break_rule
        if broke and rule.penalty == "served_work":
            todo = {rule.penalty_work.key: rule.penalty_work.amount}
            asked = dict(todo)
            while todo[rule.penalty_work.key] > 0:
                if self._set(rule.penalty_work.key, todo, asked, stop) is None:
                    return None
        return True

    def _set(self, key, todo, asked, stop):
        """(amount, is a break) of the next set; None when the clock leaves none."""
        item, left, attempt = self.items[key], todo[key], self.rules.order == "attempts"
        self.stop = stop
        moment = max(self.last_end + (CHANGE_S if self.told.sets else 0.0), self.not_before)
        if self._rides(key):
            return self._ride(key, todo, asked, moment, stop)
        smallest = 5.0 if item.unit == "hold_s" else 1.0
        kept = 0.0
        if self.keep:  # three repetitions or fifteen seconds; a third of less than nine or 45
            kept = max(smallest, min(3 * smallest, (self.fresh[key] + EPS) // 3))
        stopped = self.muscles[item.movement].stopped
        if stopped is not None and self._can_run_empty(key):
            within_reach = min(self._muscles(key, moment) - kept, self._breaths(key, moment)) >= left
            if attempt or left < asked[key] or not within_reach:
                moment = max(moment, stopped + self.own_rest_s)
        opened = next((size for work, size, _ in self.told.sets if work == key), 0.0)
        worth = max(smallest, min(int(self.worthwhile * opened + 0.5), 5 * smallest))
        rested = moment
        for hoped_for in [worth, smallest]:  # rather a small set than none
            moment = rested if attempt else self._wait(key, rested, min(hoped_for, left), kept, stop)
            if moment < stop:
                break
        else:
            return None
        muscles, breaths = self._muscles(key, moment), self._breaths(key, moment)
        if not attempt:
            breaths = max(breaths, min(smallest, left))
        usable = min(max(0, muscles - kept), breaths)
        if attempt or usable >= left:
            size = min(left, usable)
        else:
            enough = sorted([smallest, worth, usable])[1]  # what is there, if it is not worth more
            size = max(min(enough, left), math.floor(self.share * usable + EPS))
        fits = math.floor((stop - moment) / self.seconds[key] + EPS)
        cut = fits < size
        size = min(size, fits)
        if size <= 0 and not attempt:
            return None
        self.by_muscles = muscles <= breaths
        there = 0
        if not math.isinf(muscles):
            tired = sum(self.muscles[item.movement].at(moment))
            there = max(size, min(self.fresh[key] - tired, self._breath_left(key, moment)))
        return self._done(key, todo, asked, moment, size, there, cut)

    def _muscles(self, key, moment):
        """Units that the muscles have in them."""
        if math.isinf(self.fresh[key]):
            return math.inf
        tired = sum(self.muscles[self.items[key].movement].at(moment))
        return max(0, math.floor(self.fresh[key] - tired + EPS))

    def _wait(self, key, moment, units, kept, stop):
        """The moment from which on so many units are there, or one at which it is too late."""
        muscle = self.muscles[self.items[key].movement]
        while self.fresh[key] - sum(muscle.at(moment)) + EPS < units + kept and moment < stop:
            moment += PATIENCE_S
        return moment if moment >= stop else self._catch_breath(key, moment, units)

    def _takes_all(self):
        """Whether the set that is coming goes on for as long as the muscles let it."""
        return self.share >= 1 or self.rules.order == "attempts"

    def _can_run_empty(self, key):
        return not math.isinf(self.fresh[key])

    def _breaths(self, key, moment):
        """Units that the breath pays for."""
        return math.inf

    def _breath_left(self, key, moment):
        """The same, with the part of a unit that is left over."""
        return math.inf

    def _catch_breath(self, key, moment, units):
        """When the breath pays for so many."""
        return moment

    def _rides(self, key):
        """Whether it is cyclical work."""
        return False

    def _done(self, key, todo, asked, moment, size, there, cut, seconds=None):
        item, fresh, left = self.items[key], self.fresh[key], todo[key]
        unfinished = left - size > EPS
        rule, main = self.rules.break_rule, item in self.block.work
        broke = main and (
            (rule.counts == "set_ended_early" and unfinished and not cut)
            or (
                rule.counts == "rest_longer_than"
                and left < asked[key]
                and moment - self.last_end > rule.rest_over_s
            )
        )
        apart = self.rules.rest_between_s > 0 or self.rules.order in ("intervals", "attempts")
        in_one_go = apart and asked[key] < math.inf
        own = not cut and (left == asked[key] or (unfinished and not in_one_go))
        seen = any(work == key for work, _, _ in self.told.sets)
        if seen and unfinished and not cut:  # somebody chose to stop here
            self.told.later.setdefault(key, []).append(size)
        failed = self._takes_all() and not self.keep and unfinished and not cut and self.by_muscles
        if own and there:
            wanted = there if failed else size
            wanted = left if in_one_go else wanted
            self.told.shares.setdefault(key, []).append(min(100.0, 100.0 * wanted / there))
        duration = size * self.seconds[key] if seconds is None else seconds
        if failed and item.unit == "repetitions":
            duration = min((size + 1) * self.seconds[key] * SLOWER, self.stop - moment)
        if not math.isinf(fresh):
            self.muscles[item.movement].work(size, moment, fresh, self.m, duration, failed)
        self.told.sets.append((key, size, moment))
        self.told.breaks += broke
        todo[key] = left - size if unfinished else 0.0
        self.last_end = self.told.elapsed = moment + duration
        self.muscles[item.movement].stopped = self.last_end
        return size, broke
