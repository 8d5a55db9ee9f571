"""Fatigue of the second population: one reserve, refilled at two speeds.

Each repetition takes its part of a reserve; a fixed fraction of what is taken comes back fast, the rest slowly, as
Chorley et al. 2022 (P) found for the work above critical power. The slow recovery is slower the second time (388 s,
then 716 s). What counts as a second time after less than exhaustion, Chorley does not say; here the slowing follows
the work done: none before one whole reserve was spent, all after two. That interpolation is invented.
"""

import math
from dataclasses import dataclass

from tests.oracles.strangers.movements import MOVEMENTS


@dataclass(frozen=True)
class TwoRecoveries:
    """`fast_part` of the reserve with `fast_s`; the rest with `slow_s`, in the end `slowest_s`: time constants."""

    fast_part: float
    fast_s: float
    slow_s: float
    slowest_s: float
    felt: dict[str, tuple[tuple[str, float], ...]]

    def fresh(self):
        """Missing fast, missing slow, and spent in all: parts of the reserve."""
        return {movement: [0.0, 0.0, 0.0] for movement in MOVEMENTS}

    def remaining(self, state, movement, share, reps):
        fast, slow, _ = state[movement]
        return max(0.0, 1.0 - fast - slow) * reps

    def work(self, state, movement, share, reps, cost, seconds):
        self._recover(state, seconds, but=movement)
        if reps > 0.0 and cost > 0.0:
            self._take(state[movement], cost / reps)
            for other, part in self.felt[movement]:
                self._take(state[other], part * cost / reps)

    def _take(self, missing, part):
        missing[2] += part
        there = min(part, max(0.0, 1.0 - missing[0] - missing[1]))
        missing[0] += self.fast_part * there
        missing[1] += (1 - self.fast_part) * there

    def rest(self, state, seconds):
        self._recover(state, seconds, but=None)

    def _recover(self, state, seconds, but):
        fast_kept = math.exp(-seconds / self.fast_s)
        for movement, missing in state.items():
            if movement != but and missing[2] > 0.0:
                slowed = min(1.0, max(0.0, missing[2] - 1.0))
                slow_s = self.slow_s + (self.slowest_s - self.slow_s) * slowed
                missing[0] *= fast_kept
                missing[1] *= math.exp(-seconds / slow_s)
