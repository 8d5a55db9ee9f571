"""Coming in and going out: the same lock and the same rows as the interface's sign-in."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings as live
from django.test import Client

from services.access.models import ApiToken
from services.tenancy.actor import Role
from services.tenancy.context import person as person_scope
from tests.services.console.browse import PASSWORD, browser, looked_at, page, with_password
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast, add_member, make_cast, make_organisation


def sign_in(client: Client, email: str, password: str = PASSWORD, **fields: str) -> Any:
    return client.post("/sign-in", {"email": email, "password": password, **fields})


def tokens_of(member: Any) -> list[str]:
    with person_scope(member.person.id):
        return list(ApiToken.objects.filter(user=member.person).values_list("label", flat=True))


def test_without_a_sign_in_every_page_leads_to_one_and_back(cast: Cast) -> None:
    """The address that was wanted is kept, and reached after signing in."""
    wanted = page(cast, "today")
    client = Client()
    answer = client.get(wanted)
    assert (answer.status_code, answer.url) == (302, f"/sign-in?next={wanted.replace('/', '%2F')}")
    form = client.get(answer.url)
    assert f'value="{wanted}"' in form.content.decode()
    looked_at(form)
    done = sign_in(client, with_password(cast.coach).person.email, next=wanted)
    assert (done.status_code, done.url) == (302, wanted)
    assert client.get(wanted).status_code == 200


@pytest.mark.parametrize(
    "elsewhere", ["https://example.com/x", "//example.com", "/\\example.com", "javascript:x"]
)
def test_a_sign_in_leads_nowhere_else(cast: Cast, elsewhere: str) -> None:
    """What is no address of ours is forgotten."""
    done = sign_in(Client(), with_password(cast.coach).person.email, next=elsewhere)
    assert (done.status_code, done.url) == (302, "/")


def test_the_cookie_is_kept_from_scripts_and_from_other_sites(cast: Cast) -> None:
    """HttpOnly, SameSite=Lax, Secure; for the browser's session unless one stays."""
    member = with_password(cast.coach)
    for stay, lasts in (({}, ""), ({"stay": "on"}, live.SESSION_COOKIE_AGE)):
        client = Client()
        sign_in(client, member.person.email, **stay)
        cookie = client.cookies[live.SESSION_COOKIE_NAME]
        assert (cookie["httponly"], cookie["samesite"], cookie["secure"]) == (True, "Lax", True)
        assert cookie["max-age"] == lasts
        assert PASSWORD not in cookie.value


def test_who_signs_out_is_out_with_every_copy_of_the_cookie(cast: Cast) -> None:
    """The token is gone; the interface's list showed it until then."""
    member = with_password(cast.coach)
    client = Client()
    sign_in(client, member.person.email)
    copy = client.cookies[live.SESSION_COOKIE_NAME].value
    assert "Pages in a browser" in tokens_of(member)
    assert client.post("/sign-out").url == "/sign-in"
    assert "Pages in a browser" not in tokens_of(member)
    thief = Client()
    thief.cookies[live.SESSION_COOKIE_NAME] = copy
    assert thief.get(page(cast, "today")).status_code == 302
    assert client.get(page(cast, "today")).status_code == 302


def test_signing_in_anew_leaves_no_older_token_behind(cast: Cast) -> None:
    """One browser, one token."""
    member = with_password(cast.coach)
    client = Client()
    for _ in range(3):
        sign_in(client, member.person.email)
    assert tokens_of(member).count("Pages in a browser") == 1


def test_no_form_of_another_site_is_taken(cast: Cast) -> None:
    """Without our mark in the form nothing happens, and a page says what to do."""
    strict = browser(cast.coach, enforce_csrf_checks=True)
    for path in ("/sign-in", "/sign-out"):
        answer = strict.post(path, {"email": "a@example.org", "password": "x"})
        assert answer.status_code == 403
        assert "This form has expired" in looked_at(answer).text
    assert strict.get(page(cast, "today")).status_code == 200, "still signed in"


@pytest.fixture
def real(committed: None) -> Cast:
    """A cast in real transactions: a refused sign-in must leave its mark behind."""
    return make_cast()


def test_a_refusal_stands_beside_the_field_and_keeps_the_address(real: Cast) -> None:
    """The same for an unknown address; the password is never sent back."""
    told = []
    for email in (with_password(real.coach).person.email, "nobody@example.org"):
        answer = sign_in(Client(), email, "a wrong pass phrase")
        assert answer.status_code == 401
        content = answer.content.decode()
        assert f'value="{email}"' in content
        assert "a wrong pass phrase" not in content
        assert 'aria-invalid="true"' in content
        told.append(looked_at(answer).text)
    assert "do not belong together" in told[0]
    assert told[0] == told[1]


@pytest.mark.parametrize(("email", "password"), [("", "x"), ("no address", "x"), ("a@example.org", "")])
def test_what_is_missing_is_said_without_a_try(cast: Cast, email: str, password: str) -> None:
    """A form that is not filled in is answered by itself."""
    answer = sign_in(Client(), email, password)
    assert answer.status_code == 400
    assert 'class="error"' in answer.content.decode()
    looked_at(answer)


def test_pages_and_interface_lock_together(real: Cast, settings: Any) -> None:
    """Failures at one door count at the other."""
    settings.AXES_FAILURE_LIMIT = 3
    email = with_password(real.coach).person.email
    for _ in range(2):
        assert sign_in(Client(), email, "a wrong pass phrase").status_code == 401
    body = {"email": email, "password": "a wrong pass phrase", "label": "phone"}
    assert_problem(ApiClient().post("/api/v1/sign-in", body), "sign_in_locked", 429)
    locked = sign_in(Client(), email)
    assert locked.status_code == 429
    assert int(locked.headers["Retry-After"]) > 0
    assert "Try again in 15 minutes" in looked_at(locked).text
    assert sign_in(Client(), with_password(real.owner).person.email).status_code == 302, "others still get in"


def test_who_belongs_to_several_organisations_chooses(cast: Cast) -> None:
    """One leads straight to its day; of several each is offered, and none that is another's."""
    assert browser(cast.coach).get("/").url == page(cast, "today")
    second = make_organisation("Second Shore")
    add_member(second, cast.coach, Role.ATHLETE)
    make_organisation("Not Mine")
    answer = browser(cast.coach).get("/")
    told = looked_at(answer)
    assert "Second Shore" in told.text and cast.org.name in told.text
    assert "Not Mine" not in told.text
    assert page(cast, "today") in told.links


def test_who_belongs_to_none_is_told_what_to_do(cast: Cast) -> None:
    """The outsider has signed in, and can do nothing but ask."""
    assert cast.outsider is not None
    told = looked_at(browser(cast.outsider).get("/"))
    assert "invite you" in told.text


def test_a_token_of_one_organisation_opens_no_other(cast: Cast) -> None:
    """As in the interface: 404."""
    second = make_organisation("Second Shore")
    add_member(second, cast.coach, Role.COACH)
    with person_scope(cast.coach.person.id):
        ApiToken.objects.update(only_org=second)
    assert browser(cast.coach).get(page(cast, "today")).status_code == 404
    assert browser(cast.coach).get(f"/organisations/{second.id}/today").status_code == 200
