"""Invitations over HTTP: new people accept with a password, known ones join signed in."""

from __future__ import annotations

import pytest
from django.contrib.auth import hashers
from django.db import transaction

from services.access.actions import create_token
from services.tenancy.context import person as person_scope
from services.tenancy.models import Membership, Person
from tests.services.access.test_doors import PASSWORD, as_member, sign_in, with_password
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast, Member, make_cast

ACCEPT, JOIN = "/api/v1/invitations/accept", "/api/v1/invitations/join"


def invited(cast: Cast, email: str, role: str = "athlete", by: Member | None = None, **fields: object) -> str:
    """The secret of a new invitation, by the owner if nobody else is named."""
    body = {"email": email, "role": role, **fields}
    made = as_member(by or cast.owner).post(f"/api/v1/organisations/{cast.org.id}/invitations", body)
    assert made.status_code == 201
    secret: str = made.json()["secret"]
    return secret


def accept(secret: str, password: str):
    return ApiClient().post(ACCEPT, {"secret": secret, "name": "Somebody", "password": password})


def stored_password(member: Member) -> str:
    with transaction.atomic(), person_scope(member.person.id):
        return Person.objects.get(id=member.person.id).password


def test_the_open_route_tells_nothing_about_a_known_password(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Right, wrong and weak: the same answer, no hasher runs, and the password stays as it was."""
    known = with_password(cast.outsider)
    secret = invited(cast, known.person.email, by=cast.coach)
    before, looked = stored_password(known), []
    for name in ("verify_password", "make_password", "check_password"):
        monkeypatch.setattr(hashers, name, lambda *_, **__: looked.append(1))
    monkeypatch.setattr("django.contrib.auth.base_user.check_password", lambda *_, **__: looked.append(1))
    monkeypatch.setattr("django.contrib.auth.base_user.make_password", lambda *_, **__: looked.append(1))
    answers = [
        assert_problem(accept(secret, password), "address_known", 409)
        for password in (PASSWORD, "not the right phrase", "short")
    ]
    assert len({answer["detail"] for answer in answers}) == 1
    assert looked == []
    monkeypatch.undo()
    assert stored_password(known) == before
    assert sign_in(known.person.email).status_code == 201


def test_the_open_route_sets_no_password_of_a_known_person(cast: Cast) -> None:
    """An owner elsewhere who has no password yet is not given one by another organisation's coach."""
    elsewhere = make_cast("Elsewhere").owner
    before = stored_password(elsewhere)
    assert_problem(accept(invited(cast, elsewhere.person.email), PASSWORD), "address_known", 409)
    assert_problem(
        accept(invited(cast, cast.owner.person.email, by=cast.coach), PASSWORD), "address_known", 409
    )
    assert stored_password(elsewhere) == before
    assert_problem(sign_in(elsewhere.person.email), "sign_in_refused", 401)


def test_a_known_person_joins_signed_in(cast: Cast) -> None:
    """Their sign-in proves them; the secret opens one membership, once."""
    known = cast.outsider
    secret = invited(cast, known.person.email.upper(), "location_staff", locations=[str(cast.mill.id)])
    joined = as_member(known).post(JOIN, {"secret": secret})
    assert joined.status_code == 201
    assert joined.json()["role"] == "location_staff"
    mine = as_member(known).get(f"/api/v1/organisations/{cast.org.id}/memberships").json()["items"]
    assert [row["locations"] for row in mine] == [[str(cast.mill.id)]]
    assert_problem(as_member(known).post(JOIN, {"secret": secret}), "invitation_not_good", 422)


def test_nobody_joins_by_the_invitation_of_another(cast: Cast) -> None:
    """Another address is refused and leaves the invitation open; so is a token of one organisation."""
    known = cast.outsider
    secret = invited(cast, known.person.email)
    assert_problem(as_member(cast.athlete).post(JOIN, {"secret": secret}), "forbidden", 403)
    assert_problem(as_member(known).post(JOIN, {"secret": "no such secret"}), "invitation_not_good", 422)
    _, narrow = create_token(person=known.person, label="board", only_org=make_cast("Other").org.id)
    assert_problem(ApiClient(narrow).post(JOIN, {"secret": secret}), "forbidden", 403)
    assert_problem(ApiClient().post(JOIN, {"secret": secret}), "not_authenticated", 401)
    assert as_member(known).post(JOIN, {"secret": secret}).status_code == 201


def standing(cast: Cast, member: Member) -> tuple[str, bool, set[str]]:
    """(role, is active, names of the places) of a member."""
    with cast.inside():
        row = Membership.objects.get(person_id=member.person.id)
        return row.role, row.is_active, set(row.places.values_list("location__name", flat=True))


def test_an_invitation_never_lowers_a_member(cast: Cast) -> None:
    """The last owner, invited as an athlete by a coach, stays an owner; a coach invited as an owner becomes one."""
    for member, role, by, after in (
        (cast.owner, "athlete", cast.coach, "owner"),
        (cast.coach, "location_staff", cast.owner, "coach"),
        (cast.coach, "owner", cast.owner, "owner"),
        (cast.athlete, "location_staff", cast.coach, "location_staff"),
    ):
        secret = invited(cast, member.person.email, role, by)
        joined = as_member(member).post(JOIN, {"secret": secret})
        assert joined.status_code == 201
        assert joined.json()["role"] == after == standing(cast, member)[0]


def test_a_second_invitation_adds_places_and_takes_none(cast: Cast) -> None:
    """Staff of the harbour invited to the mill work at both."""
    secret = invited(cast, cast.staff.person.email, "location_staff", locations=[str(cast.mill.id)])
    assert as_member(cast.staff).post(JOIN, {"secret": secret}).status_code == 201
    assert standing(cast, cast.staff) == ("location_staff", True, {"Harbour", "Mill"})


def test_a_membership_that_ended_begins_as_invited(cast: Cast) -> None:
    """A former coach who comes back as an athlete is one: there is nothing to keep."""
    url, owner = f"/api/v1/organisations/{cast.org.id}/memberships", as_member(cast.owner)
    for member, role in ((cast.coach, "athlete"), (cast.staff, "location_staff")):
        mine = f"{url}/{member.actor.membership_id}"  # type: ignore[union-attr]
        assert owner.delete(mine, if_match=owner.get(mine).headers["ETag"]).status_code == 204
        secret = invited(cast, member.person.email, role, locations=[str(cast.mill.id)])
        assert as_member(member).post(JOIN, {"secret": secret}).status_code == 201
        assert standing(cast, member) == (role, True, {"Mill"})


def test_who_was_sent_away_does_not_return_by_an_older_invitation(cast: Cast) -> None:
    """Ending a membership ends the open invitations to that address."""
    owner = ApiClient(cast.owner.token)
    url = f"/api/v1/organisations/{cast.org.id}"
    body = {"email": cast.coach.person.email, "role": "owner"}
    secret = owner.post(f"{url}/invitations", body).json()["secret"]
    row = next(one for one in owner.get(f"{url}/memberships").json()["items"] if one["role"] == "coach")
    tag = owner.get(f"{url}/memberships/{row['id']}").headers["ETag"]
    assert owner.delete(f"{url}/memberships/{row['id']}", if_match=tag).status_code == 204
    answer = ApiClient(cast.coach.token).post("/api/v1/invitations/join", {"secret": secret})
    assert_problem(answer, "invitation_not_good", 422)
