"""Invented athletes for the tests of prescription: log-normal strength and fall-off under common scenarios."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri
from scipy.stats import qmc

from athletes.calc.fatigue import slow_multipliers
from programming.calc.variation import Option
from scoring.calc.prescription import Candidate

COUNT = 1024
LOADS = tuple(30.0 * 1.1**step for step in range(12))  # 30 to 86 kg


def uniforms(dimensions, count=COUNT, seed=11):
    """Common scenarios (N, dimensions) as the service draws them: every beginning of them is like the whole."""
    return qmc.Sobol(d=dimensions, scramble=True, rng=np.random.default_rng(seed)).random(count)


_u = uniforms(5)
STRENGTH, FALL_OFF = ndtri(_u[:, :2].T), ndtri(_u[:, 2:4].T)
MULTIPLIER = slow_multipliers(_u[:, 4])


@dataclass(frozen=True)
class Athlete:
    """Strength S in kg (the load at no repetition) with its log-SD, fall-off k with its log-SD."""

    strength_kg: float
    log_sd: float = 0.05
    fall_off: float = 0.03
    fall_off_log_sd: float = 0.1

    def fresh(self, load_kg, item=0):
        """n* (N,) = ln(S / L) / k, at least 0, with the same people for every load."""
        log_s = np.log(self.strength_kg) + self.log_sd * STRENGTH[item]
        k = self.fall_off * np.exp(self.fall_off_log_sd * FALL_OFF[item])
        return np.clip((log_s - np.log(load_kg)) / k, 0.0, 500.0)

    def candidates(self, *, item=0, loads=LOADS, written=None, novel=()):
        """A candidate for each load."""
        return [
            Candidate(
                Option(f"step_{number}", load, None, None, load),
                self.fresh(load, item),
                is_as_written=number == written,
                is_novel=number in novel,
            )
            for number, load in enumerate(loads)
        ]
