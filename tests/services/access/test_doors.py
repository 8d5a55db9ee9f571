"""Signing in, tokens, invitations and memberships over HTTP; every answer is held against the document."""

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.hashers import get_hasher, make_password
from django.db import connection, transaction

from services.tenancy.actor import Role
from services.tenancy.context import person as person_scope
from services.tenancy.models import Membership, Person
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast, Member, make_cast

PASSWORD = "harbour lights at dusk"


def as_member(member: Member) -> ApiClient:
    return ApiClient(member.token)


def with_password(member: Member) -> Member:
    with transaction.atomic(), person_scope(member.person.id):
        Person.objects.filter(id=member.person.id).update(password=make_password(PASSWORD))
    return member


def sign_in(email: str, password: str = PASSWORD, **fields: object):
    return ApiClient().post(
        "/api/v1/sign-in", {"email": email, "password": password, "label": "phone", **fields}
    )


def test_a_sign_in_gives_a_token_that_works(cast: Cast) -> None:
    """The secret is shown once; only its hash is stored."""
    member = with_password(cast.coach)
    answer = sign_in(member.person.email.upper())
    assert answer.status_code == 201
    secret = answer.json()["token"]
    me = ApiClient(secret).get("/api/v1/me").json()
    assert [(row["organisation"], row["role"]) for row in me["organisations"]] == [
        (str(cast.org.id), "coach")
    ]
    with connection.cursor() as cursor, person_scope(member.person.id):
        cursor.execute("SELECT digest, token_key FROM access_apitoken")
        assert all(secret not in row[0] for row in cursor.fetchall())
    listed = ApiClient(secret).get("/api/v1/tokens").json()["items"]
    assert len(listed) == 2
    assert secret not in str(listed)


@pytest.fixture
def real(committed: None) -> Cast:
    """A cast in real transactions: a refused sign-in must leave its mark behind."""
    return make_cast()


def test_a_wrong_password_and_an_unknown_address_look_alike(real: Cast) -> None:
    """Nothing tells whether an address is known."""
    cast = real
    member = with_password(cast.coach)
    bodies = [
        assert_problem(sign_in(address, "a wrong pass phrase"), "sign_in_refused", 401)
        for address in (member.person.email, "nobody@example.org")
    ]
    assert bodies[0]["detail"] == bodies[1]["detail"]


