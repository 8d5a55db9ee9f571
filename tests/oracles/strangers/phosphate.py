"""Fatigue of the third population: recovery as that of phosphocreatine, slower the deeper it was drawn down.

Phosphocreatine falls in work and comes back in rest (Bogdanis et al. 1995, P: 19.7 % left after a 30-s sprint,
half-time of the return 56.6 s). Harris et al. 1976 (MEM) found the return biphasic, with half-times of 21-22 s and
more than 170 s. Here a repetition's cost is paid from a fast and a slow part, and the deeper phosphocreatine stands
at that moment, the more is paid slowly; so a short heavy set is soon forgotten and a long light one is not. The
linear rule is invented; its slope is such that after 30 s of work to exhaustion 56.4 % is back at 90 s, as Bogdanis
found of phosphocreatine (DERIVED from the figures above with half-times of 21.5 and 200 s). Invented, too, is that
within a session the slow part never becomes less again: without that, the short sets after a long first one would be
paid so much faster that later ones grew.
"""

import math
from dataclasses import dataclass

from tests.oracles.strangers.movements import MOVEMENTS

LEFT_AFTER_SPRINT, SPRINT_S = 0.197, 30.0
AFTER_90_S = 0.650  # of rest, Bogdanis
DRAWN_S = -SPRINT_S / math.log(LEFT_AFTER_SPRINT)  # time constant of the fall
RETURN_S = 56.6 / math.log(2)
FAST_S, SLOW_S = 21.5 / math.log(2), 200.0 / math.log(2)
SLOW_MOST = 0.95  # of a repetition


def _mean_depth(depth, seconds):
    """Mean of 1 - (1 - depth) exp(-t / DRAWN_S) over `seconds` of work, and the depth at their end."""
    if seconds <= 0.0:
        return depth, depth
    left = 1.0 - depth
    kept = math.exp(-seconds / DRAWN_S)
    return 1.0 - left * (1.0 - kept) * DRAWN_S / seconds, 1.0 - left * kept


def _slope():
    """Slow part of a repetition for a depth of 1."""
    fast_back, slow_back = -math.expm1(-90.0 / FAST_S), -math.expm1(-90.0 / SLOW_S)
    back = (AFTER_90_S - LEFT_AFTER_SPRINT) / (1.0 - LEFT_AFTER_SPRINT)
    slow_part = (fast_back - back) / (fast_back - slow_back)
    return slow_part / _mean_depth(0.0, SPRINT_S)[0]


SLOPE = _slope()


@dataclass(frozen=True)
class Phosphate:
    """`slowness` multiplies the slow part of a repetition, `lag` all half-times."""

    slowness: float
    lag: float
    pace_s: float
    felt: dict[str, tuple[tuple[str, float], ...]]

    def fresh(self):
        """Missing fast, missing slow (parts of the fresh count), depth of phosphocreatine, largest slow part."""
        return {movement: [0.0, 0.0, 0.0, 0.0] for movement in MOVEMENTS}

    def remaining(self, state, movement, share, reps):
        fast, slow = state[movement][:2]
        return max(0.0, 1.0 - fast - slow) * reps

    def work(self, state, movement, share, reps, cost, seconds):
        self._recover(state, seconds, but=movement)
        if reps > 0.0 and cost > 0.0:
            self._draw(state[movement], cost / reps, cost * self.pace_s)
            for other, part in self.felt[movement]:
                self._draw(state[other], part * cost / reps, part * cost * self.pace_s)

    def _draw(self, missing, part, seconds):
        mean, missing[2] = _mean_depth(missing[2], seconds)
        slow_part = missing[3] = max(missing[3], min(SLOW_MOST, self.slowness * SLOPE * mean))
        there = min(part, max(0.0, 1.0 - missing[0] - missing[1]))
        missing[0] += (1.0 - slow_part) * there
        missing[1] += slow_part * there

    def rest(self, state, seconds):
        self._recover(state, seconds, but=None)

    def _recover(self, state, seconds, but):
        seconds = seconds / self.lag
        fast_kept, slow_kept = math.exp(-seconds / FAST_S), math.exp(-seconds / SLOW_S)
        depth_kept = math.exp(-seconds / RETURN_S)
        for movement, missing in state.items():
            if movement != but and missing[2] > 0.0:
                missing[0] *= fast_kept
                missing[1] *= slow_kept
                missing[2] *= depth_kept
