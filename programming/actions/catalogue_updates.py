"""Taking up a newer shipped catalogue: what is shipped differently, and only what somebody chose of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from uuid import UUID

from django.db import transaction
from django.db.models import F

from programming.actions.catalogue import ask_for_recompute, movement_row
from programming.calc.document import canonical_hash
from programming.catalogue.difference import Difference, differences
from programming.catalogue.shipped import ShippedMovement, ShippedVariation, shipped_catalogue
from programming.models import Movement, Variation, VariationVersion
from services.api.conditional import update_versioned
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor
from services.tenancy.locks import wait_for


@dataclass(frozen=True)
class VariationUpdate:
    """A variation that is shipped differently; `id` is None for one that the organisation does not have."""

    id: UUID | None
    key: str
    name: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class MovementUpdate:
    """A movement of which something is shipped differently; `id` is None for one that is new."""

    id: UUID | None
    key: str
    name: str
    pattern: str
    differences: tuple[Difference, ...]
    variations: tuple[VariationUpdate, ...]


@dataclass(frozen=True)
class TakenUp:
    """What was done; a movement in which nothing was shipped differently is not in `movements`."""

    movements: tuple[str, ...]
    variations_added: int
    versions_added: int


@dataclass
class _Copies:
    """The organisation's rows, with the present version of each variation."""

    movements: dict[str, Movement] = field(default_factory=dict)
    present: dict[str, VariationVersion] = field(default_factory=dict)

    def of(self, shipped: ShippedVariation) -> VariationVersion | None:
        """The organisation's copy, under the key of today or one of before."""
        keys = (shipped.key, *shipped.formerly)
        return next((self.present[key] for key in keys if key in self.present), None)


def _copies() -> _Copies:
    """Two queries."""
    rows = VariationVersion.objects.filter(number=F("variation__current")).select_related("variation")
    return _Copies({row.key: row for row in Movement.objects.all()}, {row.variation.key: row for row in rows})


def catalogue_updates(*, actor: Actor) -> tuple[MovementUpdate, ...]:
    """What is shipped otherwise than the organisation has it, and what it has not at all (two queries).

    Movements by key. What the organisation made itself under a shipped key is not compared. An entry that was
    only changed here, and is shipped as it was when it was copied, is none.
    """
    copies = _copies()
    found = (_update(entry, copies) for entry in shipped_catalogue())
    return tuple(sorted((one for one in found if one is not None), key=lambda one: one.key))


def _update(entry: ShippedMovement, copies: _Copies) -> MovementUpdate | None:
    row = copies.movements.get(entry.key)
    if row is not None and (row.origin != entry.origin or row.origin_hash == entry.sha256):
        return None
    changed = () if row is None else differences(_facts(row), _facts(entry))
    rungs = tuple(rung for rung in (_rung(row, one, copies) for one in entry.variations) if rung is not None)
    if row is not None and not changed and not rungs:
        return None
    return MovementUpdate(
        None if row is None else row.id, entry.key, entry.name, entry.pattern, changed, rungs
    )


def _facts(one: Movement | ShippedMovement) -> dict[str, object]:
    prior = one.prior if isinstance(one, Movement) else one.prior_document
    said = {"name": one.name, "pattern": one.pattern, "capacity_kind": one.capacity_kind}
    return {**said, **{f"prior.{name}": value for name, value in prior.items()}}


def _rung(row: Movement | None, one: ShippedVariation, copies: _Copies) -> VariationUpdate | None:
    copy = copies.of(one)
    if copy is None:
        return VariationUpdate(None, one.key, one.name, ())
    if row is None or copy.variation.movement_id != row.id:
        return None  # the organisation's own, under a key of ours
    here = {"name": copy.variation.name, **copy.document}
    changed = differences(here, {"name": one.name, **one.document})
    return VariationUpdate(copy.variation_id, copy.variation.key, one.name, changed) if changed else None


@transaction.atomic
def take_up_catalogue(*, actor: Actor, movements: Sequence[str]) -> TakenUp:
    """Bring the chosen movements to what is shipped; the old versions of variations stay, and so do own keys.

    What was prescribed or logged names a version and does not change. The coming week's sessions with these
    movements are asked for with low priority; a prior enters the next snapshot. Running it twice is running it
    once. Raises Invalid with the place of a key that is not shipped, or that the organisation made itself.
    """
    wait_for(f"{actor.org_id}/catalogue")  # as in install_catalogue: two at once would both add the same rows
    copies = _copies()
    entries = _chosen(movements, copies)
    done: list[str] = []
    added = versions = 0
    for entry in entries:
        update = _update(entry, copies)
        if update is None:
            continue
        row = _take_movement(actor, entry, copies.movements.get(entry.key))
        for one in entry.variations:
            copy = copies.of(one)
            if copy is None:
                _add(actor, row, one)
                added += 1
            elif copy.variation.movement_id == row.id:
                versions += _renew(actor, copy, one)
        ask_for_recompute(row)
        done.append(entry.key)
    return TakenUp(tuple(done), added, versions)


def _chosen(keys: Sequence[str], copies: _Copies) -> list[ShippedMovement]:
    shipped = {entry.key: entry for entry in shipped_catalogue()}
    problems = []
    for index, key in enumerate(keys):
        row = copies.movements.get(key)
        at = f"#/movements/{index}"
        if key not in shipped:
            problems.append(FieldProblem(at, "unknown_movement", "No movement is shipped under this key."))
        elif row is not None and row.origin != shipped[key].origin:
            detail = "The organisation made this movement itself; it stays as it is."
            problems.append(FieldProblem(at, "own_movement", detail))
    if problems:
        raise Invalid(errors=problems)
    return [shipped[key] for key in dict.fromkeys(keys)]


def _take_movement(actor: Actor, entry: ShippedMovement, row: Movement | None) -> Movement:
    if row is None:
        made = movement_row(actor.org_id, entry)
        made.save(force_insert=True)
        return made
    return update_versioned(
        row,
        row.version,
        name=entry.name,
        pattern=entry.pattern,
        capacity_kind=entry.capacity_kind,
        prior=entry.prior_document,
        origin_hash=entry.sha256,
    )


def _add(actor: Actor, movement: Movement, one: ShippedVariation) -> None:
    row = Variation.objects.create(org_id=actor.org_id, movement=movement, key=one.key, name=one.name)
    VariationVersion.objects.create(
        org_id=actor.org_id, variation=row, number=1, document=one.document, sha256=one.sha256
    )


def _renew(actor: Actor, copy: VariationVersion, one: ShippedVariation) -> int:
    """1 when a version was added."""
    row = copy.variation
    document = {**one.document, "key": row.key}
    changed = bool(differences(copy.document, document))
    if not changed and row.name == one.name:
        return 0
    number = row.current + 1 if changed else row.current
    update_versioned(row, row.version, name=one.name, current=number)
    if changed:
        VariationVersion.objects.create(
            org_id=actor.org_id,
            variation=row,
            number=number,
            document=document,
            sha256=canonical_hash(document),
        )
    return int(changed)
