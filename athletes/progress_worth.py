"""The smallest change that is worth a word: a fifth of how far people differ, or what is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import expm1, log1p
from typing import Any, Final

from athletes.calc.course import WORTHWHILE_SHARE
from athletes.capacities import UNKNOWN_BODY_MASS_KG, prior_of
from athletes.endurance import cyclical_start, hold_start, kind_of
from programming.calc.catalogue import CYCLICAL, HOLD

OF_PEOPLE: Final = "fifth_of_spread_between_people"
ASKED: Final = "asked"


@dataclass(frozen=True)
class Worthwhile:
    """log: of the load, or of the power; origin: where it is from."""

    log: float
    origin: str

    @property
    def percent(self) -> float:
        return 100.0 * expm1(self.log)


def worthwhile_of(prior: Mapping[str, Any], asked_percent: float | None) -> Worthwhile:
    """By the spread between people in the snapshot that the capacity was computed with: the organisation's own where
    its athletes have told one. asked_percent must be positive."""
    if asked_percent is not None:
        return Worthwhile(log1p(asked_percent / 100.0), ASKED)
    return Worthwhile(WORTHWHILE_SHARE * _between_people(prior), OF_PEOPLE)


def _between_people(prior: Mapping[str, Any]) -> float:
    """SD of ln of the load or power between people of one body mass."""
    kind = kind_of(prior)
    if kind == HOLD:
        return hold_start(prior, UNKNOWN_BODY_MASS_KG).log_l60_sd
    if kind == CYCLICAL:
        return cyclical_start(prior, UNKNOWN_BODY_MASS_KG).log_critical_sd
    return prior_of(prior, UNKNOWN_BODY_MASS_KG).log_l10_sd
