from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url


@pytest.fixture
def world(db: None) -> World:
    """A session at the harbour in an hour, and nobody yet."""
    return make_world(starts_in=dt.timedelta(hours=1))


@pytest.fixture
def prescribed(world: World) -> World:
    """Two who are known, and one whose body mass is missing."""
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 18, "goblet_squat": 26})
    add_athlete(world, "Otis Marsh")
    drain(world.cast)
    return world


def result_of(world: World, name: str, *, last: int = 40, **fields: object) -> dict[str, Any]:
    """By the rules: 640 s on the clock and two breaks of 20 s; with `last` below 40 repetitions are missing."""
    squat = {"work": "b", "variation": "goblet_squat", "load_kg": 16, "ended_by": "planned"}
    row = {"work": "a", "variation": "row_45", "ended_by": "planned"}
    sets = [
        {**row, "repetitions": 30, "rir": 1},
        {**squat, "repetitions": 40},
        {**row, "repetitions": 30},
        {**squat, "repetitions": last},
    ]
    when = timezone.now() - dt.timedelta(minutes=5)
    return {
        "session": str(world.session.id),
        "athlete": str(world.athletes[name].id),
        "performed_at": when.isoformat(),
        "set_log": {"sets": sets, "elapsed_s": 640.0},
        **fields,
    }


def send(world: World, body: dict[str, Any]) -> dict[str, Any]:
    answer = ApiClient(world.cast.coach.token).post(url(world, "attempts"), body)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    sent: dict[str, Any] = answer.json()
    return sent


def reported(world: World, name: str, **told: Any) -> str:
    """Pain that staff reported of an athlete; the id of the report."""
    told = told or {"kind": "pain", "site": "knee", "side": "left", "severity": 4, "note": "On the stairs."}
    path = url(world, f"athletes/{world.athletes[name].id}/reports")
    answer = ApiClient(world.cast.coach.token).post(path, told)
    assert answer.status_code == 201, answer.content
    return str(answer.json()["id"])
