"""Load up to one day by its definitions, from the whole list of days each time; no running sums, no recursion."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import exp, sqrt

Loads = Sequence[float | None]


def window(loads: Loads, day: int, length: int) -> list[float] | None:
    """The days up to `day`; None where there are fewer, or one is not known."""
    if day + 1 < length:
        return None
    found = list(loads[day + 1 - length : day + 1])
    return None if any(one is None for one in found) else found


def mean(loads: Loads, day: int, length: int) -> float | None:
    found = window(loads, day, length)
    return None if found is None else float(sum(map(Fraction, found)) / length)


def monotony(loads: Loads, day: int, ddof: int) -> float | None:
    """In exact fractions up to the root."""
    found = window(loads, day, 7)
    if found is None or len(set(found)) == 1:
        return None
    exact = [Fraction(one) for one in found]
    middle = sum(exact) / 7
    variance = sum((one - middle) ** 2 for one in exact) / (7 - ddof)
    return float(middle) / sqrt(variance)


def weighted(loads: Loads, day: int, span: int) -> float | None:
    """Every known day with its own weight: a (1 - a)^age, the first one (1 - a)^age."""
    if day + 1 < span:
        return None
    a = 2 / (span + 1)
    first = next(n for n, one in enumerate(loads) if one is not None)
    pairs = [
        ((1 - a) ** (day - n) * (1.0 if n == first else a), one)
        for n, one in enumerate(loads[: day + 1])
        if one is not None
    ]
    return sum(weight * one for weight, one in pairs) / sum(weight for weight, _ in pairs)


def faded_sum(loads: Sequence[float], day: int, tau: float, *, with_today: bool) -> float:
    """Each load with its own exponential."""
    last = day + 1 if with_today else day
    return sum(load * exp(-(day - n) / tau) for n, load in enumerate(loads[:last]))
