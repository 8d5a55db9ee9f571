"""Personal bests from stored observations: rows that count, in the settings that people know."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from uuid import UUID

from athletes.calc.bests import COUNTS, REPETITIONS, SECONDS, TIME, Best, Done, Way, personal_bests
from athletes.capacities import SeenRow
from athletes.catalogue import CatalogueVersion
from athletes.endurance import AmountRow
from athletes.performed import Settings
from athletes.progress_rows import Material
from programming.calc.variation import HOLD_SECONDS
from programming.calc.variation import REPETITIONS as COUNTED

MOST_BESTS: Final = 20
"""Of one movement; the newest are told."""


def bests_of(material: Material, movement_id: UUID) -> tuple[tuple[Best, ...], int]:
    """The newest MOST_BESTS in the order of way and load, and how many were left out."""
    known = material.versions
    done = [
        Done(_way(known, row.variation_version_id, row.settings, COUNTED, REPETITIONS), *_of(row, _most(row)))
        for row in material.rows.get(movement_id, ())
        if row.kind in COUNTS
    ]
    done += [one for row in material.amounts.get(movement_id, ()) for one in _amount(known, row)]
    found = personal_bests(done)
    kept = sorted(range(len(found)), key=lambda n: -found[n].done.day)[:MOST_BESTS]
    return tuple(found[n] for n in sorted(kept)), len(found) - len(kept)


def _most(row: SeenRow) -> float:
    return max(row.repetitions, 1.0) if row.kind == "one_rm" else row.repetitions


def _of(row: SeenRow | AmountRow, amount: float) -> tuple[int, float, float]:
    added = (row.settings.load_kg or 0.0) - (row.settings.assistance_kg or 0.0)
    return row.local_date.toordinal(), amount, added


def _amount(known: Mapping[UUID, CatalogueVersion], row: AmountRow) -> list[Done]:
    if row.kind not in COUNTS:
        return []
    if row.unit == HOLD_SECONDS:
        way = _way(known, row.variation_version_id, row.settings, row.unit, SECONDS)
        return [Done(way, *_of(row, row.amount))]
    if not row.seconds:
        return []
    way = _way(known, row.variation_version_id, row.settings, row.unit, TIME)
    return [Done(way, row.local_date.toordinal(), row.amount, row.seconds)]


def _way(
    known: Mapping[UUID, CatalogueVersion], version: UUID, settings: Settings, unit: str, by: str
) -> Way:
    return Way(known[version].variation.key, settings.height_cm, unit, by)
