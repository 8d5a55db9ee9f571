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

    def __init__(self, body, weights, k, works):
        self.body, self.weights, self.k, self.works = body, weights, k, works
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

    def room(self, fresh, moment):
        """Units until the slow part has nine tenths of some work that shares a muscle and can be done fresh."""
        square = sum(weight * weight for weight in self.weights.values())
        found = []
        for other, there in [
            (self, fresh),
            *((muscle, one) for muscle, one in self.works if 1.0 <= one < math.inf),
        ]:
            shared = sum(weight * self.weights.get(name, 0.0) for name, weight in other.weights.items())
            if shared > 0.0:
                left = max(0.0, 0.9 * there - other.at(moment)[1]) * other.k
                found.append(left * square / shared / self.k)
        return min(found)

    def work(self, size, moment, fresh, m, duration, failed):
        """Do a set: how much of it is slow is told unit after unit, then each group takes its part."""
        fast, slow = self.at(moment)
        spent, most, to_slow, left = fast + slow, self.room(fresh, moment), 0.0, size
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
            group.ended = moment + duration
            group.sets += 1


class NaiveGroups(NaiveBlock):
    """groups: by movement the weight of each group; per_unit: by movement k."""

    def __init__(self, *args, groups, per_unit, **named):
        super().__init__(*args, **named)
        body = {name: Group() for weights in groups.values() for name in weights}
        works = []
        self.muscles = {
            movement: SharedMuscle(body, groups[movement], per_unit[movement], works)
            for movement in self.muscles
        }
        works += [(self.muscles[item.movement], self.fresh[item.key]) for item in self.block.items]
