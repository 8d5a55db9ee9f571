"""What was done, as settings of a variation: whether they suit it, and the load that they make.

Shared by tests and by logged sets, so that both are judged alike. No database and no clock.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from programming.calc.load import effective_load, fraction_at_height
from programming.calc.variation import Variation
from services.problems import FieldProblem

LARGEST_SETTING_KG = 500.0
MOST_REPETITIONS = 2000
LARGEST_RIR = 10


@dataclass(frozen=True)
class Settings:
    """What was adjusted; None where the setting was not used. Kilograms and centimetres."""

    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None


NOTHING_ADJUSTED = Settings()


@dataclass(frozen=True)
class MassHistory:
    """An athlete's weighings in the order of their local dates, the later one of a day last."""

    days: tuple[dt.date, ...] = ()
    body_masses_kg: tuple[float, ...] = ()

    def on(self, day: dt.date) -> float | None:
        """The latest weighing on or before the day, else the earliest after it; None without any."""
        if not self.days:
            return None
        return self.body_masses_kg[max(bisect_right(self.days, day) - 1, 0)]


def mass_history(weighings: Sequence[tuple[dt.date, float]]) -> MassHistory:
    """From (local_date, body_mass_kg) pairs, ascending."""
    return MassHistory(tuple(day for day, _ in weighings), tuple(mass for _, mass in weighings))


def fraction_of(variation: Variation, height_cm: float | None) -> float:
    """Share of the body mass that is moved at this height."""
    if height_cm is None or not variation.height_fractions:
        return variation.body_mass_fraction
    return fraction_at_height(variation.height_fractions, height_cm)


def effective_kg(variation: Variation, settings: Settings, body_mass_kg: float | None) -> float | None:
    """Effective load in kg; None when a body mass is needed and unknown, or when nothing is left to move."""
    fraction = fraction_of(variation, settings.height_cm)
    if fraction > 0.0 and body_mass_kg is None:
        return None
    return effective_load(
        fraction=fraction,
        body_mass_kg=body_mass_kg or 1.0,
        external_share=variation.external_share,
        external_kg=settings.load_kg or 0.0,
        assistance_kg=settings.assistance_kg or 0.0,
    )


def setting_problems(variation: Variation, settings: Settings, pointer: str = "#") -> list[FieldProblem]:
    """Everything that keeps these settings from being a way to perform the variation."""
    found = []
    for name, value in (("load", settings.load_kg), ("assistance", settings.assistance_kg)):
        found += _adjusted(variation, name, f"{pointer}/{name}_kg", value)
    found += _height(variation, settings.height_cm, f"{pointer}/height_cm")
    both = settings.load_kg is not None and settings.assistance_kg is not None
    if both and {"load", "assistance"} <= variation.adjustable:
        detail = "Send a load or an assistance, not both; they would cancel each other."
        found.append(FieldProblem(f"{pointer}/assistance_kg", "contradiction", detail))
    for name in sorted(variation.required):
        field = "height_cm" if name == "height" else f"{name}_kg"
        if getattr(settings, field) is None:
            detail = "The variation is never done without this; say how much it was."
            found.append(FieldProblem(f"{pointer}/{field}", "required", detail))
    return found


def _adjusted(variation: Variation, name: str, pointer: str, value: float | None) -> list[FieldProblem]:
    if value is None:
        return []
    if name not in variation.adjustable:
        detail = f"The variation has no adjustable {name}; leave it out or choose another variation."
        return [FieldProblem(pointer, "not_adjustable", detail)]
    if not 0.0 < value <= LARGEST_SETTING_KG:
        detail = f"Must be above 0 and at most {LARGEST_SETTING_KG:g} kg."
        return [FieldProblem(pointer, "out_of_range", detail)]
    return []


def _height(variation: Variation, height_cm: float | None, pointer: str) -> list[FieldProblem]:
    if height_cm is None:
        return []
    if "height" not in variation.adjustable:
        detail = "The variation has no adjustable height; leave it out or choose another variation."
        return [FieldProblem(pointer, "not_adjustable", detail)]
    lowest, highest = variation.height_fractions[0][0], variation.height_fractions[-1][0]
    if not lowest <= height_cm <= highest:
        detail = f"The load is known for heights from {lowest:g} to {highest:g} cm only."
        return [FieldProblem(pointer, "out_of_range", detail)]
    return []
