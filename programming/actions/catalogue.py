"""Writes of the catalogue: the shipped copy, and an organisation's own movements and variations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from programming.calc.catalogue import (
    CYCLICAL,
    LOAD_REPETITION,
    NO_CAPACITY,
    parse_prior,
    parse_variation,
)
from programming.calc.document import DocumentError, canonical_hash
from programming.calc.movement_prior import POWER
from programming.calc.possible import impossible_prior, impossible_variation
from programming.calc.units import TOLD_IN
from programming.calc.variation import DISTANCE
from programming.calc.variation import Variation as CalcVariation
from programming.catalogue.shipped import ShippedMovement, shipped_catalogue
from programming.errors import KeyTaken, field_problems
from programming.horizon import PRESCRIBED_AHEAD
from programming.models import Movement, Variation, VariationVersion
from programming.queries import session_ids_with_movement
from services.api.conditional import update_versioned
from services.changes.actions import LOW_PRIORITY, record_changes
from services.problems import FieldProblem, Invalid, PreconditionFailed
from services.tenancy.actor import Actor
from services.tenancy.locks import wait_for
from services.tenancy.models import Organisation


@dataclass(frozen=True)
class Installed:
    """What `install_catalogue` added; `differing` are copies of entries that are shipped otherwise by now."""

    movements: int
    variations: int
    differing: tuple[str, ...]


@dataclass(frozen=True)
class NewMovement:
    """A movement to be made; a `prior` of its kind of capacity, and none where it keeps none."""

    key: str
    name: str
    pattern: str
    capacity_kind: str
    prior: Mapping[str, Any] | None


@transaction.atomic
def install_catalogue(*, org: Organisation) -> Installed:
    """Copy what the organisation lacks of the shipped catalogue (six queries); running it twice is once.

    What the organisation has under the same key stays as it is, its own entries and its older copies alike:
    nothing that was prescribed or logged changes behind its back (see catalogue_updates). Inside the tenant.
    """
    wait_for(f"{org.id}/catalogue")  # two at once would both miss the other's rows
    known = {row.key: row for row in Movement.objects.all()}
    taken = set(Variation.objects.values_list("key", flat=True))
    shipped = shipped_catalogue()
    fresh = [movement_row(org.id, entry) for entry in shipped if entry.key not in known]
    owners = {row.key: row for row in fresh} | {key: row for key, row in known.items() if row.origin}
    rungs = [
        (Variation(org=org, movement=owners[entry.key], key=variation.key, name=variation.name), variation)
        for entry in shipped
        if entry.key in owners
        for variation in entry.variations
        if not taken.intersection((variation.key, *variation.formerly))
    ]
    Movement.objects.bulk_create(fresh)
    Variation.objects.bulk_create(row for row, _ in rungs)
    VariationVersion.objects.bulk_create(
        VariationVersion(org=org, variation=row, number=1, document=entry.document, sha256=entry.sha256)
        for row, entry in rungs
    )
    differing = sorted(e.key for e in shipped if e.key in known and known[e.key].origin_hash != e.sha256)
    return Installed(len(fresh), len(rungs), tuple(differing))


def movement_row(org_id: UUID, entry: ShippedMovement) -> Movement:
    """The row of a shipped movement, not yet stored."""
    return Movement(
        org_id=org_id,
        key=entry.key,
        name=entry.name,
        pattern=entry.pattern,
        capacity_kind=entry.capacity_kind,
        prior=entry.prior_document,
        origin=entry.origin,
        origin_hash=entry.sha256,
    )


@transaction.atomic
def create_movement(*, actor: Actor, new: NewMovement) -> Movement:
    """Add a movement of the organisation's own. Raises Invalid, KeyTaken."""
    if (new.capacity_kind == NO_CAPACITY) != (new.prior is None):
        detail = "Send a prior of the kind of capacity, and none if the kind is `none`."
        raise Invalid(errors=[FieldProblem("#/prior", "prior_or_no_capacity", detail)])
    if new.prior is not None:
        try:
            parse_prior(new.prior, new.capacity_kind)
        except DocumentError as error:
            raise Invalid(errors=field_problems(error.problems, "/prior")) from error
        if impossible := impossible_prior(new.prior, new.capacity_kind):
            raise Invalid(errors=field_problems(impossible, "/prior"))
    row = Movement(
        org_id=actor.org_id,
        key=new.key,
        name=new.name,
        pattern=new.pattern,
        capacity_kind=new.capacity_kind,
        prior=new.prior or {},
    )
    _insert(row, "movement")
    return row


