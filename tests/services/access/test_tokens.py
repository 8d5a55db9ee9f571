"""How long a token lives, and what it is good for while its person's standing changes."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from urllib.parse import parse_qs, urlsplit

import time_machine
from django.core import signing
from django.db import transaction
from django.utils import timezone

from services.access.models import ApiToken
from services.tenancy.context import person as person_scope
from tests.services.access.test_doors import as_member, sign_in, with_password
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast

Clock = Callable[[dt.datetime], AbstractContextManager[object]]
NARROW = {"label": "board", "scopes": ["programme:read"]}


def signed_in(cast: Cast) -> ApiClient:
    return ApiClient(sign_in(with_password(cast.coach).person.email).json()["token"])


def test_a_token_of_one_day_lasts_one_day_however_it_is_used(cast: Cast, time_machine_factory: Clock) -> None:
    """Use does not prolong a life that was asked for."""
    start = timezone.now()
    made = signed_in(cast).post("/api/v1/tokens", {**NARROW, "days": 1}).json()
    assert made["renews"] is False
    client = ApiClient(made["token"])
    for hours in (0, 2, 12, 23):
        with time_machine_factory(start + dt.timedelta(hours=hours)):
            listed = client.get("/api/v1/tokens").json()["items"]
        assert next(row for row in listed if row["id"] == made["id"])["expires_at"] == made["expires_at"]
    with time_machine_factory(start + dt.timedelta(hours=25)):
        assert_problem(client.get("/api/v1/me"), "not_authenticated", 401)


def test_a_sign_in_is_renewed_by_use_up_to_a_year(cast: Cast, time_machine_factory: Clock) -> None:
    """90 days after each use, but a year after the sign-in it ends."""
    start = timezone.now()
    client = signed_in(cast)
    for days in (80, 160, 240, 320, 364):
        with time_machine_factory(start + dt.timedelta(days=days)):
            assert client.get("/api/v1/me").status_code == 200, days
    with time_machine_factory(start + dt.timedelta(days=366)):
        assert_problem(client.get("/api/v1/me"), "not_authenticated", 401)


def test_a_sign_in_that_is_not_used_ends(cast: Cast, time_machine_factory: Clock) -> None:
    """91 days without use."""
    client = signed_in(cast)
    with time_machine_factory(timezone.now() + dt.timedelta(days=91)):
        assert_problem(client.get("/api/v1/me"), "not_authenticated", 401)


def test_a_token_of_fixed_life_makes_none_that_outlives_it(cast: Cast) -> None:
    """Neither by asking for more days nor by asking for none; fewer are given as asked."""
    with time_machine.travel(timezone.now(), tick=False):
        first = signed_in(cast).post("/api/v1/tokens", {**NARROW, "days": 2}).json()
        client = ApiClient(first["token"])
        for days in ({}, {"days": 365}):
            made = client.post("/api/v1/tokens", {**NARROW, **days}).json()
            assert (made["expires_at"], made["renews"]) == (first["expires_at"], False)
        shorter = client.post("/api/v1/tokens", {**NARROW, "days": 1}).json()
    ends = [dt.datetime.fromisoformat(row["expires_at"]) for row in (first, shorter)]
    assert ends[0] - ends[1] == dt.timedelta(days=1)


def test_a_new_role_holds_for_living_tokens_at_once(cast: Cast) -> None:
    """What a role allows is looked up in each request, not kept in the token."""
    url = f"/api/v1/organisations/{cast.org.id}"
    owner, coach = as_member(cast.owner), as_member(cast.coach)
    body = {"email": "somebody@example.org", "role": "athlete"}
    assert coach.post(f"{url}/invitations", body).status_code == 201
    mine = f"{url}/memberships/{cast.coach.actor.membership_id}"  # type: ignore[union-attr]
    for role, code in (("athlete", 403), ("coach", 201)):
        tag = owner.get(mine).headers["ETag"]
        assert owner.patch(mine, {"role": role}, if_match=tag).status_code == 200
        assert coach.post(f"{url}/invitations", body).status_code == code
        assert coach.get("/api/v1/me").json()["organisations"][0]["role"] == role


def test_the_pages_of_tokens_tell_nothing_secret(cast: Cast) -> None:
    """A cursor can be read by whoever sees it: no digest and no key in it; together the pages are the list."""
    client = as_member(cast.coach)
    for number in range(4):
        assert client.post("/api/v1/tokens", {**NARROW, "label": f"board {number}"}).status_code == 201
    with transaction.atomic(), person_scope(cast.coach.person.id):
        rows = list(ApiToken.objects.filter(user_id=cast.coach.person.id).order_by("-created"))
    address, seen = "/api/v1/tokens?limit=2", []
    while address:
        page = client.get(address).json()
        seen += [row["id"] for row in page["items"]]
        address = (page["next"] or "").removeprefix("http://testserver")
        if address:
            cursor = parse_qs(urlsplit(address).query)["cursor"][0]
            content = json.dumps(signing.loads(cursor, salt="services.api.pagination"))
            assert seen[-1] in content, "the cursor is read as it is written"
            assert not [row for row in rows if row.digest in content or row.token_key in content]
    assert seen == [str(row.handle) for row in rows]
