"""Lists at the door cost as many queries for thirty rows as for three."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from services.access.actions import create_token, invite
from services.tenancy.actor import Role
from services.tenancy.models import Location
from tests.support.api import ApiClient
from tests.support.cast import Cast, add_member, make_cast, make_person


def locations(cast: Cast, count: int) -> str:
    with cast.inside():
        Location.objects.bulk_create(
            Location(org=cast.org, name=f"Place {number}", zone="UTC")
            for number in range(count - Location.objects.count())
        )
    return f"organisations/{cast.org.id}/locations"


def memberships(cast: Cast, count: int) -> str:
    """Location staff at two places each: the places are what could cost a query for every row."""
    for number in range(count - len(cast.members)):
        member = make_person(f"Member {number}")
        add_member(cast.org, member, Role.LOCATION_STAFF, (cast.harbour, cast.mill))
    return f"organisations/{cast.org.id}/memberships"


def invitations(cast: Cast, count: int) -> str:
    assert cast.owner.actor is not None
    with cast.inside():
        for number in range(count):
            invite(
                actor=cast.owner.actor,
                email=f"somebody{number}@example.org",
                role=Role.LOCATION_STAFF,
                location_ids=[cast.harbour.id],
            )
    return f"organisations/{cast.org.id}/invitations"


def tokens(cast: Cast, count: int) -> str:
    for number in range(count - 1):  # one is in use
        create_token(person=cast.owner.person, label=f"device {number}", only_org=cast.org.id)
    return "tokens"


@pytest.mark.django_db
@pytest.mark.parametrize(
    "fill", [locations, memberships, invitations, tokens], ids=lambda fill: fill.__name__
)
def test_a_list_costs_the_same_for_few_rows_and_thirty(fill: Callable[[Cast, int], str]) -> None:
    """The number of queries does not grow with the number of rows."""
    found = []
    for count in (5, 30):
        cast = make_cast(f"Gym of {count}")
        path = fill(cast, count)
        caller = ApiClient(cast.owner.token)
        with CaptureQueriesContext(connection) as queries:
            response = caller.get(f"/api/v1/{path}")
        assert response.status_code == 200
        assert len(json.loads(response.content)["items"]) == count
        found.append(len(queries))
    assert found[0] == found[1]
