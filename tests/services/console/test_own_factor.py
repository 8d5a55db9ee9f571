"""The second factor on the pages: set up, asked for in a second step, required, removed."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from services.tenancy.models import Organisation
from tests.services.access.test_second_factor import code_of, real, set_up  # noqa: F401
from tests.services.console.browse import PASSWORD, browser, looked_at, page
from tests.support.api import ApiClient
from tests.support.cast import Cast, Member

HERE, CODE = "/second-factor", "/sign-in/code"


def first_step(member: Member, **fields: str) -> tuple[Client, Any]:
    client = Client()
    told = {"email": member.person.email, "password": PASSWORD, **fields}
    return client, client.post("/sign-in", told)


def test_it_is_set_up_and_its_codes_are_shown_once(real: Cast) -> None:  # noqa: F811
    """Password, picture and letters of one secret, a first code; ten codes, which a second look does not show."""
    client = browser(real.coach)
    assert "wants a code from your telephone" in looked_at(client.get(HERE)).text
    wrong = client.post(HERE, {"step": "begin", "password": "a wrong pass phrase"})
    assert wrong.status_code == 401
    assert "do not belong together" in looked_at(wrong).text
    offered = client.post(HERE, {"step": "begin", "password": PASSWORD})
    told = looked_at(offered).text
    secret = re.search(r"(?:[A-Z2-7]{4} ){7}[A-Z2-7]{4}", told)
    assert secret is not None
    assert offered.content.count(b"<svg") == 1 and b"otpauth" not in offered.content
    refused = client.post(HERE, {"step": "confirm", "code": "12345"})
    assert refused.status_code == 401 and "This code is wrong" in looked_at(refused).text
    done = client.post(HERE, {"step": "confirm", "code": code_of(secret[0].replace(" ", ""))})
    codes = re.findall(r"(?:[A-Z2-9]{4}-){3}[A-Z2-9]{4}", looked_at(done).text)
    assert len(set(codes)) == 10
    again = looked_at(client.get(HERE)).text
    assert "10 recovery codes left" in again and codes[0] not in again
    assert "wrong" not in again


def test_a_sign_in_has_two_steps_then(real: Cast) -> None:  # noqa: F811
    """The password alone opens no page, a code alone neither; both lead to where one wanted to go."""
    secret, codes = set_up(real.coach)
    wanted = page(real, "today")
    client, answer = first_step(real.coach, next=wanted)
    assert (answer.status_code, answer.url) == (302, f"{CODE}?next={wanted.replace('/', '%2F')}")
    assert client.get(wanted).status_code == 302
    looked_at(client.get(answer.url))
    wrong = client.post(CODE, {"code": codes[0][:-1], "next": wanted})
    assert wrong.status_code == 401
    assert "This code is wrong" in looked_at(wrong).text
    done = client.post(CODE, {"code": code_of(secret), "next": wanted})
    assert (done.status_code, done.url) == (302, wanted)
    assert client.get(wanted).status_code == 200
    alone = Client().post(CODE, {"code": code_of(secret, 1)})
    assert (alone.status_code, alone.url) == (302, "/sign-in")


def test_the_second_step_does_not_wait_for_long(
    real: Cast,  # noqa: F811
    time_machine_factory: Any,
) -> None:
    """Five minutes after the password it is asked for again."""
    _, codes = set_up(real.coach)
    client, _ = first_step(real.coach)
    later = timezone.now() + dt.timedelta(seconds=301)
    with time_machine_factory(later):
        answer = client.post(CODE, {"code": codes[0]})
    assert (answer.status_code, answer.url) == (302, "/sign-in")


def test_the_second_step_is_worth_nothing_once_the_password_is_changed(real: Cast) -> None:  # noqa: F811
    """Whoever knew the old one and waits at the door begins anew, with a good code too."""
    _, codes = set_up(real.coach)
    client, _ = first_step(real.coach)
    told = {"password": PASSWORD, "new_password": "lanterns over the pier", "second_factor": codes[0]}
    assert ApiClient(real.coach.token).post("/api/v1/me/password", told).status_code == 204
    answer = client.post(CODE, {"code": codes[1]})
    assert (answer.status_code, answer.url) == (302, "/sign-in")


def test_who_is_signed_in_may_sign_in_as_somebody_else(real: Cast) -> None:  # noqa: F811
    """The token of before is gone, whether or not the next one has a factor."""
    _, codes = set_up(real.coach)
    client = browser(real.athlete)
    told = {"email": real.owner.person.email, "password": PASSWORD}
    assert client.post("/sign-in", told).status_code == 302
    assert "Odile Brandt" in client.get(page(real, "today")).content.decode()
    client.post("/sign-in", {**told, "email": real.coach.person.email})
    assert client.post(CODE, {"code": codes[0]}).status_code == 302
    assert "Kofi Amsel" in client.get(page(real, "today")).content.decode()


def test_where_it_is_required_staff_are_led_to_it(real: Cast) -> None:  # noqa: F811
    """Once it is set up they go on; athletes are not asked; before, it is offered on the page of the day."""
    coach, athlete = browser(real.coach), browser(real.athlete)
    wanted = page(real, "today")
    assert "Set up a second factor" in looked_at(coach.get(wanted)).text
    assert "Set up a second factor" not in looked_at(athlete.get(wanted)).text
    with real.inside():
        Organisation.objects.filter(id=real.org.id).update(staff_second_factor=True)
    answer = coach.get(wanted)
    assert (answer.status_code, answer.url) == (302, f"{HERE}?wanted")
    assert "work with a second factor only" in looked_at(coach.get(answer.url)).text
    assert athlete.get(wanted).status_code == 200
    set_up(real.coach)
    assert "Set up a second factor" not in looked_at(coach.get(wanted)).text


def test_it_is_removed_with_password_and_code(real: Cast) -> None:  # noqa: F811
    """What became of it stands on the page."""
    secret, _ = set_up(real.coach)
    client = browser(real.coach)
    told = {"step": "remove", "password": "a wrong pass phrase", "code": code_of(secret)}
    assert client.post(HERE, told).status_code == 401
    done = client.post(HERE, {**told, "password": PASSWORD})
    text = looked_at(done).text
    assert "removed" in text and "Set it up" in text
    assert first_step(real.coach)[1].url == "/"


@pytest.mark.parametrize("step", ["", "begin", "confirm", "remove"])
def test_a_form_without_its_fields_is_no_error_of_ours(real: Cast, step: str) -> None:  # noqa: F811
    """Also in a state in which the page does not show it."""
    assert browser(real.coach).post(HERE, {"step": step}).status_code == 400
    assert (
        browser(real.coach).post(HERE, {"step": "remove", "password": PASSWORD, "code": "1"}).status_code
        == 401
    )


def test_nobody_else_reads_it(real: Cast) -> None:  # noqa: F811
    """Without a sign-in it leads to one; a form of another site is refused."""
    answer = Client().get(HERE)
    assert (answer.status_code, answer.url) == (302, "/sign-in?next=%2Fsecond-factor")
    strict = browser(real.coach, enforce_csrf_checks=True)
    assert strict.post(HERE, {"step": "begin", "password": PASSWORD}).status_code == 403


def test_the_password_is_changed_and_others_are_signed_out(real: Cast) -> None:  # noqa: F811
    """The answer stands beside its field; whoever else is signed in as the same person is out."""
    here, (elsewhere, _) = browser(real.coach), first_step(real.coach)
    wanted = page(real, "today")
    told = {"step": "password", "password": PASSWORD, "new": "lanterns over the pier"}
    for changes, status, said in (
        ({"password": "a wrong pass phrase"}, 401, "do not belong together"),
        ({"new": "short"}, 422, "too short"),
        ({"new": ""}, 400, "This field is required."),
    ):
        refused = here.post(HERE, told | changes)
        assert refused.status_code == status and said in looked_at(refused).text
    done = looked_at(here.post(HERE, told)).text
    assert "It is changed." in done and "the password was changed" in done
    assert here.get(wanted).status_code == 200
    assert elsewhere.get(wanted).status_code == 302
    assert first_step(real.coach)[1].status_code == 401
    _, signed = first_step(real.coach, password="lanterns over the pier")
    assert signed.status_code == 302


def test_with_a_second_factor_a_code_is_asked_for_the_password_too(real: Cast) -> None:  # noqa: F811
    secret, _ = set_up(real.coach)
    here = browser(real.coach)
    told = {"step": "password", "password": PASSWORD, "new": "lanterns over the pier"}
    assert "is asked for here too" in looked_at(here.post(HERE, told)).text
    assert "This code is wrong" in looked_at(here.post(HERE, {**told, "code": "1234"})).text
    assert "It is changed." in looked_at(here.post(HERE, {**told, "code": code_of(secret)})).text


def test_a_page_that_is_locked_says_how_long(real: Cast, settings: Any) -> None:  # noqa: F811
    """As the sign-in's own page does."""
    settings.AXES_FAILURE_LIMIT = 1
    told = {"step": "password", "password": "a wrong pass phrase", "new": "lanterns over the pier"}
    locked = browser(real.coach).post(HERE, told)
    assert (locked.status_code, locked.headers["Retry-After"]) == (429, "900")