def test_a_refused_sign_in_hashes_once_whoever_is_named(real: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """A known address, an unknown one and one without a password cost one run of the hasher: no timing tells."""
    hasher, runs = type(get_hasher()), []
    encode = hasher.encode

    def counted(self: object, *args: object, **kwargs: object) -> str:
        runs.append(1)
        return encode(self, *args, **kwargs)

    known = with_password(real.coach)
    monkeypatch.setattr(hasher, "encode", counted)
    costs = {}
    for address in (known.person.email, "nobody@example.org", real.athlete.person.email):
        runs.clear()
        assert_problem(sign_in(address, "a wrong pass phrase"), "sign_in_refused", 401)
        costs[address] = len(runs)
    assert set(costs.values()) == {1}, costs


def test_sign_in_locks_after_too_many_failures(real: Cast, settings: object) -> None:
    """The failures are stored although the request fails, and then the right password is refused as well."""
    cast = real
    settings.AXES_FAILURE_LIMIT = 3
    member = with_password(cast.coach)
    for _ in range(2):
        assert_problem(sign_in(member.person.email, "a wrong pass phrase"), "sign_in_refused", 401)
    assert AccessAttempt.objects.get(username=member.person.email).failures_since_start == 2
    assert_problem(sign_in(member.person.email, "a wrong pass phrase"), "sign_in_locked", 429)
    locked = sign_in(member.person.email)
    assert_problem(locked, "sign_in_locked", 429)
    assert int(locked.headers["Retry-After"]) > 0
    assert sign_in(with_password(cast.owner).person.email).status_code == 201, "others still get in"


def test_expired_revoked_and_malformed_tokens_open_nothing(cast: Cast) -> None:
    """Each is 401, and none is a server error."""
    client = as_member(cast.coach)
    handle = client.get("/api/v1/tokens").json()["items"][0]["id"]
    assert client.delete(f"/api/v1/tokens/{handle}").status_code == 204
    assert_problem(client.get("/api/v1/me"), "not_authenticated", 401)
    with connection.cursor() as cursor, person_scope(cast.owner.person.id):
        cursor.execute("UPDATE access_apitoken SET expiry = now() - interval '1 second'")
    assert_problem(as_member(cast.owner).get("/api/v1/me"), "not_authenticated", 401)
    for token in ("x", "dosew_" + "a" * 500, "dosew_%00%ff", "dosew_1234567890'; DROP TABLE x--"):
        assert_problem(ApiClient(token).get("/api/v1/me"), "not_authenticated", 401)


def test_a_token_gives_no_more_than_it_has(cast: Cast) -> None:
    """Fewer scopes, one organisation; what is missing is 403 inside and 404 outside of it."""
    client = as_member(cast.coach)
    body = {"label": "board", "scopes": ["programme:read"], "organisation": str(cast.org.id)}
    narrow = ApiClient(client.post("/api/v1/tokens", body).json()["token"])
    assert narrow.get(f"/api/v1/organisations/{cast.org.id}/locations").status_code == 200
    refused = narrow.get(f"/api/v1/organisations/{cast.org.id}/attempts")
    assert_problem(refused, "insufficient_scope", 403)
    wider = narrow.post("/api/v1/tokens", {"label": "more", "scopes": ["programme:write"]})
    assert_problem(wider, "forbidden", 403)
    inherited = narrow.post("/api/v1/tokens", {"label": "same", "scopes": ["programme:read"]}).json()
    assert inherited["organisation"] == str(cast.org.id)


def test_an_invitation_makes_a_member_once(cast: Cast) -> None:
    """The secret opens one membership with the invited role and places; the second use opens nothing."""
    client = as_member(cast.owner)
    body = {"email": "Maud.Fell@example.org", "role": "location_staff", "locations": [str(cast.mill.id)]}
    made = client.post(f"/api/v1/organisations/{cast.org.id}/invitations", body)
    assert made.status_code == 201
    accept = {"secret": made.json()["secret"], "name": "Maud Fell", "password": PASSWORD}
    joined = ApiClient().post("/api/v1/invitations/accept", accept)
    assert joined.status_code == 201
    assert joined.json()["role"] == "location_staff"
    assert_problem(ApiClient().post("/api/v1/invitations/accept", accept), "invitation_not_good", 422)
    token = sign_in("maud.fell@example.org").json()["token"]
    mine = ApiClient(token).get(f"/api/v1/organisations/{cast.org.id}/memberships").json()["items"]
    assert [(row["name"], row["locations"]) for row in mine] == [("Maud Fell", [str(cast.mill.id)])]
    assert made.json()["secret"] not in str(
        client.get(f"/api/v1/organisations/{cast.org.id}/invitations").json()
    )


def test_weak_passwords_are_refused_with_a_reason(cast: Cast) -> None:
    """Short, common, or made of the address: each is said."""
    body = {"email": "lena.vik@example.org", "role": "athlete"}
    made = as_member(cast.coach).post(f"/api/v1/organisations/{cast.org.id}/invitations", body).json()
    for password in ("short", "qwerty123456", "lena.vik@example.org"):
        answer = ApiClient().post(
            "/api/v1/invitations/accept",
            {"secret": made["secret"], "name": "Lena Vik", "password": password},
        )
        assert_problem(answer, "password_too_weak", 422)


def test_only_owners_make_owners_and_one_always_stays(cast: Cast) -> None:
    """A coach invites no coach; the last owner can neither step down nor leave."""
    url = f"/api/v1/organisations/{cast.org.id}"
    body = {"email": "x@example.org", "role": "owner"}
    assert_problem(as_member(cast.coach).post(f"{url}/invitations", body), "forbidden", 403)
    owner = as_member(cast.owner)
    rows = owner.get(f"{url}/memberships").json()["items"]
    mine = next(row for row in rows if row["role"] == "owner")
    tag = owner.get(f"{url}/memberships/{mine['id']}").headers["ETag"]
    demote = owner.patch(f"{url}/memberships/{mine['id']}", {"role": "coach"}, if_match=tag)
    assert_problem(demote, "last_owner", 409)
    leave = owner.delete(f"{url}/memberships/{mine['id']}", if_match=tag)
    assert_problem(leave, "last_owner", 409)


def test_an_ended_membership_opens_nothing(cast: Cast) -> None:
    """The token lives on, the organisation is gone for it."""
    url = f"/api/v1/organisations/{cast.org.id}"
    owner, coach = as_member(cast.owner), as_member(cast.coach)
    mine = next(row for row in owner.get(f"{url}/memberships").json()["items"] if row["role"] == "coach")
    tag = owner.get(f"{url}/memberships/{mine['id']}").headers["ETag"]
    assert owner.delete(f"{url}/memberships/{mine['id']}", if_match=tag).status_code == 204
    assert_problem(coach.get(url), "not_found", 404)
    assert coach.get("/api/v1/me").json()["organisations"] == []
    with cast.inside():
        assert Membership.objects.filter(role=Role.COACH).count() == 1


def test_a_location_needs_a_real_zone(cast: Cast) -> None:
    """An invented time zone is refused with its place."""
    body = {"name": "Quarry", "zone": "Moon/Base"}
    answer = as_member(cast.owner).post(f"/api/v1/organisations/{cast.org.id}/locations", body)
    problem = assert_problem(answer, "invalid_input", 400)
    assert [(e["pointer"], e["code"]) for e in problem["errors"]] == [("#/zone", "unknown_zone")]
