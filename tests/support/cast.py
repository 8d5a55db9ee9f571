"""The people of the tests: one organisation with every role, an outsider, and a rival organisation's owner."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from uuid import uuid4

from django.db import transaction

from services.access.models import ApiToken
from services.tenancy.actor import ALL_SCOPES, Actor, Role
from services.tenancy.context import person, setting, tenant
from services.tenancy.models import Location, Membership, MembershipLocation, Organisation, Person

_numbers = count(1)
LIFE = dt.timedelta(days=90)


@dataclass
class Member:
    """A person with their membership and a token with every scope."""

    person: Person
    token: str
    actor: Actor | None = None

    @property
    def headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.token}"}


@dataclass
class Cast:
    org: Organisation
    harbour: Location
    mill: Location
    remote: Location
    members: dict[Role, Member] = field(default_factory=dict)
    outsider: Member | None = None

    @property
    def owner(self) -> Member:
        return self.members[Role.OWNER]

    @property
    def coach(self) -> Member:
        return self.members[Role.COACH]

    @property
    def staff(self) -> Member:
        """Location staff of the harbour only."""
        return self.members[Role.LOCATION_STAFF]

    @property
    def athlete(self) -> Member:
        return self.members[Role.ATHLETE]

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Act inside the organisation, in a transaction."""
        with transaction.atomic(), tenant(self.org.id):
            yield


def make_person(name: str, life: dt.timedelta = LIFE) -> Member:
    """With a token that lives so long."""
    email = f"{name.lower().replace(' ', '.')}.{next(_numbers)}.{uuid4().hex[:6]}@example.org"
    with transaction.atomic(), setting("app.email", email):
        somebody = Person(email=email, name=name, password="!")
        somebody.save(force_insert=True)
        with person(somebody.id):
            _, token = ApiToken.objects.create(
                user=somebody, label="test", scopes=sorted(ALL_SCOPES), expiry=life
            )
    return Member(somebody, token)


def make_organisation(name: str) -> Organisation:
    org = Organisation(id=uuid4(), name=name)
    with transaction.atomic(), tenant(org.id):
        org.save(force_insert=True)
    return org


def add_member(org: Organisation, member: Member, role: Role, places: tuple[Location, ...] = ()) -> Actor:
    with transaction.atomic(), tenant(org.id):
        membership = Membership.objects.create(org=org, person=member.person, role=role)
        for place in places:
            MembershipLocation.objects.create(org=org, membership=membership, location=place)
    member.actor = Actor(
        person_id=member.person.id,
        org_id=org.id,
        membership_id=membership.id,
        role=role,
        location_ids=frozenset(place.id for place in places),
    )
    return member.actor


def make_location(org: Organisation, name: str, zone: str = "Europe/Lisbon", **fields: object) -> Location:
    with transaction.atomic(), tenant(org.id):
        return Location.objects.create(org=org, name=name, zone=zone, **fields)


def make_cast(name: str = "Tidewater Strength", life: dt.timedelta = LIFE) -> Cast:
    org = make_organisation(f"{name} {next(_numbers)}")
    cast = Cast(
        org,
        harbour=make_location(org, "Harbour"),
        mill=make_location(org, "Mill"),
        remote=make_location(org, "Remote", "UTC", is_remote=True),
    )
    for role, who in (
        (Role.OWNER, "Odile Brandt"),
        (Role.COACH, "Kofi Amsel"),
        (Role.LOCATION_STAFF, "Lena Storm"),
        (Role.ATHLETE, "Ayo Lindqvist"),
    ):
        member = make_person(who, life)
        add_member(org, member, role, (cast.harbour,) if role == Role.LOCATION_STAFF else ())
        cast.members[role] = member
    cast.outsider = make_person("Otto Fremd", life)
    return cast
