"""What an organisation's own athletes say of a movement: how its curve bends and falls off, what training adds, and
how far people depart from that.

Movements differ in how their curve bends below some 70 % of the maximum, published equations among themselves too,
and no single form is right for all. Athletes who were tested at two loads and more tell it: asymptote share a, the
median of k, its spread between people and the gain of ln L10 in a day are those under which all of their sights are
the most probable (empirical Bayes: strength and k of each integrated out), with priors around the catalogue's. k
moves with a so that as many repetitions are foreseen at PIVOT of the maximum: which is what most loads tell, whatever
the bend. Then the misfit: of what is left between the curve and people the share under which their last test is the
most probable, seen from those before. Nothing random: the same athletes give the same numbers.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np
from scipy.optimize import brentq, minimize

from athletes.calc.decay import Absence
from athletes.calc.estimate import estimate_capacity
from athletes.calc.evidence import log_evidence
from athletes.calc.gain import gaining_days
from athletes.calc.observation import Observation
from athletes.calc.predict import probability_of_count
from athletes.calc.record import Record, as_record
from athletes.calc.soreness import Work
from athletes.calc.state import Capacity
from programming.calc.arrays import FloatArray
from programming.calc.prior import Prior

FEWEST_PEOPLE: Final = 20
MOST_PEOPLE: Final = 120
"""Ours: a fit of more costs more and says hardly more."""

PIVOT: Final = 0.8

ASYMPTOTE_SD: Final = 0.25
FALL_OFF_SD: Final = 0.15
LOG_SPREAD_SD: Final = 0.25
LOG_MISFIT_SD: Final = 0.7
GAIN_SD: Final = 0.0005
"""Ours, how far movements of organisations differ from the catalogue: published equations have asymptotes from none
(Brzycki, Epley) to about half of the maximum (Mayhew et al. 1992, Wathan 1994); mean counts at 80 % of one movement
differ by some 15 % between studies (Nuzzo et al. 2024, interval of the bench press: 7.7 to 10.1); spread and misfit
count as much as a few people would. The maximum grows by some 40 % in the untrained, 16 % in the trained and 2 % in
elites over four weeks to two years (position stand, American College of Sports Medicine 2002, from memory): 0.05 % a
day is 2.5 % in seven weeks and 20 % in a year."""

MOST_ASYMPTOTE: Final = 0.5
MISFITS: Final = tuple(0.1 * 1.25**step for step in range(12))  # up to 1.16, about the catalogue's

DIGITS: Final = 4
GAIN_DIGITS: Final = 6
ASYMPTOTE_TOLERANCE: Final = 0.05
FALL_OFF_TOLERANCE: Final = 0.03
SPREAD_TOLERANCE: Final = 0.10
MISFIT_TOLERANCE: Final = 0.25
GAIN_TOLERANCE: Final = 0.0002
"""A fit that moved by less is not worth computing everybody again."""

STRAY: Final = 0.01
"""One test in a hundred says nothing of the curve (a slip, a wrong load); ours."""

TWO_SIDED: Final = frozenset({"to_failure", "one_rm", "rir"})
LEAST_APART: Final = 0.05  # ln L of the lightest and the heaviest load at which somebody was tested


class Sights(NamedTuple):
    """What was seen of one athlete in the movement, under the catalogue's curve."""

    prior: Prior
    observations: Sequence[Observation]
    work: Sequence[Work] = ()
    absences: Sequence[Absence] = ()

    @property
    def apart(self) -> float:
        """By how much ln L of the loads differs at which the athlete was tested from both sides."""
        told = [math.log(one.load_kg) for one in self.observations if one.kind in TWO_SIDED]
        return max(told) - min(told) if told else 0.0


@dataclass(frozen=True)
class CurveFit:
    """The curve of people; people: how many told it, sights: how many of the movement there were then."""

    asymptote_share: float
    log_k: float
    log_k_sd: float
    misfit: float
    people: int
    sights: int
    gain: float = 0.0

    def on(self, prior: Prior) -> Prior:
        """A person's prior with this curve."""
        return replace(
            prior,
            asymptote_share=self.asymptote_share,
            log_k=self.log_k,
            log_k_sd=self.log_k_sd,
            misfit=self.misfit,
            gain=self.gain,
        )

    def moved_from(self, other: "CurveFit | None") -> bool:
        """Whether it differs enough to be worth another snapshot."""
        if other is None:
            return True
        return (
            abs(self.asymptote_share - other.asymptote_share) > ASYMPTOTE_TOLERANCE
            or abs(self.log_k - other.log_k) > FALL_OFF_TOLERANCE
            or abs(math.log(self.log_k_sd / other.log_k_sd)) > SPREAD_TOLERANCE
            or abs(math.log(self.misfit / other.misfit)) > MISFIT_TOLERANCE
            or abs(self.gain - other.gain) > GAIN_TOLERANCE
        )


def telling(people: Sequence[Sights]) -> list[Sights]:
    """Those who tell the curve, who were tested at the widest loads first; at most MOST_PEOPLE."""
    told = [one for one in people if one.apart >= LEAST_APART]
    return sorted(told, key=lambda one: (-one.apart, one.prior.log_l10, len(one.observations)))[:MOST_PEOPLE]


