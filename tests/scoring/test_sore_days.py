"""Hours from a result to the next prescription: far more than usual, and what is seen and foreseen after it."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

import pytest
from django.utils import timezone

from athletes.models import Observation, WorkDone
from athletes.moments import moment_of
from tests.scoring.sessions import block, document, place, work
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

HOUR = dt.timedelta(hours=1)
WHO = "Nia Moor"
ZONE = "Europe/Lisbon"


def squats(count: int) -> dict[str, Any]:
    item = work("s", "squat", "goblet_squat", variations=["goblet_squat"], load_kg=16, repetitions=count)
    return document(f"Squats, {count}", block("main", item, aim=[{"kind": "time", "upper": 1700}]))


@pytest.fixture
def world(db: None) -> World:
    """Twenty squats to failure a week ago: that is also all that is usual."""
    world = make_world()
    add_athlete(world, WHO, 68.0, {"goblet_squat": 20})
    drain(world.cast)
    return world


def send(world: World, coach: ApiClient, when: dt.datetime, sets: list[tuple[int, str]]) -> None:
    """A result of a session of that hour: these sets of goblet squats with 16 kg."""
    session = place(world, squats(sum(count for count, _ in sets)), when - timezone.now())
    told = [
        {"work": "s", "variation": "goblet_squat", "load_kg": 16, "repetitions": count, "ended_by": ended_by}
        for count, ended_by in sets
    ]
    sent = coach.post(
        url(world, "attempts"),
        {
            "session": str(session.id),
            "athlete": str(world.athletes[WHO].id),
            "performed_at": when.isoformat(),
            "set_log": {"sets": told, "elapsed_s": 1500.0},
        },
    )
    assert sent.status_code == 201, sent.json()
    drain(world.cast)


HARD = [(10, "planned")] * 15
SIX = [(6, "failure")]


def today(world: World, coach: ApiClient) -> dict[str, Any]:
    """The capacity in goblet squats with 16 kg, as anybody reads it now."""
    of = f"athletes/{world.athletes[WHO].id}/capacities/{world.variation('goblet_squat')}?load_kg=16"
    answer = coach.get(url(world, of))
    assert answer.status_code == 200, answer.json()
    found: dict[str, Any] = answer.json()
    return found


def prescribed(world: World, coach: ApiClient, session: UUID) -> float:
    """The one-repetition maximum in kg that the athlete's present prescription of a session rests on."""
    path = f"prescriptions?session={session}&athlete={world.athletes[WHO].id}"
    rows = [row for row in coach.get(url(world, path)).json()["items"] if row["superseded_by"] is None]
    assert len(rows) == 1
    row = coach.get(url(world, f"prescriptions/{rows[0]['id']}")).json()
    median: float = row["basis"]["capacities"]["s"]["one_rm_kg"]["median"]
    return median


def test_six_a_day_after_a_hundred_and_fifty(world: World, coach: ApiClient) -> None:
    """26 hours after 150 the six tell of the day: low today, foreseen as low tonight, over six days later."""
    now = timezone.now()
    tonight, next_week = (place(world, squats(30), wait) for wait in (2 * HOUR, 6 * 24 * HOUR))
    drain(world.cast)
    rested = today(world, coach)["repetitions"]["p50"]
    before = [prescribed(world, coach, session.id) for session in (tonight, next_week)]
    assert before[0] == pytest.approx(before[1], rel=0.01)

    send(world, coach, now - 27 * HOUR, HARD)
    send(world, coach, now - 1 * HOUR, SIX)

    sore = today(world, coach)
    assert "sore_day" in sore["notes"]
    assert sore["repetitions"]["p50"] < rested / 2
    low, again = (prescribed(world, coach, session.id) for session in (tonight, next_week))
    assert low < 0.9 * before[0]
    assert again > 0.95 * before[1]


def test_two_sessions_of_one_day_are_two(world: World, coach: ApiClient) -> None:
    """150 at eight and six at six in the evening of the same day: the six is of a sore athlete, not a weak one."""
    yesterday = moment_of(timezone.now(), ZONE).day - dt.timedelta(days=1)
    morning, evening = (
        timezone.make_aware(dt.datetime.combine(yesterday, dt.time(hour)), timezone.get_fixed_timezone(0))
        for hour in (8, 18)
    )
    next_week = place(world, squats(30), 6 * 24 * HOUR)
    drain(world.cast)
    before = prescribed(world, coach, next_week.id)

    send(world, coach, morning, HARD)
    send(world, coach, evening, SIX)

    with world.cast.inside():
        hours = [moment_of(instant, ZONE).hour for instant in (morning, evening)]
        done = WorkDone.objects.filter(source="attempt").order_by("hour")
        assert list(done.values_list("local_date", "hour", "repetitions")) == [
            (yesterday, hours[0], 150.0),
            (yesterday, hours[1], 6.0),
        ]
        seen = Observation.objects.filter(source="attempt").order_by("hour")
        assert list(seen.values_list("hour", "kind")) == [(hours[0], "at_least"), (hours[1], "to_failure")]
    assert prescribed(world, coach, next_week.id) > 0.95 * before


def test_a_bad_set_without_cause_is_believed(world: World, coach: ApiClient) -> None:
    """The same six with nothing before it: the capacity falls, and stays lower."""
    next_week = place(world, squats(30), 6 * 24 * HOUR)
    drain(world.cast)
    before = prescribed(world, coach, next_week.id)
    send(world, coach, timezone.now() - 1 * HOUR, SIX)
    assert "sore_day" not in today(world, coach)["notes"]
    assert prescribed(world, coach, next_week.id) < 0.9 * before


def test_a_session_ten_hours_later_is_prescribed_for_the_hour(world: World, coach: ApiClient) -> None:
    """Right after the 150 they are fatigue of the session, ten hours later soreness."""
    soon, later = (place(world, squats(30), wait) for wait in (HOUR, 9 * HOUR))
    drain(world.cast)
    before = prescribed(world, coach, later.id)
    send(world, coach, timezone.now() - HOUR, HARD)
    assert prescribed(world, coach, soon.id) == pytest.approx(before, rel=0.02)
    assert prescribed(world, coach, later.id) < 0.9 * before
