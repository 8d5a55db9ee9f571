"""Typical athletes: people in general at a percentile of strength, for a session that nobody has done yet.

Everything relative to body mass is taken from the organisation's prior, both sexes alike; strong in one movement is
strong in all. Such a person is taken as known as well as somebody who was tested lately: what is asked is whether
the session fits people, not whether anything is known of them.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

import numpy as np
from scipy.special import ndtri

from athletes.calc.capacity import Observation, estimate_capacity
from athletes.calc.critical import estimate_critical
from athletes.calc.hold import estimate_hold
from athletes.capacities import prior_of
from athletes.endurance import cyclical_start, hold_start, kind_of
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.calc.catalogue import CYCLICAL, HOLD

PERCENTILES: Final = (10, 50, 90)
BODY_MASS_KG: Final[Mapping[str, float]] = {"female": 65.0, "male": 80.0}
"""Ours: about the middle of adults who train. Most movements are relative to it, so that little depends on it."""
KNOWN_LOG_SD: Final = 0.1
"""Spread of what a recent test leaves open of the load for ten repetitions, about two repetitions (ours)."""


@dataclass(frozen=True)
class Typical:
    """One of them."""

    sex: str
    percentile: int

    @property
    def name(self) -> str:
        return f"{self.sex}, {self.percentile}th percentile of strength"

    @property
    def body_mass_kg(self) -> float:
        return BODY_MASS_KG[self.sex]

    def inputs(self) -> AthleteInputs:
        """With everything at the place, no limit, in company."""
        return AthleteInputs(self.body_mass_kg, None, frozenset(), "UTC", False, self.sex)


TYPICAL: Final = tuple(Typical(sex, percentile) for percentile in PERCENTILES for sex in BODY_MASS_KG)


def capacities_of(
    person: Typical, priors: Mapping[UUID, Mapping[str, Any]], day: dt.date
) -> dict[UUID, CapacityState]:
    """By movement; priors are the documents of `athletes.queries.prior_documents`."""
    return {movement: _capacity(person, document, day) for movement, document in priors.items()}


def _capacity(person: Typical, document: Mapping[str, Any], day: dt.date) -> CapacityState:
    z, at = float(ndtri(person.percentile / 100.0)), day.toordinal()
    kind = kind_of(document)
    if kind == HOLD:
        hold = hold_start(document, person.body_mass_kg)
        moved = replace(hold, log_l60=hold.log_l60 + z * hold.log_l60_sd, log_l60_sd=KNOWN_LOG_SD)
        tested = np.array([moved.log_l60])
        return replace(estimate_hold(moved, (), day=at), observations=1, tested_log_loads=tested)
    if kind == CYCLICAL:
        start = cyclical_start(document, person.body_mass_kg)
        paced = replace(
            start,
            log_critical=start.log_critical + z * start.log_critical_sd,
            log_critical_sd=KNOWN_LOG_SD,
            log_reserve_sd=min(start.log_reserve_sd, 2.0 * KNOWN_LOG_SD),
        )
        return replace(estimate_critical(paced, (), day=at), observations=1)
    prior = prior_of(document, person.body_mass_kg)
    strong = replace(prior, log_l10=prior.log_l10 + z * prior.log_l10_sd, log_l10_sd=KNOWN_LOG_SD)
    # One easy repetition says next to nothing, but the person counts as known.
    seen = Observation(at, 1.0, 1.0, "at_least")
    return replace(estimate_capacity(strong, [seen], day=at), bounded=1)
