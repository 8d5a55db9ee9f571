"""What the numbers of movements, variations, bands and kits can be in a gym.

The readers (``programming.calc.catalogue``, ``movement_prior``, ``kit``) say what can be computed with, and read
what is stored already; this says what may be written anew. The spans are common practice, no source, and wide:
what lies outside them is a slip of the unit or of the comma, or no number that anybody measured.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.catalogue import CYCLICAL, HOLD, LOAD_REPETITION
from programming.calc.movement_prior import POWER, SPEED
from programming.calc.reader import Problem, child


@dataclass(frozen=True)
class Span:
    """From least to most, both included; `zero`: or 0; `either_sign`: or the same below 0."""

    least: float
    most: float
    zero: bool = False
    either_sign: bool = False

    def holds(self, value: float) -> bool:
        """Whether the value lies in it; a zero with a sign does not."""
        if value == 0.0:
            return self.zero and math.copysign(1.0, value) > 0.0
        return self.least <= (abs(value) if self.either_sign else value) <= self.most

    def __str__(self) -> str:
        sign = ", above or below 0" if self.either_sign else ""
        return f"{'0, or ' if self.zero else ''}a number from {self.least:g} to {self.most:g}{sign}"


# Pointers of the documents, * for every name or index at that place.
Spans = Mapping[str, Span]

# Of a body mass, or of a weight: nothing lighter than a hundredth of it is trained.
_SHARE: Final = Span(0.01, 1.2, zero=True)
_HEIGHT_CM: Final = Span(0.1, 300.0, zero=True, either_sign=True)
_SPREAD: Final = Span(0.02, 1.5)
_LIFTED_KG: Final = Span(0.2, 800.0)
_LIFTED_PER_BODY_MASS: Final = Span(0.01, 8.0)

VARIATION: Final[Spans] = {
    "/body_mass_fraction": _SHARE,
    "/height_fractions/*/0": _HEIGHT_CM,
    "/height_fractions/*/1": _SHARE,
    "/external_share": _SHARE,
    "/repetition_s": Span(0.1, 60.0),
    "/eccentric": Span(0.01, 1.0, zero=True),
    "/muscle_groups/*": Span(0.01, 1.0),
    # A kilocalorie is 4184 J; no body turns less than a fortieth of what it burns into work.
    "/work_j_per_kcal": Span(100.0, 4184.0),
    # 200 W would be 1.3 m/s at the upper end and 27 m/s at the lower one.
    "/power_per_cubed_speed": Span(0.01, 100.0),
}
_LIFT: Final[Spans] = {
    "/l10_per_body_mass": _LIFTED_PER_BODY_MASS,
    "/l10_kg": _LIFTED_KG,
    "/l10_sd": _SPREAD,
    # Each repetition costs from a five-hundredth to a seventh of the load.
    "/k": Span(0.002, 0.15),
    "/k_cv": Span(0.02, 1.0),
    "/asymptote_share": Span(0.001, 0.9, zero=True),
}
_HELD: Final[Spans] = {
    "/l60_per_body_mass": _LIFTED_PER_BODY_MASS,
    "/l60_kg": _LIFTED_KG,
    "/l60_sd": _SPREAD,
    # The time falls with the load by its power -1/e: from the square root to the tenth power.
    "/exponent": Span(0.1, 2.0),
    "/exponent_cv": Span(0.02, 1.0),
}
_SPREADS: Final = {"/critical_sd": _SPREAD, "/reserve_sd": _SPREAD}
_POWERED: Final[Spans] = _SPREADS | {
    "/critical_per_body_mass": Span(0.2, 8.0),
    "/critical": Span(10.0, 700.0),
    "/reserve_per_body_mass": Span(5.0, 1000.0),
    "/reserve": Span(500.0, 100_000.0),
}
# From a slow swim to a bicycle.
_PACED: Final[Spans] = _SPREADS | {"/critical": Span(0.2, 20.0), "/reserve": Span(2.0, 5000.0)}
_PRIORS: Final = {LOAD_REPETITION: _LIFT, HOLD: _HELD, POWER: _POWERED, SPEED: _PACED}

KIT: Final[Spans] = {
    "/items/*/loads_kg/*": Span(0.1, 500.0),
    "/items/*/assistances_kg/*": Span(0.1, 500.0),
    "/items/*/heights_cm/*": Span(0.5, 500.0),
    "/items/*/measured/*/from_cm": Span(0.1, 1000.0, zero=True),
    "/items/*/measured/*/to_cm": Span(1.0, 1000.0),
    "/items/*/measured/*/tensions/*/stretch_cm": Span(0.1, 1000.0, zero=True),
    # The stoutest loop of rubber pulls with about a hundred kilograms.
    "/items/*/measured/*/tensions/*/tension_kg": Span(0.05, 300.0, zero=True),
}
SHORTEST_WAY_CM: Final = 1.0


def prior_spans(document: Mapping[str, object], kind: str) -> Spans:
    """The spans of a prior of this kind of capacity; of cyclical work by what the document measures."""
    return _PRIORS[str(document.get("measure")) if kind == CYCLICAL else kind]


def impossible_variation(document: Mapping[str, object]) -> list[Problem]:
    """The numbers of a variation document, which its reader has accepted, that cannot be."""
    return _outside(document, VARIATION)


def impossible_prior(document: Mapping[str, object], kind: str) -> list[Problem]:
    """Those of a movement's prior of a kind that has one, likewise."""
    return _outside(document, prior_spans(document, kind))


def impossible_kit(document: Mapping[str, object]) -> list[Problem]:
    """Those of a kit document, likewise; and bands that are stretched over no way."""
    found = _outside(document, KIT)
    for pointer, band in _places(document, "/items/*/measured/*"):
        assert isinstance(band, Mapping)
        if band["to_cm"] - band["from_cm"] < SHORTEST_WAY_CM:
            detail = f"A band is stretched over {SHORTEST_WAY_CM:g} cm at least: correct from_cm or to_cm."
            found.append(Problem(pointer, "too_short", detail))
    return found


def _outside(document: object, spans: Spans) -> list[Problem]:
    return [
        Problem(pointer, "out_of_range", f"Send {span}: nothing else is met in a gym.")
        for pattern, span in spans.items()
        for pointer, value in _places(document, pattern)
        if isinstance(value, (int, float)) and not span.holds(float(value))
    ]


def _places(document: object, pattern: str) -> Iterator[tuple[str, object]]:
    """(pointer, value) of what is there at a pattern."""
    found: list[tuple[str, object]] = [("", document)]
    for step in pattern.split("/")[1:]:
        found = [
            (child(pointer, name), value)
            for pointer, parent in found
            for name, value in _members(parent)
            if step in ("*", str(name))
        ]
    yield from found


def _members(value: object) -> Iterator[tuple[str | int, object]]:
    if isinstance(value, Mapping):
        yield from value.items()
    elif isinstance(value, Sequence) and not isinstance(value, str):
        yield from enumerate(value)
