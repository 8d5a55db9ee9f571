"""What a computation needs of scheduled sessions, as frozen dataclasses: document, kit, variations to choose from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import F, QuerySet

from programming import parsed
from programming.calc.catalogue import LOAD_REPETITION, AnyPrior, prior_or_none
from programming.calc.kit import Kit, parse_kit
from programming.calc.revision import Block, RevisionDoc, WorkItem
from programming.calc.rule_codes import read_by
from programming.calc.variation import Variation as CalcVariation
from programming.models import LocationKit, ScheduledSession, VariationVersion
from services.problems import NotFound
from services.tenancy.compiled import Given, any_of, compiled


@dataclass(frozen=True)
class MovementEntry:
    """A movement as the computation sees it; no prior where no capacity is kept (kind `none`)."""

    id: UUID
    key: str
    name: str
    pattern: str
    capacity_kind: str
    prior: AnyPrior | None

    @property
    def curve_applies(self) -> bool:
        return self.capacity_kind == LOAD_REPETITION


@dataclass(frozen=True)
class VariationEntry:
    """One version of a variation, its movement with it."""

    version_id: UUID
    variation_id: UUID
    number: int
    name: str
    standard: str
    movement: MovementEntry
    variation: CalcVariation

    @property
    def curve_applies(self) -> bool:
        return self.movement.curve_applies and self.variation.curve_applies


@dataclass(frozen=True)
class SessionPlan:
    """Everything that a computation needs of one scheduled session.

    `variations` holds the present version of every variation of the movements in the work, by key; `kit` is
    empty and `kit_version` 0 where the location has not written down what it has.
    """

    session_id: UUID
    version: int
    revision_id: UUID
    template_id: UUID
    sha256: str
    rules_version: int
    doc: RevisionDoc
    location_id: UUID
    is_remote: bool
    freeze_minutes: int
    starts_at: dt.datetime
    zone: str
    local_date: dt.date
    is_cancelled: bool
    kit: Kit
    kit_version: int
    variations: Mapping[str, VariationEntry]

    @property
    def block(self) -> Block:
        """The block that decides the ranking; the only one of most sessions."""
        return self.doc.ranked_block

    def item(self, work: str) -> WorkItem:
        """A work item of any block, penalty work included. Raises KeyError."""
        found = (item for block in self.doc.blocks for item in block.items if item.key == work)
        item = next(found, None)
        if item is None:
            raise KeyError(work)
        return item

    def ladder(self, work: str) -> tuple[VariationEntry, ...]:
        """The versions that the revision allows for a work item, easier first. Raises KeyError."""
        item = self.item(work)
        rungs = [
            entry
            for entry in self.variations.values()
            if entry.movement.key == item.movement
            and (not item.variations or entry.variation.key in item.variations)
        ]
        return tuple(sorted(rungs, key=lambda entry: (entry.variation.rung, entry.variation.key)))

    def movement(self, work: str) -> MovementEntry:
        """The movement of a work item. Raises KeyError."""
        return self.ladder(work)[0].movement


def variation_entries(version_ids: Collection[UUID]) -> dict[UUID, VariationEntry]:
    """Versions by id, also those that are not present any more (one query)."""
    return {row[0]: _entry(*row) for row in _version_rows(ids=list(version_ids))}


def variations_of_movements(keys: Collection[str]) -> dict[str, VariationEntry]:
    """The present version of every variation of the movements with these keys, by its key (one query)."""
    entries = (_entry(*row) for row in _present_rows(keys=list(keys)))
    return {entry.variation.key: entry for entry in entries}


def session_plan(session_id: UUID) -> SessionPlan:
    """What a computation needs of the session (three queries). Raises NotFound."""
    plan = session_plans([session_id]).get(session_id)
    if plan is None:
        raise NotFound("There is no such scheduled session.")
    return plan


def session_plans(session_ids: Collection[UUID]) -> dict[UUID, SessionPlan]:
    """The plans of the sessions that exist, by id (three queries, whatever their number)."""
    return PlanReader().read(session_ids)


class PlanReader:
    """Plans for one computation that reads several times: kits and ladders that it has seen are not read again."""

    def __init__(self) -> None:
        self._kits: dict[UUID, tuple[Kit, int]] = {}
        self._ladders: dict[str, dict[str, VariationEntry]] = {}

    def read(self, session_ids: Collection[UUID]) -> dict[UUID, SessionPlan]:
        """The plans of the sessions that exist, by id (three queries at first, one when nothing new comes, none
        where none is asked for).
        """
        if not session_ids:
            return {}
        rows = _session_rows(ids=list(session_ids))
        docs = {row.revision_id: parsed.revisions.of(row.revision_id, row.revision.document) for row in rows}
        self._read_kits({row.location_id for row in rows})
        self._read_ladders({item.movement for doc in docs.values() for b in doc.blocks for item in b.items})
        return {
            row.id: _plan(row, docs[row.revision_id], self._kits[row.location_id], self._ladders)
            for row in rows
        }

    def _read_kits(self, locations: set[UUID]) -> None:
        if new := locations - self._kits.keys():
            rows = _kit_rows(locations=list(new))
            found = {row.location_id: (parse_kit(row.document), row.version) for row in rows}
            self._kits |= {location: found.get(location, (Kit(), 0)) for location in new}

    def _read_ladders(self, movements: set[str]) -> None:
        if new := movements - self._ladders.keys():
            self._ladders |= {movement: {} for movement in new}
            for key, entry in variations_of_movements(new).items():
                self._ladders[entry.movement.key][key] = entry


@compiled
def _session_rows(ids: Given) -> QuerySet[ScheduledSession]:
    return ScheduledSession.objects.select_related("revision", "location").filter(id=any_of(ids))


@compiled
def _kit_rows(locations: Given) -> QuerySet[LocationKit]:
    return LocationKit.objects.filter(location=any_of(locations))


_MOVEMENT = ("id", "key", "name", "pattern", "capacity_kind", "prior")
_ENTRY = ("id", "number", "document", "variation_id", "variation__name")


_COLUMNS = (*_ENTRY, *(f"variation__movement__{name}" for name in _MOVEMENT))


@compiled
def _present_rows(keys: Given) -> QuerySet[VariationVersion, tuple[Any, ...]]:
    present = VariationVersion.objects.filter(number=F("variation__current"))
    return present.filter(variation__movement__key=any_of(keys)).values_list(*_COLUMNS)


@compiled
def _version_rows(ids: Given) -> QuerySet[VariationVersion, tuple[Any, ...]]:
    return VariationVersion.objects.filter(id=any_of(ids)).values_list(*_COLUMNS)


def _entry(
    version_id: UUID, number: int, document: object, variation_id: UUID, name: str, *movement: Any
) -> VariationEntry:
    read = parsed.variations.of(version_id, document)
    return VariationEntry(
        version_id=version_id,
        variation_id=variation_id,
        number=number,
        name=name,
        standard=read.standard,
        movement=_movement_entry(*movement),
        variation=read.variation,
    )


def _movement_entry(
    movement_id: UUID, key: str, name: str, pattern: str, capacity_kind: str, prior: object
) -> MovementEntry:
    return MovementEntry(movement_id, key, name, pattern, capacity_kind, prior_or_none(prior, capacity_kind))


def _plan(
    row: ScheduledSession,
    doc: RevisionDoc,
    kit: tuple[Kit, int],
    by_movement: Mapping[str, Mapping[str, VariationEntry]],
) -> SessionPlan:
    keys = {item.movement for block in doc.blocks for item in block.items}
    variations = {name: entry for key in sorted(keys) for name, entry in by_movement.get(key, {}).items()}
    return SessionPlan(
        session_id=row.id,
        version=row.version,
        revision_id=row.revision_id,
        template_id=row.revision.template_id,
        sha256=row.revision.sha256,
        rules_version=row.revision.rules_version,
        doc=read_by(doc, row.revision.rules_version),
        location_id=row.location_id,
        is_remote=row.location.is_remote,
        freeze_minutes=row.location.freeze_minutes,
        starts_at=row.starts_at,
        zone=row.zone,
        local_date=row.local_date,
        is_cancelled=row.cancelled_at is not None,
        kit=kit[0],
        kit_version=kit[1],
        variations=variations,
    )
