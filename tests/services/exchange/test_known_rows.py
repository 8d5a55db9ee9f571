"""A row that is there already with another content is refused: passed over as a duplicate it would be lost."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.models import Assessment
from programming.actions.sessions import schedule_session
from scoring.models import Attempt
from services.exchange.known import OTHER
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def outcomes(world: World, kind: str, csv: str, **body: Any) -> list[str]:
    """Of each row its outcome; of an invalid one the first problem."""
    client = ApiClient(world.cast.coach.token)
    made = client.post(url(world, "imports"), {"kind": kind, "csv": csv, **body}).json()
    drain(world.cast)
    rows = client.get(url(world, f"imports/{made['id']}/rows")).json()["items"]
    return [row["problems"][0]["detail"] if row["problems"] else row["outcome"] for row in rows]


def test_of_athletes(world: World) -> None:
    """Another name is another athlete; a column that is not there says nothing."""
    assert outcomes(world, "athletes", "client_id,name,location,sex\na,Ruta,Harbour,female\n") == ["created"]
    again = "client_id,name,location,sex\na,Ruta,Harbour,female\na,Ruta,Harbour,male\na,Ines,Harbour,female\n"
    assert outcomes(world, "athletes", again) == ["duplicate", OTHER, OTHER]
    assert outcomes(world, "athletes", "client_id,name,location\na,Ruta,Harbour\n") == ["duplicate"]


def test_of_tests(world: World) -> None:
    """By the id of an export: other repetitions, another variation, somebody else."""
    ruta, ines = add_athlete(world, "Ruta", 61.0, {"row_45": 12}), add_athlete(world, "Ines", 70.0)
    with world.cast.inside():
        row = Assessment.objects.get()
    at = row.performed_at.isoformat()
    lines = [
        f"{row.id},{ruta.id},row_45,12,{at}",
        f"{row.id},{ruta.id},row_45,14,{at}",
        f"{row.id},{ruta.id},row_60,12,{at}",
        f"{row.id},{ines.id},row_45,12,{at}",
    ]
    head = "client_id,athlete,variation,repetitions,performed_at,kind\n"
    csv = head + "".join(f"{line},to_failure\n" for line in lines)
    assert outcomes(world, "tests", csv) == ["duplicate", OTHER, OTHER, OTHER]


def test_of_results(world: World) -> None:
    """Another time, another athlete; the result itself is as it was."""
    ruta, ines = add_athlete(world, "Ruta", 61.0), add_athlete(world, "Ines", 70.0)
    with world.cast.inside():
        past = schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() - dt.timedelta(days=7),
        )
    head = "client_id,athlete,session,elapsed,repetitions:a,repetitions:b\n"
    assert outcomes(world, "results", f"{head}r,{ruta.id},{past.id},900,60,80\n") == ["created"]
    lines = [f"r,{who.id},{past.id},{s},60,80\n" for who, s in ((ruta, 900), (ruta, 901), (ines, 900))]
    assert outcomes(world, "results", head + "".join(lines)) == ["duplicate", OTHER, OTHER]
    with world.cast.inside():
        assert Attempt.objects.get().elapsed_s == 900.0


def test_a_weighing_of_today_is_one(world: World) -> None:
    """Its instant is made of the date and of now, and so another one each time it is sent."""
    add_athlete(world, "Ruta")
    today = timezone.now().date().isoformat()
    csv = f"athlete,date,body_mass\nRuta,{today},61\n"
    assert outcomes(world, "weighings", csv) == ["created"]
    assert outcomes(world, "weighings", csv + "\n") == ["duplicate"]
