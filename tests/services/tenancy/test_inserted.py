"""Rows that are inserted by a statement of our own are those that the library would have inserted."""

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Athlete, Tiring, WorkDone
from services.tenancy.inserted import insert
from tests.support.world import World, make_world, world_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return world_of("Bruna Keel", 62.0)


def work(world: World, **fields: Any) -> WorkDone:
    usual: dict[str, Any] = {
        "org_id": world.cast.org.id,
        "athlete": world.athletes["Bruna Keel"],
        "source": "statement",
        "source_id": uuid4(),
        "local_date": dt.date(2026, 11, 2),
        "hour": 9.5,
        "repetitions": 12.0,
        "failure_repetitions": 0.0,
        "eccentric": 0.25,
        "amounts": {"distance_m": 400.5},
        "recorded_by_id": world.cast.coach.person.id,
    }
    return WorkDone(**{**usual, **fields})


def tiring(world: World, **fields: Any) -> Tiring:
    usual: dict[str, Any] = {
        "org_id": world.cast.org.id,
        "athlete": world.athletes["Bruna Keel"],
        "median": 1.25,
        "log_sd": 0.5,
        "sets": 3,
        "sessions": 2,
        "inputs": "one",
        "method_version": 1,
        "computed_at": timezone.now(),
    }
    return Tiring(**{**usual, **fields})


@pytest.mark.parametrize("count", [0, 1, 3])
def test_rows_are_as_the_library_stores_them(world: World, count: int) -> None:
    """Column by column, JSON, dates and what is not given too; in one query, none where there is nothing."""
    mine = [work(world, repetitions=float(number)) for number in range(count)]
    with world.cast.inside():
        with CaptureQueriesContext(connection) as queries:
            insert(mine)
        assert len(queries) == min(count, 1)
        for number, row in enumerate(mine):
            library = work(world, repetitions=float(number))
            WorkDone.objects.bulk_create([library])
            one, other = (WorkDone.objects.filter(id=id_).values().get() for id_ in (row.id, library.id))
            own = ("id", "source_id", "created_at")
            assert {k: v for k, v in one.items() if k not in own} == {
                k: v for k, v in other.items() if k not in own
            }
            assert abs(one["created_at"] - other["created_at"]) < dt.timedelta(minutes=10)
            assert not row._state.adding


def test_a_row_of_the_same_key_takes_what_is_written_and_keeps_the_rest(world: World) -> None:
    key, written = ("org", "athlete"), ("median", "inputs")
    with world.cast.inside():
        insert([first := tiring(world)], key=key, written=written)
        insert([tiring(world, median=1.5, inputs="two", sets=9)], key=key, written=written)
        found = Tiring.objects.get()
        assert (found.id, found.median, found.inputs, found.sets) == (first.id, 1.5, "two", 3)


def test_nothing_is_inserted_for_another_organisation(world: World) -> None:
    """The database refuses it, as of every other statement."""
    rival = make_world()
    with rival.cast.inside():
        with pytest.raises(DatabaseError, match="row-level security"), transaction.atomic():
            insert([work(world)])
        assert not WorkDone.unscoped.exists() and not Athlete.objects.exists()
