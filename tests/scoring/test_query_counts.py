"""Lists of results and the ranking cost as many queries for thirty rows as for three."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.day import SORE
from athletes.models import Athlete, DayChange
from scoring.actions.rankings import rank_session
from scoring.calc.forecast import LEVELS
from scoring.models import Attempt, OfficialScore, Prescription, Review
from services.changes.actions import record_changes
from services.changes.models import Change
from services.tenancy.context import required_org
from tests.scoring.test_stored_content import FIRST
from tests.support.api import ApiClient
from tests.support.world import World, make_world

TOTALS = {"totals": {"elapsed_s": 600.0, "breaks": 3, "work": [{"work": "a", "repetitions": 60}]}}


def _athletes(world: World, count: int) -> list[Athlete]:
    """Rows of their own: nothing has to be computed for a count of queries."""
    return Athlete.objects.bulk_create(
        Athlete(
            org_id=required_org(), name=f"Athlete {number}", location=world.cast.harbour, zone="Europe/Lisbon"
        )
        for number in range(count)
    )


def prescriptions(world: World, count: int) -> list[Prescription]:
    return Prescription.objects.bulk_create(
        Prescription(
            org_id=required_org(),
            session=world.session,
            athlete=athlete,
            number=1,
            feasible=True,
            forecast={"score_quantiles": [500.0 + 10 * step for step in range(len(LEVELS))]},
            content=FIRST,
            basis={"capacities": {"a": {"observations": 4}}},
            fingerprint="0" * 64,
            method_version=1,
            issued_at=timezone.now(),
        )
        for athlete in _athletes(world, count)
    )


def attempts(world: World, count: int) -> list[Attempt]:
    now = timezone.now()
    return Attempt.objects.bulk_create(
        Attempt(
            org_id=required_org(),
            session=world.session,
            athlete_id=given.athlete_id,
            prescription=given,
            kind="totals",
            as_sent=TOTALS,
            elapsed_s=600.0 + number,
            performed_at=now - dt.timedelta(minutes=number),
            zone="Europe/Lisbon",
            local_date=now.date(),
            sent_by=world.cast.coach.person,
        )
        for number, given in enumerate(prescriptions(world, count))
    )


def reviews(world: World, count: int) -> list[Review]:
    finding = {"code": "too_few_repetitions", "detail": "The log stops short."}
    return Review.objects.bulk_create(
        Review(org_id=required_org(), attempt=attempt, findings=[finding])
        for attempt in attempts(world, count)
    )


def scores(world: World, count: int) -> list[OfficialScore]:
    rows = [review.attempt for review in reviews(world, count)]
    return OfficialScore.objects.bulk_create(
        OfficialScore(
            org_id=required_org(),
            session=world.session,
            athlete_id=attempt.athlete_id,
            attempt=attempt,
            rules_version=1,
            score_s=660.0 + number,
            elapsed_s=600.0 + number,
            repetitions=140,
            repetitions_by_work={"a": 60, "b": 80},
            breaks=3,
            penalty_s=60.0,
            state="finished",
            computed_at=timezone.now(),
        )
        for number, attempt in enumerate(rows)
    )


def day_changes(world: World, count: int) -> list[DayChange]:
    return DayChange.objects.bulk_create(
        DayChange(
            org_id=required_org(),
            session=world.session,
            athlete=athlete,
            kind=SORE,
            hazards=["neck"],
            made_by_id=world.cast.coach.person.id,
        )
        for athlete in _athletes(world, count)
    )


def changes(world: World, count: int) -> None:
    Change.objects.all().delete()
    record_changes(kind="ranking", subjects=[uuid4() for _ in range(count)])


def counted(world: World, path: str) -> tuple[int, Any]:
    """(number of queries, body) of a GET by the coach."""
    with CaptureQueriesContext(connection) as queries:
        response = ApiClient(world.cast.coach.token).get(f"/api/v1/organisations/{world.cast.org.id}/{path}")
    assert response.status_code == 200
    return len(queries), json.loads(response.content)


@pytest.mark.django_db
@pytest.mark.parametrize("fill", [attempts, prescriptions, reviews], ids=lambda fill: fill.__name__)
def test_a_list_costs_the_same_for_three_rows_and_thirty(fill: Callable[[World, int], list[Any]]) -> None:
    """The number of queries does not grow with the number of rows."""
    found = []
    for count in (3, 30):
        world = make_world()
        with world.cast.inside():
            fill(world, count)
        queries, body = counted(world, fill.__name__)
        assert len(body["items"]) == count
        found.append(queries)
    assert found[0] == found[1]


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["day-changes", "changes"])
def test_what_waits_and_what_is_different_cost_the_same_too(what: str) -> None:
    """The changes of a session's day, and what is not recomputed yet."""
    found = []
    for count in (3, 30):
        world = make_world()
        with world.cast.inside():
            (day_changes if what == "day-changes" else changes)(world, count)
        path = f"scheduled-sessions/{world.session.id}/day-changes" if what == "day-changes" else what
        queries, body = counted(world, path)
        assert len(body["items"]) == count
        found.append(queries)
    assert found[0] == found[1]


@pytest.mark.django_db
def test_a_ranking_costs_the_same_for_three_rows_and_thirty() -> None:
    """Both to work it out and to read it."""
    found = []
    for count in (3, 30):
        world = make_world()
        with world.cast.inside():
            scores(world, count)
            with CaptureQueriesContext(connection) as working:
                rank_session(session_id=world.session.id, now=timezone.now())
        queries, body = counted(world, f"scheduled-sessions/{world.session.id}/ranking")
        assert len(body["official"]) == count
        found.append((len(working), queries))
    assert found[0] == found[1]
