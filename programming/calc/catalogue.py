"""Entries of a catalogue: from JSON to what the calculation uses.

A movement carries the prior of its kind of capacity (programming.calc.movement_prior); a variation document is
one rung of the movement's ladder and says what counts as a repetition, a second or a metre of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from programming.calc.movement_prior import (
    CAPACITY_KINDS,
    CYCLICAL,
    HOLD,
    LOAD_REPETITION,
    MAX_SOURCE,
    NO_CAPACITY,
    AnyPrior,
    CyclicalPrior,
    CyclicalStart,
    HoldPrior,
    HoldStart,
    MovementPrior,
    parse_prior,
    prior_or_none,
)
from programming.calc.reader import MISSING, Problem, Reader, child
from programming.calc.variation import (
    ADJUSTABLE,
    DEFAULT_ECCENTRIC,
    DEFAULT_REPETITION_S,
    ENERGY,
    LARGEST_FRACTION,
    MOST_IMPLEMENTS,
    UNITS,
    Variation,
)

__all__ = [
    "CAPACITY_KINDS",
    "CYCLICAL",
    "HAZARDS",
    "HOLD",
    "LOAD_REPETITION",
    "MUSCLE_GROUPS",
    "NO_CAPACITY",
    "PATTERNS",
    "UNDER_LOAD",
    "AnyPrior",
    "CyclicalPrior",
    "CyclicalStart",
    "HoldPrior",
    "HoldStart",
    "MovementPrior",
    "VariationDocument",
    "parse_prior",
    "parse_variation",
    "prior_or_none",
]

PATTERNS: Final = frozenset({
    "horizontal_push", "horizontal_pull", "vertical_push", "vertical_pull", "squat", "lunge", "hinge",
    "trunk", "jump", "explosive_lift", "whole_body", "carry", "climb", "cyclical", "skill",
})  # fmt: skip
# The bar lies on or over the body: who fails there without help or safeties is caught under it.
UNDER_LOAD: Final = "under_load"
HAZARDS: Final = frozenset({
    "impact", "overhead", "inversion", "breath_holding", "shoulder", "elbow", "wrist", "lower_back", "hip",
    "knee", "ankle", "neck", "fall", UNDER_LOAD,
})  # fmt: skip
MUSCLE_GROUPS: Final = frozenset({
    "chest", "triceps", "front_shoulder", "upper_back", "lats", "biceps", "forearm", "quadriceps", "glutes",
    "hamstrings", "calves", "lower_back", "abdominals", "hip_flexors",
})  # fmt: skip

MAX_RUNG = 100
MAX_STANDARD = 1000
MAX_HEIGHTS = 20
MAX_LISTED = 20
HIGHEST_CM = 300.0

_VARIATION_REQUIRED = ("key", "movement", "rung", "body_mass_fraction", "fraction_source", "standard")
_VARIATION_OPTIONAL = (
    "height_fractions", "external_share", "adjustable", "required", "load_item", "assistance_item",
    "height_item", "needs", "hazards", "muscle_groups", "curve_applies", "counted_in", "repetition_s",
    "eccentric", "work_j_per_kcal", "power_per_cubed_speed", "implements",
)  # fmt: skip


@dataclass(frozen=True)
class VariationDocument:
    """A variation with its standard: what counts as a repetition."""

    variation: Variation
    standard: str


def parse_variation(doc: object) -> VariationDocument:
    """Validate a variation document; raises DocumentError listing every problem with its JSON pointer."""
    reader = Reader()
    fields = reader.mapping(doc, "", required=_VARIATION_REQUIRED, optional=_VARIATION_OPTIONAL)
    parts = (_identity, _mechanics, _attributes, _amounts)
    values = {name: value for part in parts for name, value in part(reader, fields).items()}
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
        "implements": _implements(reader, fields["implements"]),
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


def _amounts(reader: Reader, fields: Mapping[str, object]) -> dict[str, object]:
    """What is counted, how long one takes, and what a machine's display stands for."""
    counted, pace, eccentric = fields["counted_in"], fields["repetition_s"], fields["eccentric"]
    units = _words(reader, counted, "/counted_in", frozenset(UNITS))
    if counted is not MISSING and not units:
        reader.note("/counted_in", "wrong_length", "Name at least one unit.")
    return {
        # In a fixed order, so that it does not depend on the sender.
        "counted_in": tuple(unit for unit in UNITS if unit in units) or UNITS[:1],
        "repetition_s": (
            DEFAULT_REPETITION_S
            if pace is MISSING
            else reader.number(pace, "/repetition_s", least=0.1, most=60.0)
        ),
        "eccentric": (
            DEFAULT_ECCENTRIC
            if eccentric is MISSING
            else reader.number(eccentric, "/eccentric", least=0.0, most=1.0)
        ),
        "work_j_per_kcal": reader.optional_number(
            fields["work_j_per_kcal"], "/work_j_per_kcal", least=0.0, most=4184.0
        ),
        "power_per_cubed_speed": reader.optional_number(
            fields["power_per_cubed_speed"], "/power_per_cubed_speed", least=0.0, most=100.0
        ),
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


def _implements(reader: Reader, value: object) -> int:
    return 1 if value is MISSING else reader.integer(value, "/implements", least=1, most=MOST_IMPLEMENTS)


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
    adjustable, required, counted = values["adjustable"], values["required"], values["counted_in"]
    assert isinstance(adjustable, frozenset)
    assert isinstance(required, frozenset)
    assert isinstance(counted, tuple)
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
    if ENERGY in counted and values["work_j_per_kcal"] is None:
        detail = "Energy can be counted where the work of a displayed kilocalorie is known."
        found.append(Problem("/work_j_per_kcal", "missing_field", detail))
    return found
