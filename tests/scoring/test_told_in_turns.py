"""What follows from a check set is worked out in turns, and nobody waits for the athlete meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connection, connections

from athletes.models import Athlete
from scoring.actions import after_check
from scoring.actions.prescriptions import issue_prescriptions
from scoring.models import CheckSet
from scoring.turns import AT_ONCE
from services.changes.models import Change
from services.tenancy.context import tenant_transaction
from tests.scoring.test_check_sets import check_sets
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.usefixtures("committed")

WHO = "Nia Moor"
MANY = {"work": "a", "repetitions": 40, "ended_by": "failure"}


@pytest.fixture
def world(committed: None) -> Iterator[World]:
    made = make_world()
    add_athlete(made, WHO, 70.0)
    drain(made.cast)
    yield made
    with made.cast.inside():  # what stays due would be sent in the tests of the relay
        Change.objects.all().delete()


def send(world: World) -> dict[str, Any]:
    answer = ApiClient(world.cast.coach.token).post(check_sets(world, WHO), MANY)
    assert answer.status_code == 201, answer.content
    with world.cast.inside():
        assert CheckSet.objects.filter(id=answer.json()["id"]).exists()
    told: dict[str, Any] = answer.json()["next"]
    return told


def apart(do: Callable[[], Any]) -> Any:
    """Over a connection of its own, which is closed again."""

    def done() -> Any:
        try:
            return do()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(done).result(60.0)


@contextmanager
def taken(*keys: str) -> Iterator[None]:
    """Turns that other requests have meanwhile; the locks are of a session, and are given back with it."""
    with ThreadPoolExecutor(1) as pool:

        def take() -> None:
            with connection.cursor() as cursor:
                for key in keys:
                    cursor.execute("SELECT pg_advisory_lock(hashtextextended(%s, 0))", [key])

        pool.submit(take).result(60.0)
        try:
            yield
        finally:
            pool.submit(connections.close_all).result(60.0)


def test_without_a_turn_no_version_is_named_and_the_set_is_stored(world: World) -> None:
    """One of an organisation, few of the service; somebody else's is no hindrance, nor a reach check's."""
    mine = f"{world.cast.org.id}/after_check"
    of_all = [f"dosewright/after_check/{number}" for number in range(AT_ONCE)]
    for keys in ([mine], of_all):
        with taken(*keys):
            told = send(world)
        assert (told["step"], told["option"]) == ("unclear", None)
        assert "follow it as soon as it is there" in told["text"]
        with world.cast.inside():
            Change.objects.all().delete()
    with taken(of_all[0], f"{world.cast.org.id}/reach"):
        assert send(world)["option"] is not None


def test_who_works_it_out_holds_neither_athlete_nor_change(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A result of the same athlete is stored meanwhile, and asks for its recompute."""
    found: list[int] = []

    def rows_to_have() -> int:
        with tenant_transaction(world.cast.org.id):
            athletes = Athlete.objects.select_for_update(no_key=True, nowait=True)
            changes = Change.objects.select_for_update(nowait=True)
            return len(athletes.filter(id=world.athletes[WHO].id)) + len(
                changes.filter(kind="athlete", subject=world.athletes[WHO].id)
            )

    def watched(**told: Any) -> Any:
        found.append(apart(rows_to_have))
        return issue_prescriptions(**told)

    monkeypatch.setattr(after_check, "issue_prescriptions", watched)
    assert send(world)["option"] is not None
    assert found == [2]
