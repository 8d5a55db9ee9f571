"""What time alone brings about in matters of safety, and what a limit does to prescriptions."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.limitations import add_limitation, change_limitation, lift_limitation
from athletes.models import Absence, Athlete, Screening, WorkDone
from athletes.safety_due import athletes_due_for_safety
from scoring.models import Prescription
from services.changes.models import Change
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

WEEK = dt.timedelta(days=7)


def due(world: World) -> list[Any]:
    now = timezone.now()
    with world.cast.inside():
        return athletes_due_for_safety(now, now + WEEK)


def screened(world: World, athlete: Athlete, days_ago: int) -> None:
    day = timezone.now().date() - dt.timedelta(days=days_ago)
    with world.cast.inside():
        Screening.objects.create(
            org=world.cast.org,
            athlete=athlete,
            question_set=1,
            answers={},
            concern=False,
            used_to_vigorous_effort=True,
            zone=athlete.zone,
            local_date=day,
            expires_on=day + dt.timedelta(days=365),
            recorded_by=world.cast.coach.person,
        )


def looked_at(world: World, athlete: Athlete, days_ago: float) -> None:
    with world.cast.inside():
        when = timezone.now() - dt.timedelta(days=days_ago)
        Change.objects.filter(kind="athlete", subject=athlete.id).update(done_at=when)


def test_a_screening_that_expires_makes_the_athlete_due_once() -> None:
    """Due when nobody looked since the day of expiry; not before it, and not any more after the recompute."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    drain(world.cast)
    screened(world, athlete, 364)
    looked_at(world, athlete, 3)
    assert due(world) == []
    screened(world, athlete, 366)
    looked_at(world, athlete, 3)
    assert due(world) == [athlete.id]
    looked_at(world, athlete, 0)
    assert due(world) == []


def test_silence_makes_the_athlete_due_until_they_are_asked() -> None:
    """Training fifteen days before the next session: the recompute asks, and that is that."""
    world = make_world(starts_in=dt.timedelta(days=3))
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    drain(world.cast)
    assert due(world) == []
    with world.cast.inside():
        WorkDone.objects.create(
            org=world.cast.org,
            athlete=athlete,
            source="attempt",
            source_id=athlete.id,
            local_date=world.session.local_date - dt.timedelta(days=15),
            recorded_by=world.cast.coach.person,
        )
    assert due(world) == [athlete.id]
    with world.cast.inside():
        Absence.objects.create(
            org=world.cast.org,
            athlete=athlete,
            origin="silence",
            from_date=world.session.local_date - dt.timedelta(days=14),
            to_date=world.session.local_date - dt.timedelta(days=1),
            peak_volumes={},
        )
    assert due(world) == []


def test_who_has_no_session_is_not_due() -> None:
    """Nothing is prescribed, so nothing has to be asked."""
    world = make_world(starts_in=dt.timedelta(days=20))
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    screened(world, athlete, 400)
    assert due(world) == []


def test_it_costs_two_queries_for_any_number() -> None:
    """Three athletes or thirty."""
    for count in (3, 30):
        world = make_world()
        with world.cast.inside():
            made = Athlete.objects.bulk_create(
                Athlete(org=world.cast.org, name=f"A {n}", location=world.cast.harbour, zone="UTC")
                for n in range(count)
            )
        for athlete in made:
            screened(world, athlete, 400)
        with world.cast.inside(), CaptureQueriesContext(connection) as queries:
            found = athletes_due_for_safety(timezone.now(), timezone.now() + WEEK)
        assert len(found) == count
        assert len(queries) == 2


def newest(world: World, athlete: Athlete) -> Prescription:
    with world.cast.inside():
        return Prescription.objects.filter(athlete=athlete, session=world.session).latest("number")


def limits_of(row: Prescription) -> set[str]:
    return {one["reason"] for one in row.content["ruled_out"] if one["reason"].startswith("limit:")}


def test_a_limit_that_is_lifted_or_ends_before_the_session_is_issued_anew() -> None:
    """Set, shortened to the day before the session, set again, lifted: each time a new number says so."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    actor = world.cast.coach.actor
    today = timezone.now().date()
    drain(world.cast)
    numbers = [newest(world, athlete).number]
    with world.cast.inside():
        limit = add_limitation(actor=actor, athlete=athlete, hazard="knee", from_date=today)
    drain(world.cast)
    assert limits_of(newest(world, athlete)) == {"limit:knee"}
    numbers.append(newest(world, athlete).number)
    before = world.session.local_date - dt.timedelta(days=1)
    with world.cast.inside():
        limit = change_limitation(actor=actor, limitation=limit, expected=1, until_date=before)
    drain(world.cast)
    assert limits_of(newest(world, athlete)) == set()
    numbers.append(newest(world, athlete).number)
    with world.cast.inside():
        limit = change_limitation(actor=actor, limitation=limit, expected=2, until_date=None)
    drain(world.cast)
    numbers.append(newest(world, athlete).number)
    assert limits_of(newest(world, athlete)) == {"limit:knee"}
    with world.cast.inside():
        lift_limitation(actor=actor, limitation=limit, expected=3)
    drain(world.cast)
    numbers.append(newest(world, athlete).number)
    assert limits_of(newest(world, athlete)) == set()
    assert numbers == sorted(set(numbers))
