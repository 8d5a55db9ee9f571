"""A second implementation of the block simulation, written another way: objects, one second at a time.

It uses neither the compiled kernels nor the transition function of the project.
"""

import math


class NaiveItem:
    """One work item with its two reservoirs, in repetitions."""

    def __init__(self, repetitions, fresh, multiplier, seconds):
        self.left, self.fresh, self.m, self.seconds = repetitions, fresh, multiplier, seconds
        self.fast = self.slow = 0.0
        self.sizes, self.later, self.ended = [], [], None

    def at(self, moment):
        """(fast, slow) at a moment after the last set."""
        if self.ended is None:
            return 0.0, 0.0
        waited = moment - self.ended
        slow_tau = 388.0 if len(self.sizes) == 1 else 716.0
        return self.fast * math.e ** (-waited / 21.5), self.slow * math.e ** (-waited / slow_tau)

    def available(self, moment):
        """Whole repetitions available at a moment."""
        return math.floor(self.fresh - sum(self.at(moment)) + 1e-9)

    def do(self, size, moment, to_failure):
        """Do a set; True when it was a break."""
        self.fast, self.slow = self.at(moment)
        for _ in range(size):
            depth = (self.fast + self.slow + 1) / self.fresh
            part = max(0.0, min(1.0, self.m * (0.3 + math.pow(depth, 5)), 0.9 * self.fresh - self.slow))
            self.slow, self.fast = self.slow + part, self.fast + 1 - part
        self.left -= size
        if self.left and to_failure:
            self.slow = max(self.slow, min(self.slow + 0.05 * self.m, 0.9 * self.fresh))
        if self.left and self.sizes:
            self.later.append(size)
        self.sizes.append(size)
        self.ended = moment + size * self.seconds
        return self.left > 0


def play_block(work, fresh, multiplier, seconds, *, share, own_rest_s, limit_s):
    """(sets, elapsed, breaks, finished, later sets of each item); sets are (item, size, start).

    The last set may be cut by the limit; it is then no later set.
    """
    items = [NaiveItem(*values) for values in zip(work, fresh, [multiplier] * 2, seconds, strict=True)]
    sets, clock, breaks, current = [], 0.0, 0, 0
    while any(item.left for item in items):
        item = items[current]
        moment = clock + (5.0 if sets else 0.0)
        if item.ended is not None:
            moment = max(moment, item.ended + own_rest_s)
        while item.available(moment) < 1 and moment < limit_s:
            moment += 5.0
        if moment >= limit_s:
            return sets, limit_s, breaks, False, [one.later for one in items]
        available = item.available(moment)
        size = item.left if available >= item.left else max(1, math.floor(share * available + 1e-9))
        in_time = math.floor((limit_s - moment) / item.seconds + 1e-9)
        if in_time < size:
            if in_time:
                sets.append((current, in_time, moment))
            return sets, limit_s, breaks + (in_time > 0), False, [one.later for one in items]
        broke = item.do(size, moment, share >= 1)
        sets.append((current, size, moment))
        breaks += broke
        clock = item.ended
        other = 1 - current
        if items[other].left:
            current = other
    return sets, clock, breaks, True, [one.later for one in items]
