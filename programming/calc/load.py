"""Effective load: what one repetition really moves.

    L = f * m + f_ext * external - assistance        [kg]

f is the share of the body mass m that a variation moves, f_ext the share of an external load that the lever
leaves (1 for a bar or a belt, less for a vest on a push-up). Curves of barbells, dumbbells and machines take
the external load alone (f = 0), as published percentages of the one-repetition maximum do.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

SMALLEST_LOAD_KG = 1e-9
"""Below this a difference of kilograms is rounding error, not a load."""


def _check(name: str, value: float, *, positive: bool = False) -> None:
    if not math.isfinite(value) or value < 0.0 or (positive and value == 0.0):
        wanted = "positive" if positive else "at least 0"
        raise ValueError(f"{name} must be {wanted} and finite, got {value!r}")


def effective_load(
    *,
    fraction: float,
    body_mass_kg: float,
    external_share: float = 1.0,
    external_kg: float = 0.0,
    assistance_kg: float = 0.0,
) -> float | None:
    """Effective load in kg, or None when nothing positive is left: not a load.

    Raises ValueError for a negative or non-finite argument, or a body mass of 0.
    """
    _check("fraction", fraction)
    _check("body_mass_kg", body_mass_kg, positive=True)
    _check("external_share", external_share)
    _check("external_kg", external_kg)
    _check("assistance_kg", assistance_kg)
    load_kg = fraction * body_mass_kg + external_share * external_kg - assistance_kg
    return load_kg if load_kg > SMALLEST_LOAD_KG else None


def fraction_at_height(points: Sequence[tuple[float, float]], height_cm: float) -> float:
    """Body-mass fraction at a height, linear between measured (height_cm, fraction) points.

    Heights are positive with the hands raised, negative with the feet raised, strictly ascending in `points`.
    Raises ValueError outside the measured range: a fraction that nobody measured is not made up.
    """
    heights = [height for height, _ in points]
    if not heights:
        raise ValueError("no measured heights")
    if any(lower >= upper for lower, upper in pairwise(heights)):
        raise ValueError(f"heights must be strictly ascending, got {heights}")
    if not heights[0] <= height_cm <= heights[-1]:
        raise ValueError(f"height {height_cm!r} cm was not measured: {heights[0]} to {heights[-1]} cm were")
    for (low, low_fraction), (high, high_fraction) in pairwise(points):
        if height_cm <= high:
            return low_fraction + (high_fraction - low_fraction) * (height_cm - low) / (high - low)
    return points[0][1]


def work_average_kg(table: Sequence[tuple[float, float]], from_cm: float, to_cm: float) -> float:
    """Mean tension of a band over the stretch from from_cm to to_cm: (1/s) * integral of T dx [kg].

    `table` holds measured (stretch_cm, tension_kg) points, strictly ascending in stretch; between two points the
    tension is taken as linear. A band helps most where it is stretched most; the mean over the way is the one
    number that does the same work (McMaster et al. 2010 measured how curved the relation is: hence a table
    and no spring constant). Raises ValueError for a table that is none, and for a way that is empty or that was
    not measured.
    """
    stretches = [stretch for stretch, _ in table]
    if len(table) < 2 or any(lower >= upper for lower, upper in pairwise(stretches)):
        raise ValueError(f"at least two points, strictly ascending in stretch, are needed, got {stretches}")
    if not all(math.isfinite(tension) and tension >= 0.0 for _, tension in table):
        raise ValueError("a tension must be at least 0 and finite")
    if not stretches[0] <= from_cm < to_cm <= stretches[-1]:
        raise ValueError(f"from {from_cm!r} to {to_cm!r} cm was not measured")
    work = 0.0
    for (low, low_kg), (high, high_kg) in pairwise(table):
        start, stop = max(low, from_cm), min(high, to_cm)
        if start < stop:
            middle = ((start + stop) / 2.0 - low) / (high - low)
            work += (stop - start) * (low_kg + (high_kg - low_kg) * middle)
    return work / (to_cm - from_cm)


def load_said(load_kg: float, implements: int) -> str:
    """An external load [kg] as it is taken in the hands: "40 kg", of two at once "2 × 16 kg"."""
    return f"{load_kg:g} kg" if implements == 1 else f"{implements} × {load_kg / implements:g} kg"
