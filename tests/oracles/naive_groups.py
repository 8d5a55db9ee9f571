"""Muscle groups that several movements share, kept group by group in logarithms of strength, for ``naive_block``."""

import math

from tests.oracles.naive_block import NaiveBlock


class Group:
    """Fatigue of one muscle group at the end of its last set."""

    def __init__(self):
        self.fast = self.slow = 0.0
        self.ended, self.sets = 0.0, 0

    def rest_until(self, moment):
        waited = moment - self.ended
        self.fast *= math.e ** (-waited / 21.5)
        self.slow *= math.e ** (-waited / (388.0 if self.sets == 1 else 716.0))
        self.ended = moment


class SharedMuscle:
    """What a movement sees of the groups, in its own units; weights by group, k: what a unit takes of ln strength."""

    def __init__(self, body, weights, k):
        self.body, self.weights, self.k = body, weights, k
        self.stopped = None

    def at(self, moment):
        """(fast, slow) at a moment after the last set of any group."""
        fast = slow = 0.0
        for name, weight in self.weights.items():
            group = self.body[name]
            waited = moment - group.ended
            fast += weight * group.fast * math.e ** (-waited / 21.5) / self.k
            slow += weight * group.slow * math.e ** (-waited / (388.0 if group.sets == 1 else 716.0)) / self.k
        return fast, slow

    def work(self, size, moment, fresh, m, seconds, failed):
        """Do a set: how much of it is slow is told unit after unit, then each group takes its part."""
        fast, slow = self.at(moment)
        spent, most, to_slow, left = fast + slow, max(0.0, 0.9 * fresh - slow), 0.0, size
        while left > 0:
            unit = min(1.0, left)
            spent += unit
            to_slow += unit * min(1.0, m * (0.3 + math.pow(spent / fresh, 5)))
            left -= unit
        to_slow = min(to_slow, most)
        extra = min(0.05 * m, most - to_slow) if failed else 0.0
        square = sum(weight * weight for weight in self.weights.values())
        for name, weight in self.weights.items():
            group = self.body[name]
            group.rest_until(moment)
            group.fast += self.k * weight / square * (size - to_slow)
            group.slow += self.k * weight / square * (to_slow + extra)
            group.ended = moment + size * seconds
            group.sets += 1


class NaiveGroups(NaiveBlock):
    """groups: by movement the weight of each group; per_unit: by movement k."""

    def __init__(self, *args, groups, per_unit, **named):
        super().__init__(*args, **named)
        body = {name: Group() for weights in groups.values() for name in weights}
        self.muscles = {
            movement: SharedMuscle(body, groups[movement], per_unit[movement]) for movement in self.muscles
        }