@transaction.atomic
def create_variation(
    *, actor: Actor, movement: Movement, key: str, name: str, document: Mapping[str, Any]
) -> Variation:
    """Add a variation with its first version. Raises Invalid with pointers below `document`, KeyTaken."""
    whole = _whole(document, key, movement)
    row = Variation(org_id=actor.org_id, movement=movement, key=key, name=name)
    _insert(row, "variation")
    VariationVersion.objects.create(
        org_id=actor.org_id, variation=row, number=1, document=whole, sha256=canonical_hash(whole)
    )
    ask_for_recompute(movement)
    return row


@transaction.atomic
def add_variation_version(
    *, actor: Actor, variation: Variation, version: int, document: Mapping[str, Any]
) -> VariationVersion:
    """Give the variation a new numbered version, which the next prescriptions use; the old ones stay.

    The document that the present version already has changes nothing. Raises Invalid with pointers below
    `document`, and PreconditionFailed when the variation is not at `version` any more.
    """
    whole = _whole(document, variation.key, variation.movement)
    sha256 = canonical_hash(whole)
    row = Variation.objects.select_for_update().get(id=variation.id)
    if row.version != version:
        raise PreconditionFailed()
    present = VariationVersion.objects.get(variation=row, number=row.current)
    if present.sha256 == sha256:
        return present
    number = row.current + 1
    added = VariationVersion.objects.create(
        org_id=actor.org_id, variation=row, number=number, document=whole, sha256=sha256
    )
    update_versioned(row, version, current=number)
    ask_for_recompute(variation.movement)
    return added


def _whole(document: Mapping[str, Any], key: str, movement: Movement) -> dict[str, Any]:
    """The document with its identity, validated."""
    identity = {"key": key, "movement": movement.key}
    moved = [name for name, value in identity.items() if document.get(name, value) != value]
    if moved:
        detail = "A version keeps the variation's key and movement; leave this out."
        raise Invalid(
            errors=[FieldProblem(f"#/document/{name}", "identity_changed", detail) for name in moved]
        )
    whole = {**document, **identity}
    try:
        variation = parse_variation(whole).variation
    except DocumentError as error:
        raise Invalid(errors=field_problems(error.problems, "/document")) from error
    unfit = _unfit(variation, movement)
    if problems := [*field_problems(impossible_variation(whole), "/document"), *unfit]:
        raise Invalid(errors=problems)
    return whole


def _unfit(variation: CalcVariation, movement: Movement) -> list[FieldProblem]:
    """What the variation lacks to be computed with the capacity of its movement; without its curve it may be counted
    in anything.
    """
    kind, units = movement.capacity_kind, set(variation.counted_in)
    wanted = TOLD_IN.get(kind)
    found = []
    if (
        wanted is not None
        and units.isdisjoint(wanted)
        and (kind != LOAD_REPETITION or variation.curve_applies)
    ):
        detail = f"The movement's capacity is of the kind {kind}: count in {' or '.join(sorted(wanted))}."
        found.append(FieldProblem("#/document/counted_in", "not_of_the_kind", detail))
    in_power = kind == CYCLICAL and movement.prior.get("measure") == POWER
    if in_power and DISTANCE in units and variation.power_per_cubed_speed is None:
        detail = "Metres tell power only where the machine's relation of power and speed is known."
        found.append(FieldProblem("#/document/power_per_cubed_speed", "missing_field", detail))
    return found


def _insert(row: Movement | Variation, what: str) -> None:
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as error:
        if "_key_once_per_org" not in str(error):
            raise
        raise KeyTaken(f"There is already a {what} with the key {row.key}; choose another key.") from error


def ask_for_recompute(movement: Movement) -> None:
    """The sessions of the coming days with this movement, after everything urgent."""
    now = timezone.now()
    sessions = session_ids_with_movement(movement.key, now, now + PRESCRIBED_AHEAD)
    record_changes(kind="session", subjects=sessions, priority=LOW_PRIORITY)
