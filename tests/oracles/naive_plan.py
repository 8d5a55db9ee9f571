"""An athlete who does the sets of a list, played by the naive stepper: sizes and starts are those of the list."""

import math

from tests.oracles.naive_block import EPS, NaiveBlock


class NaivePlan(NaiveBlock):
    """plan: (work, size, start [s]) in the order in which they are done. Refuses what nobody may or can do."""

    def __init__(self, block, fresh, m, seconds, plan):
        super().__init__(block, fresh, m, seconds, share=0.5, own_rest_s=0.0)
        self.plan = list(plan)

    def _set(self, key, todo, asked, stop):
        work, size, moment = self.plan.pop(0)
        there = self._muscles(key, moment)
        may_begin = max(self.last_end + (5.0 if self.told.sets else 0.0), self.not_before)
        if work != key or size > todo[key] or size > there or moment < may_begin - EPS:
            raise ValueError(f"{key}: {size} at {moment} cannot be done")
        fits = math.floor((stop - moment) / self.seconds[key] + EPS)
        if fits <= 0:
            return None
        self.by_muscles = True
        return self._done(key, todo, asked, moment, min(size, fits), there, fits < size)


def official(block, told):
    """The official time of work that is finished; infinite where it is not."""
    added = block.rules.break_rule.penalty == "added"
    cost = block.rules.break_rule.penalty_s * told.breaks if added else 0.0
    return told.elapsed + cost if told.finished else math.inf
