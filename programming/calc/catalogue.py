"""Entries of a catalogue: from JSON to what the calculation uses.

A movement carries the prior of its load-repetition curve, relative to the body mass or in kg; a variation
document is one rung of the movement's ladder and says what counts as a repetition.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import log, log1p, sqrt
from typing import Final

from programming.calc.prior import Prior
from programming.calc.reader import MISSING, Problem, Reader, child
from programming.calc.variation import ADJUSTABLE, LARGEST_FRACTION, Variation

PATTERNS: Final = frozenset({
    "horizontal_push", "horizontal_pull", "vertical_push", "vertical_pull", "squat", "lunge", "hinge",
    "trunk", "jump", "explosive_lift", "whole_body",
})  # fmt: skip
# The bar lies on or over the body: who fails there without help or safeties is caught under it.
UNDER_LOAD: Final = "under_load"
HAZARDS: Final = frozenset({
    "impact", "overhead", "inversion", "breath_holding", "shoulder", "elbow", "wrist", "lower_back", "hip",
    "knee", "ankle", UNDER_LOAD,
})  # fmt: skip
MUSCLE_GROUPS: Final = frozenset({
    "chest", "triceps", "front_shoulder", "upper_back", "lats", "biceps", "forearm", "quadriceps", "glutes",
    "hamstrings", "calves", "lower_back", "abdominals", "hip_flexors",
})  # fmt: skip

MAX_RUNG = 100
MAX_SOURCE = 500
MAX_STANDARD = 1000
MAX_HEIGHTS = 20
MAX_LISTED = 20
HIGHEST_CM = 300.0

_VARIATION_REQUIRED = ("key", "movement", "rung", "body_mass_fraction", "fraction_source", "standard")
_VARIATION_OPTIONAL = (
    "height_fractions", "external_share", "adjustable", "required", "load_item", "assistance_item",
    "height_item", "needs", "hazards", "muscle_groups", "curve_applies",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class MovementPrior:
    """What is taken of people in general: the typical load for ten repetitions, its spread, the fall-off.

    Exactly one of l10_per_body_mass [kg per kg] and l10_kg is given; it is the effective load itself,
    asymptote included. l10_sd is the SD of its natural logarithm between people; k the median fall-off per
    repetition, k_cv its coefficient of variation; `source` says where the numbers come from.
    """

    l10_per_body_mass: float | None
    l10_kg: float | None
    l10_sd: float
    k: float
    k_cv: float
    asymptote_share: float
    source: str

    def at(self, body_mass_kg: float) -> Prior:
        """The normal priors for a person of this body mass. Raises ValueError unless it is positive."""
        if not body_mass_kg > 0.0:
            raise ValueError(f"body_mass_kg must be positive, got {body_mass_kg!r}")
        l10_kg = self.l10_kg if self.l10_per_body_mass is None else self.l10_per_body_mass * body_mass_kg
        assert l10_kg is not None  # parse_prior lets exactly one of the two through
        return Prior(log(l10_kg), self.l10_sd, log(self.k), sqrt(log1p(self.k_cv**2)), self.asymptote_share)


@dataclass(frozen=True)
class VariationDocument:
    """A variation with its standard: what counts as a repetition."""

    variation: Variation
    standard: str


def parse_prior(doc: object) -> MovementPrior:
    """Validate a movement's prior; raises DocumentError listing every problem with its JSON pointer."""
    reader = Reader()
    fields = reader.mapping(
        doc,
        "",
        required=("l10_sd", "k", "k_cv", "source"),
        optional=("l10_per_body_mass", "l10_kg", "asymptote_share"),
    )

    def number(name: str, least: float, most: float) -> float:
        return reader.number(fields[name], f"/{name}", least=least, most=most)

    relative, fixed = (
        reader.optional_number(fields[name], f"/{name}", least=least, most=most)
        for name, least, most in (("l10_per_body_mass", 0.001, 10.0), ("l10_kg", 0.01, 1000.0))
    )
    if not reader.problems and (relative is None) == (fixed is None):
        reader.note("", "one_of_two", "Give either `l10_per_body_mass` or `l10_kg`.")
    prior = MovementPrior(
        l10_per_body_mass=relative,
        l10_kg=fixed,
        l10_sd=number("l10_sd", 0.01, 3.0),
        k=number("k", 0.0005, 0.5),
        k_cv=number("k_cv", 0.01, 1.0),
        asymptote_share=0.0 if fields["asymptote_share"] is MISSING else number("asymptote_share", 0.0, 0.9),
        source=reader.text(fields["source"], "/source", least=1, most=MAX_SOURCE),
    )
    reader.finish()
    return prior


def parse_variation(doc: object) -> VariationDocument:
    """Validate a variation document; raises DocumentError listing every problem with its JSON pointer."""
    reader = Reader()
    fields = reader.mapping(doc, "", required=_VARIATION_REQUIRED, optional=_VARIATION_OPTIONAL)
    values = {**_identity(reader, fields), **_mechanics(reader, fields), **_attributes(reader, fields)}
    standard = reader.text(fields["standard"], "/standard", least=1, most=MAX_STANDARD)
    reader.problems += _contradictions(values)
    reader.finish()
    return VariationDocument(Variation(**values), standard)  # type: ignore[arg-type]


