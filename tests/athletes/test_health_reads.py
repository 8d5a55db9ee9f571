"""Who read what of whose health: one row a request, athlete and kind; nothing of what stood there."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.heart_rates import Stated, state_heart_rates
from athletes.actions.limitations import add_limitation
from athletes.actions.training_logs import Trained, log_training
from athletes.actions.wellness import answer_form, set_form
from athletes.api.wellness_examples import FORM_INPUT
from athletes.guidance import question_set
from athletes.health_reads import KINDS
from athletes.models import Athlete, HealthRead, Limitation, TrainingLog, WellnessAnswer
from tests.athletes.conftest import Team
from tests.support.api import assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]

BELOW = {
    "wellness-answers": "wellness",
    "reports": "reports",
    "limitations": "limitations",
    "screenings": "screenings",
    "heart-rates": "heart_rate",
    "training-logs": "heart_rate",
}
MODELS: dict[str, Any] = {
    "wellness-answers": WellnessAnswer,
    "limitations": Limitation,
    "training-logs": TrainingLog,
}


@pytest.fixture
def told(team: Team) -> Team:
    """The team, Ayo having told something of each kind."""
    actor, now = team.cast.coach.actor, timezone.now()
    day = (now - dt.timedelta(days=2)).date()
    with team.cast.inside():
        set_form(actor=actor, **FORM_INPUT)
        answer_form(actor=actor, athlete=team.ayo, form_key="morning", day=day, answers={"sleep": 3}, now=now)
        add_limitation(actor=actor, athlete=team.ayo, hazard="knee", from_date=day)
        rates = Stated(day, 50.0, "told", 190.0, "told", "none")
        state_heart_rates(actor=actor, athlete=team.ayo, stated=rates, now=now)
        run = Trained("running", 5.0, 30.0, now - dt.timedelta(days=1), None, 140.0)
        log_training(actor=actor, athlete=team.ayo, trained=run, now=now)
    own, asked = team.client(team.cast.athlete), question_set()
    screening = {
        "question_set": asked.version,
        "answers": dict.fromkeys(asked.keys, False),
        "used_to_vigorous_effort": True,
    }
    assert own.post(at(team, "screenings"), screening).status_code == 201
    report(team, team.ayo)
    return team


def report(team: Team, athlete: Athlete) -> None:
    body = {"kind": "pain", "site": "knee", "severity": 3, "happened_at": timezone.now().isoformat()}
    assert team.client(team.cast.coach).post(at(team, "reports", athlete), body).status_code == 201


def at(team: Team, below: str, athlete: Athlete | None = None) -> str:
    return team.path(f"athletes/{(athlete or team.ayo).id}/{below}")


def noted(team: Team) -> list[HealthRead]:
    with team.cast.inside():
        return list(HealthRead.objects.order_by("created_at", "kind", "id"))


@pytest.mark.parametrize("below", BELOW)
def test_a_read_is_written_down_with_who_whose_and_which_request(told: Team, below: str) -> None:
    answer = told.client(told.cast.coach).get(at(told, below))
    assert answer.json()["items"]
    (row,) = noted(told)
    assert (row.kind, row.athlete_id, row.reader_id) == (BELOW[below], told.ayo.id, told.cast.coach.person.id)
    assert str(row.request_id) == answer.headers["Request-Id"]


def test_single_rows_and_what_follows_from_answers_are_reads_too(told: Team) -> None:
    """One answer, the flags of a form, one limitation, one log."""
    client = told.client(told.cast.coach)
    answers, limits, logs = (
        client.get(at(told, below)).json()["items"][0]["id"]
        for below in ("wellness-answers", "limitations", "training-logs")
    )
    before = len(noted(told))
    client.get(at(told, f"wellness-answers/{answers}"))
    client.get(at(told, "wellness"), query={"form": "morning"})
    client.get(at(told, f"limitations/{limits}"))
    client.get(at(told, f"training-logs/{logs}"))
    assert [row.kind for row in noted(told)[before:]] == ["wellness", "wellness", "limitations", "heart_rate"]


@pytest.mark.parametrize("below", ["wellness-answers", "limitations", "training-logs"])
def test_a_change_of_nothing_is_a_read(told: Team, below: str) -> None:
    """It answers with all that stands there; of the athlete's own nothing is written down."""
    with told.cast.inside():
        row = MODELS[below].objects.get(athlete=told.ayo)
    path, tag = at(told, f"{below}/{row.id}"), f'"{row.id}-{row.version}"'
    answer = told.client(told.cast.coach).patch(path, {}, if_match=tag)
    assert answer.status_code == 200
    (note,) = noted(told)
    assert (note.kind, note.athlete_id, note.reader_id) == (
        BELOW[below],
        told.ayo.id,
        told.cast.coach.person.id,
    )
    if below != "limitations":  # which staff write
        own = told.client(told.cast.athlete).patch(path, {}, if_match=answer.headers["ETag"])
        assert own.status_code == 200 and len(noted(told)) == 1


@pytest.mark.parametrize("below", BELOW)
def test_what_athletes_read_of_themselves_is_nobodys_business(told: Team, below: str) -> None:
    assert told.client(told.cast.athlete).get(at(told, below)).json()["items"]
    assert noted(told) == []


