"""Load in words: what is known of a day, and why a number is not told."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from athletes.calc.load import NO_VARIANCE, UNREPORTED, Figure
from athletes.calc.load_means import BASE_ZERO
from athletes.loads import INCOMPLETE, PROGRAMMED, REPORTED, REST
from athletes.loads import UNREPORTED as UNREPORTED_DAY
from programming.calc.difference_words import plain
from services.console.words import DASH

BEFORE: Final = "before"
"""A day before anything was known; the interface lists none of these."""
STATES: Final = {
    REPORTED: "reported",
    REST: "rest, confirmed",
    INCOMPLETE: "a session without effort or minutes",
    UNREPORTED_DAY: "nothing reported",
}
WHY: Final = {
    UNREPORTED: "not every day is reported",
    NO_VARIANCE: "all seven days alike",
    BASE_ZERO: "nothing the week before",
}
_TOO_SHORT: Final = re.compile(r"fewer_than_(\d+)_days")


def why(reason: str | None) -> str:
    """Why a number is not told."""
    if reason is None:
        return ""
    if found := _TOO_SHORT.fullmatch(reason):
        return f"fewer than {found[1]} days since the first known one"
    return WHY.get(reason, plain(reason))


def said(figure: Figure, digits: int = 0, unit: str = "") -> str:
    """The number, or a dash with the reason."""
    if figure.value is None:
        return f"{DASH} ({why(figure.reason)})"
    return f"{figure.value:.{digits}f}{unit}"


def share(figure: Figure) -> str:
    """A change with its sign, in percent."""
    if figure.value is None:
        return f"{DASH} ({why(figure.reason)})"
    return f"{100 * figure.value:+.0f} %".replace("-", "−")


def of_what(parts: Iterable[Mapping[str, Any]]) -> str:
    """Minutes by kind of training, the most first: "programme 120 min, running 45 min"."""
    total: dict[str, float] = {}
    for part in parts:
        total[part["modality"]] = total.get(part["modality"], 0.0) + part["minutes"]
    ordered = sorted(total.items(), key=lambda one: (-one[1], one[0]))
    return ", ".join(
        f"{'the programme' if name == PROGRAMMED else plain(name)} {minutes:.0f} min"
        for name, minutes in ordered
    )
