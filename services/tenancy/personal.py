"""The words in which each app says what it keeps about people: the export map and the erasure map.

`<app>/personal.py` lists every table. Each field is either personal (exported to its subject, and gone after an
erasure) or said not to be; a test holds the lists against the models, so that a new field cannot be forgotten.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Erase(StrEnum):
    """What an erasure does to a table's rows about its subject; the erasure role alone may do it."""

    DELETE = "delete the row"
    BLANK = "keep the row, replace the personal fields by nothing"
    RECOMPUTE = "derived: delete, then write again from what is left"
    NOTHING = "holds nothing about a person"


@dataclass(frozen=True)
class Kept:
    """One table.

    subject    ORM look-ups that lead from a row to the athlete or person it is about, "" for none
    personal   fields that go into the export and are erased
    impersonal fields that say nothing about anybody
    actors     references to the person who did something; erased by blanking them, exported to that person
    secret     fields that are erased, but never exported (digests, keys)
    """

    model: str
    erase: Erase
    subject: tuple[str, ...] = ()
    personal: tuple[str, ...] = ()
    impersonal: tuple[str, ...] = ()
    actors: tuple[str, ...] = ()
    secret: tuple[str, ...] = ()
    note: str = field(default="")

    @property
    def named(self) -> frozenset[str]:
        return frozenset((*self.personal, *self.impersonal, *self.actors, *self.secret))


def export_map(tables: tuple[Kept, ...]) -> Mapping[str, tuple[str, ...]]:
    """By model, the fields that a person's export contains."""
    return {
        table.model: (*table.personal, *table.actors) for table in tables if table.personal or table.actors
    }


def erasure_map(tables: tuple[Kept, ...]) -> Mapping[str, tuple[str, ...]]:
    """By model, the fields that an erasure removes."""
    return {
        table.model: (*table.personal, *table.actors, *table.secret)
        for table in tables
        if table.personal or table.actors or table.secret
    }


TABLES = (
    Kept("tenancy.Organisation", Erase.NOTHING, impersonal=("name", "version", "staff_second_factor")),
    Kept(
        "tenancy.Location",
        Erase.NOTHING,
        impersonal=("name", "zone", "is_remote", "freeze_minutes", "version"),
    ),
    Kept(
        "tenancy.Person",
        Erase.DELETE,
        subject=("id",),
        personal=("email", "name", "last_login", "weights"),
        impersonal=("is_active",),
        secret=("password",),
    ),
    Kept(
        "tenancy.Membership",
        Erase.DELETE,
        subject=("person_id",),
        personal=("person", "role", "is_active"),
        impersonal=("version",),
    ),
    Kept(
        "tenancy.MembershipLocation",
        Erase.DELETE,
        subject=("membership__person_id",),
        personal=("membership", "location"),
    ),
    Kept(
        "tenancy.Invitation",
        Erase.DELETE,
        subject=("email",),
        personal=("email", "role", "location_ids", "expires_at", "accepted_at"),
        actors=("invited_by",),
        secret=("digest",),
        note="found by the person's address",
    ),
)
