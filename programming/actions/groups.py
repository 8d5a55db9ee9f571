"""Writes of groups; who is in one is written with the athletes."""

from __future__ import annotations

from typing import TypedDict, Unpack
from uuid import UUID

from django.db import IntegrityError, transaction

from programming.actions.places import require_location
from programming.errors import GroupNameTaken
from programming.models import Group
from services.api.conditional import update_versioned
from services.tenancy.actor import Actor


class GroupFields(TypedDict, total=False):
    """What of a group may be set; a group that is not active gets no new sessions."""

    name: str
    location_id: UUID | None
    is_active: bool


def create_group(*, actor: Actor, name: str, location_id: UUID | None = None) -> Group:
    """Make a group without members. Raises Invalid, GroupNameTaken."""
    _check(actor, location_id)
    try:
        with transaction.atomic():
            return Group.objects.create(org_id=actor.org_id, name=name, location_id=location_id)
    except IntegrityError as error:
        raise _name_taken(error) from error


def update_group(*, actor: Actor, group: Group, version: int, **fields: Unpack[GroupFields]) -> Group:
    """Change what is named; sessions that are placed stay where they are.

    Raises Invalid, GroupNameTaken, PreconditionFailed.
    """
    _check(actor, fields.get("location_id"))
    try:
        with transaction.atomic():
            return update_versioned(group, version, **fields)
    except IntegrityError as error:
        raise _name_taken(error) from error


def _check(actor: Actor, location_id: UUID | None) -> None:
    if location_id is not None:
        require_location(actor, location_id)


def _name_taken(error: IntegrityError) -> Exception:
    return GroupNameTaken() if "group_name_once_per_org" in str(error) else error
