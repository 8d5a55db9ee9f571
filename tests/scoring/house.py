"""An organisation of strangers, session after session, with its priors refitted on the way as in the nights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from athletes.calc.borrowing import told_from
from athletes.calc.curve_pooling import CurveFit, Sights, pooled_curve
from athletes.calc.pooling import Fit, Member, pooled
from athletes.capacities import catalogue_prior
from programming.calc.prior import Prior
from tests.oracles.strangers.populations import POPULATIONS, Session, Stranger, history
from tests.scoring.foreseen import KEYS, SEXES, Known, prior_document

BODY_MASS_KG = 75.0
"""Strangers have none: everybody is told to weigh as much, so that nothing is known from it."""
STRENGTH_FITTED = (1, 2, 3, 5, 8)
CURVES_FITTED = (3, 5, 8)
"""Before which sessions of twelve. In service it is every night, but fits that hardly move change nothing."""


def catalogue(movement: str) -> Prior:
    return catalogue_prior(prior_document(movement), BODY_MASS_KG)


@dataclass(frozen=True)
class Before:
    """A session that is yet to come, of whom, and all that is known before it."""

    stranger: Stranger
    known: Known
    session: Session
    earlier: list[Session]


class House:
    """What its members have said of people, by movement."""

    def __init__(self, name: str, size: int, seed: int) -> None:
        rng = np.random.default_rng(seed)
        self.people = list(POPULATIONS[name](rng, size))
        self.histories = [history(rng, one) for one in self.people]
        self.strength: dict[str, Fit] = {}
        self.curves: dict[str, CurveFit] = {}
        self.known = [Known(one.sex, self.prior) for one in self.people]

    def prior(self, movement: str, sex: str) -> Prior:
        """Of a person of that sex, as `athletes.capacities.prior_of` has it of a snapshot."""
        prior, fit = catalogue(movement), self.strength.get(movement)
        if movement in self.curves:
            prior = self.curves[movement].on(prior)
        if fit is None:
            return prior
        return replace(prior, log_l10=prior.log_l10 + fit.at(sex, None), log_l10_sd=fit.sd)

    def sessions(self) -> Iterator[Before]:
        """Each person's sessions but the first, those of one date together."""
        for number in range(len(self.histories[0])):
            if number in STRENGTH_FITTED:
                self.refit(curves=number in CURVES_FITTED)
            for person, known, history_ in zip(self.people, self.known, self.histories, strict=True):
                if number:
                    yield Before(person, known, history_[number], history_[:number])
                known.note(history_[number])

    def refit(self, *, curves: bool) -> None:
        for movement in KEYS:
            fit = pooled(self._members(movement), catalogue(movement).log_l10_sd)
            curve = pooled_curve(self._sights(movement), 0) if curves else None
            if fit is not None and fit.moved_from(self.strength.get(movement)):
                self.strength[movement] = fit
            if curve is not None and curve.moved_from(self.curves.get(movement)):
                self.curves[movement] = curve
        for known in self.known:
            known.forget_estimates()

    def _members(self, movement: str) -> list[Member]:
        expected, found = catalogue(movement).log_l10, []
        for known in self.known:
            if not known.seen[movement]:
                continue
            prior, capacity = self.prior(movement, known.sex), known.last(movement)
            start = (expected, prior.log_l10, prior.log_l10_sd)
            told = told_from(capacity.weight, capacity.mean, capacity.var, start)
            if told is not None:
                y = prior.log_l10 + prior.log_l10_sd * told.z - expected
                found.append(Member(y, prior.log_l10_sd**2 * told.error, known.sex))
        return found

    def _sights(self, movement: str) -> list[Sights]:
        """Strength as the house has it, the curve as the catalogue has it."""
        plain, found = catalogue(movement), []
        for known in self.known:
            if known.seen[movement]:
                prior = self.prior(movement, known.sex)
                own = replace(plain, log_l10=prior.log_l10, log_l10_sd=prior.log_l10_sd)
                found.append(Sights(own, known.seen[movement], known.work[movement]))
        return found


__all__ = ["SEXES", "Before", "House"]
