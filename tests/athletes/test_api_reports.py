"""A report is never refused for its form: what cannot be taken as told is stored otherwise, and said so."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

import pytest
from django.utils import timezone

from athletes.models import Report
from tests.athletes.conftest import Team
from tests.athletes.test_api_safety import at, flag, holds, pain
from tests.support.api import assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]

LEFT_OUT = object()


def otherwise(body: dict[str, Any]) -> list[tuple[str, str]]:
    return [(one["field"], one["reason"]) for one in body["taken_otherwise"]]


def assert_stored(team: Team, response: Any) -> dict[str, Any]:
    """With the words for an emergency, and the hold that it causes."""
    assert response.status_code == 201, response.content
    body: dict[str, Any] = response.json()
    assert body["emergency"]["text"]
    assert body["hold"]["cause"] == body["id"]
    assert [one["code"] for one in holds(team)] == [body["kind"]]
    return body


@pytest.mark.parametrize("told", [flag(), pain(severity=7)])
@pytest.mark.parametrize(
    ("happened_at", "reason"),
    [
        (LEFT_OUT, "not_told"),
        (None, "not_told"),
        ("2030-13-40T00:00:00Z", "unreadable"),
        ("2026-11-24T10:00:00", "unreadable"),
        ("ten minutes ago", "unreadable"),
        (dt.timedelta(minutes=10), "in_the_future"),
        (dt.timedelta(days=400), "in_the_future"),
    ],
)
def test_no_clock_stands_in_the_way(team: Team, told: dict[str, Any], happened_at: Any, reason: str) -> None:
    """Taken as now; what was told stays readable, for the athlete and in the list of the staff."""
    before = timezone.now()
    sent = {name: value for name, value in told.items() if name != "happened_at"}
    if isinstance(happened_at, dt.timedelta):
        happened_at = (before + happened_at).isoformat()
    if happened_at is not LEFT_OUT:
        sent["happened_at"] = happened_at
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), sent))
    assert before <= dt.datetime.fromisoformat(body["happened_at"]) <= timezone.now()
    assert otherwise(body) == [("happened_at", reason)]
    said = body["taken_otherwise"][0]["told"]
    if reason == "in_the_future":
        assert dt.datetime.fromisoformat(said) == dt.datetime.fromisoformat(happened_at)
    else:
        assert said == (None if reason == "not_told" else happened_at)
    [listed] = team.client(team.cast.coach).get(team.path("reports")).json()["items"]
    assert listed["taken_otherwise"] == body["taken_otherwise"]


@pytest.mark.parametrize("other", [{"sign": "collapse"}, {"happened_at": None}, {"note": "Again."}])
def test_a_client_id_with_something_else_is_another_report(team: Team, other: dict[str, Any]) -> None:
    """Told so; each of them sent again is a replay of its own."""
    client = team.client(team.cast.athlete)
    first, second = flag(client_id="phone-1"), flag(client_id="phone-1") | other
    ids = [client.post(at(team, "reports"), sent).json()["id"] for sent in (first, second)]
    again = [client.post(at(team, "reports"), sent) for sent in (first, second)]
    assert [one.status_code for one in again] == [200, 200]
    assert [one.json()["id"] for one in again] == ids and ids[0] != ids[1]
    assert ("client_id", "used_before") in otherwise(again[1].json())
    assert otherwise(again[0].json()) == []
    assert [one.json()["hold"]["cause"] for one in again] == [ids[1], ids[1]], (
        "both hold, the newest is named"
    )


def test_a_time_that_was_ahead_is_the_same_report_when_it_has_come(team: Team) -> None:
    """A telephone that is ahead sends the same again after the hour has passed."""
    told = flag(client_id="phone-1", happened_at=(timezone.now() + dt.timedelta(minutes=10)).isoformat())
    client = team.client(team.cast.athlete)
    stored = client.post(at(team, "reports"), told).json()
    utc = dt.datetime.fromisoformat(told["happened_at"]).astimezone(dt.timezone(dt.timedelta(hours=2)))
    again = client.post(at(team, "reports"), told | {"happened_at": utc.isoformat()})
    assert (again.status_code, again.json()["id"]) == (200, stored["id"])


def test_the_client_id_of_another_athlete_says_nothing(team: Team) -> None:
    """Not even that it exists."""
    coach = team.client(team.cast.coach)
    coach.post(at(team, "reports", team.noor), flag(client_id="phone-1"))
    body = assert_stored(
        team, team.client(team.cast.athlete).post(at(team, "reports"), flag(client_id="phone-1"))
    )
    assert otherwise(body) == []


def test_a_session_that_nobody_knows_is_left_out(team: Team) -> None:
    """It was a link, not the report."""
    told = flag(session=str(uuid.uuid4()))
    body = assert_stored(team, team.client(team.cast.athlete).post(at(team, "reports"), told))
    assert body["session"] is None
    assert otherwise(body) == [("session", "unknown_reference")]


@pytest.mark.parametrize(
    ("key", "reason"), [("short", "key_unusable"), ("a-key-of-another-report", "key_used_before")]
)
def test_no_key_stands_in_the_way(team: Team, key: str, reason: str) -> None:
    """A malformed one, and one that was sent with something else, are passed over and named."""
    client = team.client(team.cast.athlete)
    header = {"headers": {"Idempotency-Key": key}}
    first = client.post(at(team, "reports"), pain(severity=2), **header)
    assert first.status_code == 201
    told = flag()
    body = assert_stored(team, client.post(at(team, "reports"), told, **header))
    assert otherwise(body) == [("Idempotency-Key", reason)]
    assert body["taken_otherwise"][0]["told"] == key
    with team.cast.inside():
        assert Report.objects.count() == 2


def test_a_resend_under_a_key_of_another_report_is_a_replay(team: Team) -> None:
    """Each of the two contents under the one key has one answer."""
    client = team.client(team.cast.athlete)
    header = {"headers": {"Idempotency-Key": "a-key-of-another-report"}}
    sent = [flag(), flag(note="Again."), pain()]
    first = [client.post(at(team, "reports"), one, **header) for one in sent]
    again = [client.post(at(team, "reports"), one, **header) for one in sent]
    assert [one.json() for one in again] == [one.json() for one in first]
    assert {one.headers.get("Idempotency-Replayed") for one in again} == {"true"}
    with team.cast.inside():
        assert Report.objects.count() == 3


@pytest.mark.parametrize("told", [flag(), pain()])
def test_nobody_acknowledges_a_report_about_themselves(team: Team, told: dict[str, Any]) -> None:
    """A coach who trains too: somebody else looks at it."""
    with team.cast.inside():
        team.ayo.person = team.cast.coach.person
        team.ayo.save()
    coach = team.client(team.cast.coach)
    report = coach.post(at(team, "reports"), told).json()
    path = team.path(f"reports/{report['id']}/acknowledgements")
    assert_problem(coach.post(path, {}), "own_report", 403)
    assert team.client(team.cast.owner).post(path, {}).status_code == 201


@pytest.mark.parametrize("to", ["nobody", "the staff"])
def test_nobody_ceases_to_be_the_athlete_of_whom_a_report_tells(team: Team, to: str) -> None:
    """Else a coach who trains too could look at it, and release themselves, as somebody else."""
    with team.cast.inside():
        team.ayo.person = team.cast.coach.person
        team.ayo.save()
    coach, owner = team.client(team.cast.coach), team.client(team.cast.owner)
    report = coach.post(at(team, "reports"), flag()).json()
    path = team.path(f"athletes/{team.ayo.id}")
    change = {"person": None if to == "nobody" else str(team.cast.staff.person.id)}
    assert_problem(coach.patch(path, change, if_match="*"), "own_report", 403)
    owner.post(team.path(f"reports/{report['id']}/acknowledgements"), {})
    assert_problem(coach.patch(path, change, if_match="*"), "own_hold", 403)
    assert coach.patch(path, {"name": "Ayo Tamm"}, if_match="*").status_code == 200
    told = {"code": "red_flag", "cause": report["id"], "reason": "The heart is as it should be, says"}
    told["cleared_by"] = "Dr. Imre Aalto, her physician: may train again."
    assert owner.post(at(team, "hold-releases"), told).status_code == 201
    assert coach.patch(path, change, if_match="*").status_code == 200