def pooled_curve(people: Sequence[Sights], stored: int) -> CurveFit | None:
    """The curve that athletes tell; None of fewer than FEWEST_PEOPLE who were tested at different loads. stored: how
    many sights of the movement there are, to be kept with it.
    """
    told = telling(people)
    if len(told) < FEWEST_PEOPLE:
        return None
    curve, gain = _curve(told)
    a, log_k, log_k_sd = (round(value, DIGITS) for value in curve)
    fit = CurveFit(a, log_k, log_k_sd, 1.0, len(told), stored, round(gain, GAIN_DIGITS))
    return replace(fit, misfit=round(_misfit(fit, told), DIGITS))


def fall_off_at(asymptote_share: float, count: float) -> float:
    """k under which as many repetitions n* are available at PIVOT of the maximum (the load of n* = 1)."""

    def beyond(log_k: float) -> float:
        k, a = math.exp(log_k), asymptote_share
        return a + (1.0 - a) * math.exp(-k * count) - PIVOT * (a + (1.0 - a) * math.exp(-k))

    return math.exp(float(brentq(beyond, math.log(1e-4), math.log(0.5))))


def _curve(people: Sequence[Sights]) -> tuple[tuple[float, float, float], float]:
    """((asymptote share, ln k, its SD), gain) that make the sights the most probable."""
    catalogue = people[0].prior
    count = _count_at_pivot(catalogue)
    records = [_plain(one) for one in people]

    def curve(at: FloatArray) -> tuple[float, float, float]:
        shift, wider = at[1] * FALL_OFF_SD, math.exp(at[2] * LOG_SPREAD_SD)
        return float(at[0]), math.log(fall_off_at(float(at[0]), count)) + shift, catalogue.log_k_sd * wider

    def against(at: FloatArray) -> float:
        a, log_k, log_k_sd = curve(at)
        of_all = math.fsum(
            log_evidence(
                replace(prior, asymptote_share=a, log_k=log_k, log_k_sd=log_k_sd),
                _trained(record, days, float(at[3]) * GAIN_SD),
            )
            for prior, record, days in records
        )
        apart = (a - catalogue.asymptote_share) / ASYMPTOTE_SD
        return 0.5 * float(apart**2 + at[1] ** 2 + at[2] ** 2 + at[3] ** 2) - of_all

    found = minimize(
        against, np.array([max(catalogue.asymptote_share, 0.1), 0.0, 0.0, 0.0]), method="L-BFGS-B",
        bounds=[(0.0, MOST_ASYMPTOTE), (-4.0, 4.0), (-4.0, 4.0), (-4.0, 4.0)],
        options={"eps": 1e-3, "maxiter": 15, "ftol": 1e-5},
    )  # fmt: skip
    a, log_k, log_k_sd = curve(found.x)
    return (a, float(log_k), float(log_k_sd)), float(found.x[3]) * GAIN_SD


def _plain(one: Sights) -> tuple[Prior, Record, FloatArray]:
    """Prior, sights without any gain, and the days (M,) of gain up to each of these."""
    record = as_record(one.observations, one.absences, one.work)
    days = record.history.day.astype(np.float64)
    return one.prior, record, gaining_days(one.absences, days, days)


def _trained(record: Record, days: FloatArray, gain: float) -> Record:
    """The sights with what training adds taken off them."""
    return replace(record, history=record.history._replace(log_load=record.history.log_load - gain * days))


def _count_at_pivot(prior: Prior) -> float:
    """n* at PIVOT of the maximum, on the curve of a prior."""
    k, a = math.exp(prior.log_k), prior.asymptote_share
    maximum = a + (1.0 - a) * math.exp(-k)
    return -math.log((PIVOT * maximum - a) / (1.0 - a)) / k


def _misfit(fit: CurveFit, people: Sequence[Sights]) -> float:
    """The misfit under which the last test of each is the most probable, seen from what was known before its day."""
    tests = [found for one in people if (found := _last_test(fit, one)) is not None]
    against = [0.5 * (math.log(misfit) / LOG_MISFIT_SD) ** 2 for misfit in MISFITS]
    for capacity, test in tests:
        for index, misfit in enumerate(MISFITS):
            chance = probability_of_count(replace(capacity, misfit=misfit), test.load_kg, test.repetitions)
            against[index] -= math.log(STRAY + (1.0 - STRAY) * chance)
    return MISFITS[int(np.argmin(against))]


def _last_test(fit: CurveFit, one: Sights) -> tuple[Capacity, Observation] | None:
    """The last fresh set to failure, and capacity on that day from the days before; None where nothing
    was tested before it.
    """
    tests = [seen for seen in one.observations if seen.kind == "to_failure" and seen.spent == 0.0]
    last = max(tests, key=_when, default=None)
    if last is None:
        return None
    before = [seen for seen in one.observations if seen.day < last.day]
    if not any(seen.kind in TWO_SIDED for seen in before):
        return None
    work = [entry for entry in one.work if entry.day < last.day]
    return estimate_capacity(fit.on(one.prior), before, day=last.day, absences=one.absences, work=work), last


def _when(seen: Observation) -> tuple[float, ...]:
    return (seen.day, seen.hour, seen.load_kg, seen.repetitions)