def _identity(reader: Reader, fields: Mapping[str, object]) -> dict[str, object]:
    return {
        "key": reader.key(fields["key"], "/key"),
        "movement": reader.key(fields["movement"], "/movement"),
        "rung": reader.integer(fields["rung"], "/rung", least=0, most=MAX_RUNG),
        "fraction_source": reader.text(
            fields["fraction_source"], "/fraction_source", least=1, most=MAX_SOURCE
        ),
    }


def _mechanics(reader: Reader, fields: Mapping[str, object]) -> dict[str, object]:
    share = fields["external_share"]
    return {
        "body_mass_fraction": _fraction(reader, fields["body_mass_fraction"], "/body_mass_fraction"),
        "height_fractions": _heights(reader, fields["height_fractions"]),
        "external_share": 1.0 if share is MISSING else _fraction(reader, share, "/external_share"),
        "adjustable": _words(reader, fields["adjustable"], "/adjustable", ADJUSTABLE),
        "required": _words(reader, fields["required"], "/required", ADJUSTABLE),
        "load_item": _item(reader, fields["load_item"], "/load_item"),
        "assistance_item": tuple(_keys(reader, fields["assistance_item"], "/assistance_item")),
        "height_item": _item(reader, fields["height_item"], "/height_item"),
    }


def _attributes(reader: Reader, fields: Mapping[str, object]) -> dict[str, object]:
    applies = fields["curve_applies"]
    if applies is not MISSING and not isinstance(applies, bool):
        reader.note("/curve_applies", "not_a_boolean", "Send true or false.")
    return {
        "needs": frozenset(_keys(reader, fields["needs"], "/needs")),
        "hazards": _words(reader, fields["hazards"], "/hazards", HAZARDS),
        "muscle_groups": _muscle_groups(reader, fields["muscle_groups"]),
        "curve_applies": applies is MISSING or applies is True,
    }


def _fraction(reader: Reader, value: object, at: str) -> float:
    return reader.number(value, at, least=0.0, most=LARGEST_FRACTION)


def _heights(reader: Reader, value: object) -> tuple[tuple[float, float], ...]:
    found: list[tuple[float, float]] = []
    for index, entry in enumerate(reader.items(value, "/height_fractions", least=0, most=MAX_HEIGHTS)):
        at = f"/height_fractions/{index}"
        pair = reader.items(entry, at, least=2, most=2)
        if len(pair) == 2:
            height = reader.number(pair[0], f"{at}/0", least=-HIGHEST_CM, most=HIGHEST_CM)
            if found and height <= found[-1][0]:
                reader.note(f"{at}/0", "not_ascending", "Sort the heights, each once.")
            found.append((height, _fraction(reader, pair[1], f"{at}/1")))
    return tuple(found)


def _keys(reader: Reader, value: object, at: str) -> list[str]:
    entries = reader.items(value, at, least=0, most=MAX_LISTED)
    return [reader.key(entry, f"{at}/{index}") for index, entry in enumerate(entries)]


def _words(reader: Reader, value: object, at: str, allowed: frozenset[str]) -> frozenset[str]:
    entries = reader.items(value, at, least=0, most=MAX_LISTED)
    return frozenset(reader.choice(entry, f"{at}/{index}", allowed) for index, entry in enumerate(entries))


def _item(reader: Reader, value: object, at: str) -> str | None:
    return None if value is None or value is MISSING else reader.key(value, at)


def _muscle_groups(reader: Reader, value: object) -> tuple[tuple[str, float], ...]:
    """An object of name and weight in (0, 1], heaviest first: the order does not depend on the sender."""
    if value is MISSING:
        return ()
    if not isinstance(value, Mapping):
        reader.note("/muscle_groups", "not_an_object", 'Send an object of weights, for example {"chest": 1}.')
        return ()
    found = []
    for name, weight in value.items():
        at = child("/muscle_groups", str(name)[:64])
        if reader.choice(name, at, MUSCLE_GROUPS):
            found.append((name, reader.number(weight, at, least=0.0, most=1.0, above=True)))
    return tuple(sorted(found, key=lambda pair: (-pair[1], pair[0])))


def _contradictions(values: Mapping[str, object]) -> list[Problem]:
    """What Variation would refuse, with a place for each."""
    adjustable, required = values["adjustable"], values["required"]
    assert isinstance(adjustable, frozenset)
    assert isinstance(required, frozenset)
    found = []
    if required - adjustable:
        found.append(Problem("/required", "not_adjustable", "A required setting must be adjustable as well."))
    for setting, name in (
        ("load", "load_item"),
        ("assistance", "assistance_item"),
        ("height", "height_item"),
        ("height", "height_fractions"),
    ):
        if setting in adjustable and not values[name]:
            found.append(Problem(f"/{name}", "missing_field", f"An adjustable {setting} needs this field."))
    return found
