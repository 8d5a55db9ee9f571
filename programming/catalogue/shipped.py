"""The catalogue that every organisation starts from: JSON files beside this module, checked when read.

Trade names and published fractions; what is not published says "estimate". An organisation gets a copy
(programming.actions.install_catalogue), so nothing here is read for an athlete.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from programming.calc.catalogue import (
    LOAD_REPETITION,
    NO_CAPACITY,
    PATTERNS,
    AnyPrior,
    VariationDocument,
    parse_variation,
    prior_or_none,
)
from programming.calc.document import canonical_hash

ORIGIN = "shipped"
FILES = (
    "push", "pull", "legs", "hinge", "trunk", "explosive", "whole_body", "carry_climb_skill", "cyclical", "holds",
)  # fmt: skip


@dataclass(frozen=True)
class ShippedVariation:
    """One variation: the document as it is stored, and what it says.

    formerly: keys under which it was shipped before; an organisation that has one of them has this variation.
    """

    key: str
    name: str
    document: Mapping[str, object]
    sha256: str
    entry: VariationDocument
    formerly: tuple[str, ...] = ()


@dataclass(frozen=True)
class ShippedMovement:
    """One movement with its ladder, easier rungs first; no prior where no capacity is kept."""

    key: str
    name: str
    pattern: str
    capacity_kind: str
    prior_document: Mapping[str, object]
    prior: AnyPrior | None
    sha256: str
    variations: tuple[ShippedVariation, ...]

    @property
    def curve_applies(self) -> bool:
        return self.capacity_kind == LOAD_REPETITION

    @property
    def origin(self) -> str:
        return f"{ORIGIN}:{self.key}"


@cache
def shipped_catalogue() -> tuple[ShippedMovement, ...]:
    """All shipped movements. Raises DocumentError or ValueError when a file is wrong."""
    folder = Path(__file__).parent
    entries = [
        _movement(entry)
        for name in FILES
        for entry in json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))["movements"]
    ]
    keys = [movement.key for movement in entries]
    rungs = [variation.key for movement in entries for variation in movement.variations]
    for listed in (keys, rungs):
        if len(set(listed)) != len(listed):
            raise ValueError("A key stands twice in the shipped catalogue.")
    return tuple(entries)


def _movement(entry: dict) -> ShippedMovement:
    if entry["pattern"] not in PATTERNS:
        raise ValueError(f"{entry['key']}: unknown pattern {entry['pattern']!r}")
    if (entry["prior"] is None) != (entry["capacity_kind"] == NO_CAPACITY):
        raise ValueError(f"{entry['key']}: a prior belongs to every kind of capacity but `none`")
    variations = [_variation(entry["key"], variation) for variation in entry["variations"]]
    return ShippedMovement(
        key=entry["key"],
        name=entry["name"],
        pattern=entry["pattern"],
        capacity_kind=entry["capacity_kind"],
        prior_document=entry["prior"] or {},
        prior=prior_or_none(entry["prior"], entry["capacity_kind"]),
        sha256=canonical_hash(entry),
        variations=tuple(sorted(variations, key=lambda variation: variation.entry.variation.rung)),
    )


def _variation(movement: str, entry: dict) -> ShippedVariation:
    ours = ("name", "formerly")
    document = {"movement": movement, **{name: value for name, value in entry.items() if name not in ours}}
    return ShippedVariation(
        key=entry["key"],
        name=entry["name"],
        document=document,
        sha256=canonical_hash(document),
        entry=parse_variation(document),
        formerly=tuple(entry.get("formerly", ())),
    )
