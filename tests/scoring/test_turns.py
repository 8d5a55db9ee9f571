"""Reach checks at once: one of an organisation, few of the service, and nobody waits for a turn."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connections

from programming.plans import SessionPlan
from scoring import turns
from scoring.api import reach_views
from scoring.reach import Person, Tried
from services.changes.models import Change
from tests.scoring.test_reach import FLOOR_ONLY, body, long_session, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, make_world

PATIENCE_S = 60.0


def ask(world: World, draft: dict[str, Any] = FLOOR_ONLY, **fields: object) -> Any:
    return ApiClient(world.cast.coach.token).post(url(world), body(world, draft, **fields))


def ask_apart(world: World) -> Any:
    """Over a connection of the thread's own."""
    try:
        return ask(world)
    finally:
        connections.close_all()


@pytest.fixture
def worlds(committed: None) -> Iterator[list[World]]:
    made = [make_world() for _ in range(3)]
    yield made
    for world in made:
        with world.cast.inside():  # what stays due would be sent in the tests of the relay
            Change.objects.all().delete()


@contextmanager
def under_way(worlds: Sequence[World], monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], list[Any]]]:
    """Reach checks that go on, one of each organisation, until the call that returns their answers."""
    begun, go_on = threading.Semaphore(0), threading.Event()
    try_on = reach_views.try_on

    def late(plan: SessionPlan, people: Sequence[Person]) -> list[Tried]:
        if threading.current_thread() is not threading.main_thread():
            begun.release()
            assert go_on.wait(PATIENCE_S), "nobody lets it go on"
        return try_on(plan, people)

    monkeypatch.setattr(reach_views, "try_on", late)
    with ThreadPoolExecutor(len(worlds)) as pool:
        sent: list[Future[Any]] = [pool.submit(ask_apart, world) for world in worlds]

        def answers() -> list[Any]:
            go_on.set()
            return [one.result(PATIENCE_S) for one in sent]

        try:
            for _ in sent:
                assert begun.acquire(timeout=PATIENCE_S), "it never came to working it out"
            yield answers
        finally:
            go_on.set()


def test_an_organisation_has_one_at_a_time(worlds: list[World], monkeypatch: pytest.MonkeyPatch) -> None:
    """Told when to come again; another one has its own turn, and after the answer the turn is free."""
    mine, other, _ = worlds
    with under_way([mine], monkeypatch) as answers:
        refused = ask(mine)
        assert_problem(refused, "reach_check_running", 429)
        assert int(refused.headers["Retry-After"]) == turns.RETRY_AFTER_S
        assert ask(other).status_code == 200
        assert [one.status_code for one in answers()] == [200]
    assert ask(mine).status_code == 200


def test_the_service_has_few_at_a_time(worlds: list[World], monkeypatch: pytest.MonkeyPatch) -> None:
    """A third organisation is told that it is the service that has no room, and holds no turn of its own then."""
    assert len(worlds) == turns.AT_ONCE + 1
    *others, mine = worlds
    with under_way(others, monkeypatch) as answers:
        for _ in range(2):
            refused = ask(mine)
            problem = assert_problem(refused, "unavailable", 503)
            assert "2 reach checks at once" in problem["detail"]
            assert int(refused.headers["Retry-After"]) == turns.RETRY_AFTER_S
        assert [one.status_code for one in answers()] == [200, 200]
    assert ask(mine).status_code == 200


def test_what_cannot_be_tried_takes_no_turn(worlds: list[World], monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the document is told at once, whoever is working something out."""
    mine = worlds[0]
    with under_way([mine], monkeypatch):
        wrong = {**FLOOR_ONLY, "blocks": []}
        assert ask(mine, wrong).status_code == 400


@pytest.mark.django_db
def test_why_nobody_can_be_tried_is_said() -> None:
    """36 items are all that one answer looks at for six people, by hand: 8 M / (36 x 20 000) - 12 is below none."""
    world = make_world()
    draft = long_session(12, 1)
    (first,) = draft["blocks"]
    draft["blocks"] = [
        {**first, "key": name, "work": [{**one, "key": f"{name}{one['key']}"} for one in first["work"]]}
        for name in ("x", "y", "z")
    ]
    add_athlete(world, "Bruna Keel", 62.0)
    problem = assert_problem(ask(world, draft, with_athletes=True), "too_many_athletes", 422)
    assert problem["detail"].startswith("With 36 work items the typical athletes take all")
    assert "leave the others out" in problem["detail"] and " 0 " not in problem["detail"]


@pytest.mark.django_db
def test_that_nobody_is_there_is_said() -> None:
    """At a place without athletes, and to staff who see none of them, with what to do."""
    world = make_world()
    told = ask(world, with_athletes=True).json()
    assert "you see no active athlete who trains at this location" in told["sentences"][-1]
    assert "name those whom you mean" in told["sentences"][-1]
    assert told["sentences"][:-1] == ask(world).json()["sentences"]
