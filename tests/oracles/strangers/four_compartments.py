"""Fatigue of the first population: compartments of a muscle, active, rested, tired, and tired for long.

Three of them are those of Xia & Frey-Law 2008 (equations S). With them
alone a set to failure always restarts from the same state, so that all later sets are equal, which people's are not;
therefore a part of what tires goes into a second, slowly recovering compartment. That part is invented.

The load is a fraction of maximal strength. While it is held, the active compartment equals it, so that both tired
ones fill at a constant rate and empty in proportion; failure is where active and rested together no longer hold it.
The published rate F of tiring is not used: model and people differ by 40–70 % at high loads, so F is set such that a
fresh set lasts as long as the curve of the person says. The rates of recovery R and r are.
"""

import math
from dataclasses import dataclass

from tests.oracles.strangers.movements import MOVEMENTS


@dataclass(frozen=True)
class FourCompartments:
    """`recovery` R in 1/s; at rest `faster` (r) times as fast; `slow_part` of the fatigue goes into the slow
    compartment, which empties at rest with the time constant `slow_s`."""

    recovery: float
    faster: float
    slow_part: float
    slow_s: float
    pace_s: float
    felt: dict[str, tuple[tuple[str, float], ...]]

    def fresh(self):
        return {movement: [0.0, 0.0] for movement in MOVEMENTS}

    def _rates(self):
        return self.recovery, 1.0 / (self.slow_s * self.faster)

    def _inflow(self, share, reps):
        """Fraction of the muscle tiring in a second, (fast, slow): what makes a fresh set last `reps`."""
        fast, slow = self._rates()
        seconds = reps * self.pace_s
        p = self.slow_part
        held = (1 - p) * -math.expm1(-fast * seconds) / fast + p * -math.expm1(-slow * seconds) / slow
        total = (1.0 - share) / held
        return (1 - p) * total, p * total

    def remaining(self, state, movement, share, reps):
        """Newton from below on tired(t) = 1 - load. tired(t) is concave, as both compartments fill towards a level,
        so that no step goes beyond the root; it is nearly straight, so that four steps are enough."""
        tired, slow_tired = state[movement]
        reserve = 1.0 - share
        if reps <= 0.0 or tired + slow_tired >= reserve:
            return 0.0
        fast, slow = self._rates()
        inflow = self._inflow(share, reps)
        seconds = 0.0
        for _ in range(4):
            now, slow_now = self._after(tired, slow_tired, inflow, seconds)
            slope = inflow[0] - fast * now + inflow[1] - slow * slow_now
            seconds += (reserve - now - slow_now) / slope
        return seconds / self.pace_s

    def _after(self, tired, slow_tired, inflow, seconds):
        """Both tired compartments after so many seconds under the load."""
        fast, slow = self._rates()
        kept, slow_kept = math.exp(-fast * seconds), math.exp(-slow * seconds)
        return (
            tired * kept + inflow[0] * (1 - kept) / fast,
            slow_tired * slow_kept + inflow[1] * (1 - slow_kept) / slow,
        )

    def work(self, state, movement, share, reps, cost, seconds):
        self._recover(state, seconds, but=movement)
        if reps <= 0.0 or cost <= 0.0:
            return
        tired, slow_tired = state[movement]
        now, slow_now = self._after(tired, slow_tired, self._inflow(share, reps), cost * self.pace_s)
        state[movement] = [now, slow_now]
        for other, part in self.felt[movement]:
            state[other][0] += part * max(0.0, now - tired)
            state[other][1] += part * max(0.0, slow_now - slow_tired)

    def rest(self, state, seconds):
        self._recover(state, seconds, but=None)

    def _recover(self, state, seconds, but):
        kept = math.exp(-self.faster * self.recovery * seconds)
        slow_kept = math.exp(-seconds / self.slow_s)
        for movement, tired in state.items():
            if movement != but and (tired[0] or tired[1]):
                tired[0] *= kept
                tired[1] *= slow_kept
