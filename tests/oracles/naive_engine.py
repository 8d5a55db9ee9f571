"""A block with cyclical work, done by somebody with one engine: the naive block, and breath beside the muscles.

Another way than the compiled simulation: what is missing of the reserve is kept, and halves in equal times at rest;
lifting is paid for one repetition after the other; the end of a ride is looked for between its bounds. All written
from the description of the method: above the critical power P the reserve is spent by what is beyond it, below it
what is missing m comes back by dm/dt = -m (CP - P) / W'.
"""

import math
from dataclasses import dataclass

from tests.oracles.naive_block import EPS, NaiveBlock

# Nobody waits for more of the reserve than this; what a repetition raised and lowered takes of it.
RESTED = 0.95
WORK_OF_A_KG_J = 9.81 * 0.5 * 4 / 3


@dataclass
class Machine:
    """Critical power or speed, its reserve, and the amount per second at a pace; None: none is told."""

    critical: float
    reserve: float
    per_second: object = None


class NaiveEngineBlock(NaiveBlock):
    """machines: by work key, the first of them recovers at rest; watts: what lifting takes, by work key, None where
    it cannot be told.
    """

    def __init__(self, *args, machines, watts, pace, **fields):
        super().__init__(*args, **fields)
        self.machines, self.watts, self.pace = machines, watts, pace
        self.resting = next(iter(machines.values()))
        self.missing = 0.0  # of the reserve, as a share, at the end of the last set

    def _missing_at(self, moment):
        half_s = math.log(2) * self.resting.reserve / self.resting.critical
        return self.missing * 0.5 ** ((moment - self.last_end) / half_s)

    def _joules_of_one(self, key):
        """What one repetition takes of the reserve; nothing where the sustainable power pays for it."""
        beyond = (self.watts.get(key) or 0.0) - self.resting.critical
        return max(0.0, beyond) * self.seconds[key]

    def _breaths(self, key, moment):
        one = self._joules_of_one(key)
        if one == 0.0:
            return math.inf
        left, count = (1 - self._missing_at(moment)) * self.resting.reserve, 0
        while left >= one * (1 - EPS):
            left, count = left - one, count + 1
        return count

    def _breath_left(self, key, moment):
        one = self._joules_of_one(key)
        return math.inf if one == 0.0 else (1 - self._missing_at(moment)) * self.resting.reserve / one

    def _catch_breath(self, key, moment, units):
        """The first moment at which the reserve pays for that many, by halving the time between bounds."""
        enough = 1 - min(RESTED, units * self._joules_of_one(key) / self.resting.reserve)
        if self._missing_at(moment) <= enough:
            return moment
        early, late = moment, moment + 60 * self.resting.reserve / self.resting.critical
        for _ in range(200):
            middle = (early + late) / 2
            early, late = (early, middle) if self._missing_at(middle) <= enough else (middle, late)
        return late

    def _can_run_empty(self, key):
        return super()._can_run_empty(key) or self._joules_of_one(key) > 0.0

    def _rides(self, key):
        return key in self.machines and self.machines[key].per_second is not None

    def _ride(self, key, todo, asked, moment, stop):
        """At the pace until the reserve is empty, then at the critical power."""
        if moment >= stop:
            return None
        machine, missing = self.machines[key], self._missing_at(moment)
        watts = self.pace * machine.critical
        quick_s = math.inf
        if watts > machine.critical:
            quick_s = (1 - missing) * machine.reserve / (watts - machine.critical)

        def amount(seconds):
            quick, slow = min(seconds, quick_s), max(0.0, seconds - quick_s)
            return quick * machine.per_second(watts) + slow * machine.per_second(machine.critical)

        low, high = 0.0, stop - moment
        cut = amount(high) < todo[key] - EPS
        if not cut:
            for _ in range(200):
                middle = (low + high) / 2
                low, high = (low, middle) if amount(middle) >= todo[key] else (middle, high)
        size = amount(high) if cut else todo[key]
        if watts > machine.critical:
            self.after = min(1.0, missing + high * (watts - machine.critical) / machine.reserve)
        else:
            self.after = missing * math.exp(-high * (machine.critical - watts) / machine.reserve)
        return self._done(key, todo, asked, moment, size, 0, cut, seconds=high)

    def _lifted(self, key, moment, size):
        """What is missing after lifting or holding, one unit after the other."""
        watts, missing = self.watts.get(key), self._missing_at(moment)
        if watts is None:
            return missing
        beyond = watts - self.resting.critical
        while size > 0.0:
            seconds = min(1.0, size) * self.seconds[key]
            if beyond > 0.0:
                missing = min(1.0, missing + beyond * seconds / self.resting.reserve)
            else:
                missing *= math.exp(seconds * beyond / self.resting.reserve)
            size -= min(1.0, size)
        return missing

    def _done(self, key, todo, asked, moment, size, there, cut, **fields):
        after = self.after if self._rides(key) else self._lifted(key, moment, size)
        done = super()._done(key, todo, asked, moment, size, there, cut, **fields)
        self.missing = after
        return done
