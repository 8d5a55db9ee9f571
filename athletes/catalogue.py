"""What this app asks of the catalogue of movements: variations as the calculation sees them, and priors."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import F, QuerySet

from programming import parsed
from programming.calc.catalogue import LOAD_REPETITION, NO_CAPACITY
from programming.calc.variation import Variation
from programming.models import Movement, VariationVersion
from services.tenancy.compiled import Given, any_of, compiled


@dataclass(frozen=True)
class CatalogueVersion:
    """One version of a variation with its movement's kind of capacity; `curve_applies` asks both."""

    version_id: UUID
    variation_id: UUID
    movement_id: UUID
    name: str
    variation: Variation
    capacity_kind: str
    curve_applies: bool


_COLUMNS = (
    "id",
    "document",
    "variation_id",
    "variation__name",
    "variation__movement_id",
    "variation__movement__capacity_kind",
)


def _versions(**where: Any) -> list[CatalogueVersion]:
    rows = VariationVersion.objects.filter(**where).values_list(*_COLUMNS)
    return [_version(*row) for row in rows]


def _version(
    version_id: UUID,
    document: Mapping[str, Any],
    variation_id: UUID,
    name: str,
    movement_id: UUID,
    capacity_kind: str,
) -> CatalogueVersion:
    variation = parsed.variations.of(version_id, document).variation
    applies = capacity_kind == LOAD_REPETITION and variation.curve_applies
    return CatalogueVersion(version_id, variation_id, movement_id, name, variation, capacity_kind, applies)


def versions(version_ids: Collection[UUID]) -> dict[UUID, CatalogueVersion]:
    """By id of the version (one query, none for no ids)."""
    return {row[0]: _version(*row) for row in _rows_of(ids=list(version_ids))} if version_ids else {}


@compiled
def _rows_of(ids: Given) -> QuerySet[VariationVersion, tuple[Any, ...]]:
    return VariationVersion.objects.filter(id=any_of(ids)).values_list(*_COLUMNS)


def current_version(variation_id: UUID) -> CatalogueVersion | None:
    """What the variation is now; None when the organisation has no such variation (one query)."""
    found = _versions(variation_id=variation_id, number=F("variation__current"))
    return found[0] if found else None


def current_versions_by_key(keys: Collection[str]) -> dict[str, CatalogueVersion]:
    """By key of the variation (one query)."""
    found = _versions(variation__key__in=set(keys), number=F("variation__current"))
    return {row.variation.key: row for row in found}


def movement_traits() -> dict[UUID, dict[str, Any]]:
    """Pattern, and the weights of muscle groups as the mean of the current variations, by movement (two queries)."""
    patterns = dict(Movement.objects.order_by("key").values_list("id", "pattern"))
    weights: dict[UUID, list[Mapping[str, float]]] = {movement: [] for movement in patterns}
    for row in _versions(number=F("variation__current")):
        weights[row.movement_id].append(dict(row.variation.muscle_groups))
    return {
        movement: {"pattern": pattern, "muscle_groups": _mean_weights(weights[movement])}
        for movement, pattern in patterns.items()
    }


def _mean_weights(listed: Collection[Mapping[str, float]]) -> dict[str, float]:
    names = sorted({name for weights in listed for name in weights})
    return {name: round(sum(w.get(name, 0.0) for w in listed) / len(listed), 6) for name in names}


def movement_priors() -> dict[UUID, Mapping[str, Any] | None]:
    """The prior document of every movement by its id, None where no capacity is kept (one query)."""
    rows = Movement.objects.order_by("key").values_list("id", "capacity_kind", "prior")
    return {movement: None if kind == NO_CAPACITY else prior for movement, kind, prior in rows}
