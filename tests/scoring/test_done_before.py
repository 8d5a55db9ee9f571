"""Work that no capacity tells of: what was logged of it is done before, and the next time it is as written."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from scoring.done_before import done_before
from scoring.models import Prescription
from tests.scoring.sessions import block, document, place, work
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, world_of

WHO = "Ada Reed"
DAY = dt.timedelta(days=1)


@pytest.fixture
def world(db: None) -> World:
    return world_of(WHO, 64.0)


def burpees(title: str, *, starts_in: dt.timedelta, world: World) -> Any:
    item = work("b", "burpee", "burpee", repetitions=20)
    return place(world, document(title, block("main", item, aim=[{"kind": "time", "upper": 600}])), starts_in)


def prescribed(world: World, session: Any) -> tuple[str, bool]:
    """(variation, whether it says that it begins easier) of the newest prescription."""
    with world.cast.inside():
        row = Prescription.objects.filter(session=session, athlete=world.athletes[WHO]).latest("number")
        (told,) = row.content["work"]
        codes = {reason["code"] for reason in row.content["reasons"]}
        return told["variation"], "begins_easier" in codes


def send(world: World, session: Any, *sets: tuple[str, int, str], elapsed_s: float = 90.0) -> dict[str, Any]:
    told = [
        {"work": "b", "variation": variation, "repetitions": count, "ended_by": ended_by}
        for variation, count, ended_by in sets
    ]
    sent = ApiClient(world.cast.coach.token).post(
        f"/api/v1/organisations/{world.cast.org.id}/attempts",
        {
            "session": str(session.id),
            "athlete": str(world.athletes[WHO].id),
            "performed_at": (timezone.now() - DAY).isoformat(),
            "set_log": {"sets": told, "elapsed_s": elapsed_s},
        },
    )
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    answer: dict[str, Any] = sent.json()
    return answer


@pytest.mark.parametrize(
    ("sets", "elapsed_s", "expected"),
    [
        ((("burpee", 20, "planned"),), 90.0, ("burpee", False)),
        ((("burpee_step", 20, "planned"),), 90.0, ("burpee_step", True)),
        ((("burpee", 0, "failure"),), 90.0, ("burpee_step", True)),
        # Twenty in two seconds: nobody believes it before somebody has looked at it.
        ((("burpee", 20, "planned"),), 2.0, ("burpee_step", True)),
    ],
)
def test_what_was_logged_decides_what_comes_next(
    world: World, sets: Any, elapsed_s: float, expected: tuple[str, bool]
) -> None:
    first = burpees("Burpees", starts_in=-DAY, world=world)
    second = burpees("Burpees again", starts_in=2 * DAY, world=world)
    drain(world.cast)
    assert prescribed(world, second) == ("burpee_step", True)

    send(world, first, *sets, elapsed_s=elapsed_s)

    assert prescribed(world, second) == expected


def test_it_costs_one_query_for_one_athlete_and_for_many(world: World) -> None:
    session = burpees("Burpees", starts_in=-DAY, world=world)
    drain(world.cast)
    send(world, session, ("burpee", 20, "planned"))
    other = add_athlete(world, "Tom Hale", 80.0, {"row_45": 12})
    ada = world.athletes[WHO]
    row, burpee = world.variation("row_45"), world.variation("burpee")
    with world.cast.inside(), CaptureQueriesContext(connection) as queries:
        found = done_before([ada.id, other.id])
    assert {id_: one.variations for id_, one in found.items()} == {ada.id: {burpee}, other.id: {row}}
    assert len(queries) == 1


def test_the_heaviest_load_that_was_done_is_known(world: World) -> None:
    """Of two sets with one load and one with another the heavier; nothing of what was done without; one query."""
    clean = document(
        "Cleans",
        block(
            "main",
            work("b", "kettlebell_clean", "kettlebell_clean", repetitions=20, load_kg=24),
            aim=[{"kind": "time", "upper": 900}],
        ),
    )
    session = place(world, clean, -DAY)
    drain(world.cast)
    ada = world.athletes[WHO].id
    sets = [
        {"work": "b", "variation": "kettlebell_clean", "repetitions": 5, "ended_by": "planned", "load_kg": kg}
        for kg in (8, 16, 8)
    ]
    sent = ApiClient(world.cast.coach.token).post(
        f"/api/v1/organisations/{world.cast.org.id}/attempts",
        {
            "session": str(session.id),
            "athlete": str(ada),
            "performed_at": (timezone.now() - DAY).isoformat(),
            "set_log": {"sets": sets, "elapsed_s": 300.0},
        },
    )
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    kettlebell = world.variation("kettlebell_clean")
    with world.cast.inside(), CaptureQueriesContext(connection) as queries:
        found = done_before([ada])[ada].heaviest
    assert found == {kettlebell: 16.0}
    assert len(queries) == 1