def test_a_read_that_is_refused_is_none(told: Team) -> None:
    """Neither of staff who may not, nor of another athlete's, nor with a parameter that there is not."""
    assert_problem(told.client(told.cast.staff).get(at(told, "wellness-answers")), "forbidden", 403)
    assert_problem(told.client(told.cast.athlete).get(at(told, "limitations", told.noor)), "not_found", 404)
    assert_problem(
        told.client(told.cast.coach).get(at(told, "limitations"), query={"x": "1"}), "invalid_input", 400
    )
    assert noted(told) == []


def test_a_log_without_a_heart_rate_says_nothing_of_health(team: Team) -> None:
    with team.cast.inside():
        run = Trained("running", 5.0, 30.0, timezone.now() - dt.timedelta(days=1))
        log_training(actor=team.cast.coach.actor, athlete=team.ayo, trained=run, now=timezone.now())
    client = team.client(team.cast.coach)
    (one,) = client.get(at(team, "training-logs")).json()["items"]
    client.get(at(team, f"training-logs/{one['id']}"))
    assert noted(team) == []


def test_a_list_of_many_is_a_read_of_each(told: Team) -> None:
    """Once, however many reports somebody has; whom the reader does not see is not among them."""
    for athlete in (told.noor, told.noor, told.bram):
        report(told, athlete)
    told.client(told.cast.staff).get(told.path("reports"))
    assert {row.athlete_id for row in noted(told)} == {told.ayo.id, told.noor.id}
    told.client(told.cast.coach).get(told.path("reports"))
    assert sum(row.athlete_id == told.noor.id for row in noted(told)) == 2
    assert len(noted(told)) == 2 + 3


def test_a_list_of_many_costs_the_same_for_three_as_for_thirty(team: Team) -> None:
    """Written down in one statement."""
    client, counts = team.client(team.cast.coach), []
    client.get(team.path("reports"))
    for more in (3, 27):
        with team.cast.inside():
            names = [f"E{len(counts)} {n}" for n in range(more)]
            made = [
                Athlete.objects.create(org=team.cast.org, name=name, location=team.cast.mill, zone="UTC")
                for name in names
            ]
        for athlete in made:
            report(team, athlete)
        with CaptureQueriesContext(connection) as queries:
            client.get(team.path("reports"))
        counts.append((len(queries), len(noted(team))))
    assert counts[0][0] == counts[1][0]
    assert [rows for _, rows in counts] == [3, 33]


def test_the_owner_reads_who_read(told: Team) -> None:
    """By athlete, reader and kind; nobody else does, and nothing of what was read stands there."""
    coach, owner = told.client(told.cast.coach), told.client(told.cast.owner)
    for below in ("limitations", "heart-rates"):
        coach.get(at(told, below))
    owner.get(at(told, "limitations"))
    path = told.path("health-reads")

    def rows(**query: Any) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = owner.get(
            path, query={name: str(one) for name, one in query.items()}
        ).json()["items"]
        return found

    assert [row["kind"] for row in rows()] == ["limitations", "heart_rate", "limitations"]
    assert len(rows(reader=told.cast.coach.person.id)) == 2 and len(rows(kind="limitations")) == 2
    assert len(rows(athlete=told.ayo.id)) == 3 and rows(athlete=told.noor.id) == []
    assert set(rows()[0]) == {"id", "read_at", "athlete", "kind", "reader", "request_id"}
    for member in (told.cast.coach, told.cast.staff, told.cast.athlete):
        assert_problem(told.client(member).get(path), "forbidden", 403)


def test_what_is_written_down_never_changes(told: Team) -> None:
    told.client(told.cast.coach).get(at(told, "limitations"))
    for change in (lambda rows: rows.update(kind="wellness"), lambda rows: rows.delete()):
        with pytest.raises(DatabaseError), transaction.atomic(), told.cast.inside():
            change(HealthRead.objects.all())
    assert [row.kind for row in noted(told)] == ["limitations"]


def test_what_cannot_be_written_down_is_not_shown(told: Team, monkeypatch: pytest.MonkeyPatch) -> None:
    """The row is part of the request: one without the other there is not."""

    def broken(*args: Any, **options: Any) -> None:
        raise DatabaseError("the disk is full")

    monkeypatch.setattr(HealthRead.objects, "bulk_create", broken)
    with pytest.raises(DatabaseError):
        told.client(told.cast.coach).get(at(told, "limitations"))
    assert noted(told) == []


def test_the_list_costs_the_same_for_three_rows_as_for_thirty(told: Team) -> None:
    client, owner, counts = told.client(told.cast.coach), told.client(told.cast.owner), []
    owner.get(told.path("health-reads"))
    for more in (3, 27):
        for _ in range(more):
            client.get(at(told, "limitations"))
        with CaptureQueriesContext(connection) as queries:
            items = owner.get(told.path("health-reads")).json()["items"]
        counts.append((len(queries), len(items)))
    assert [items for _, items in counts] == [3, 30]
    assert counts[0][0] == counts[1][0]


def test_a_kind_is_one_of_those_that_are_known() -> None:
    assert set(BELOW.values()) == set(KINDS)
