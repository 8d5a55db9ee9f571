"""What is read for an athlete's open sessions: which they are, and what one that cannot be read takes with it."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from programming.models import ScheduledSession
from scoring.actions.attempts import Report, submit_attempt
from scoring.actions.desk import Desk
from tests.scoring.sessions import SWINGS, place
from tests.support.faults import poisoned_plan
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    """Two people, a session in two days and another one in three."""
    world = make_world()
    for name in ("Bruna Keel", "Nia Moor"):
        add_athlete(world, name, 62.0)
    return world


def desk(world: World, name: str = "Bruna Keel") -> Desk:
    return Desk(world.athletes[name].id, timezone.now())


def test_only_ones_own_result_closes_a_session(world: World) -> None:
    data = {"sets": [{"work": "a", "variation": "row_45", "repetitions": 9, "ended_by": "failure"}]}
    report = Report("set_log", data, {"set_log": data}, timezone.now(), None)
    with world.cast.inside():
        submit_attempt(
            actor=world.cast.coach.actor,
            session_id=world.session.id,
            athlete_id=world.athletes["Nia Moor"].id,
            report=report,
        )
        assert desk(world).session_ids() == [world.session.id]
        assert desk(world, "Nia Moor").session_ids() == []


@pytest.mark.parametrize(("hours_ago", "is_open"), [(1, True), (11, True), (13, False)])
def test_a_session_that_has_begun_is_open_for_half_a_day(world: World, hours_ago: int, is_open: bool) -> None:
    with world.cast.inside():
        began = timezone.now() - dt.timedelta(hours=hours_ago)
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=began)
        assert bool(desk(world).session_ids()) is is_open


@pytest.mark.parametrize("bad_first", [True, False])
def test_what_is_read_of_one_session_stands_for_no_other(
    world: World, bad_first: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of the two cannot be read: the other is, and the failure comes again where the first is asked for."""
    both = [world.session.id, place(world, SWINGS, dt.timedelta(days=3)).id]
    bad, good = both if bad_first else reversed(both)
    poisoned_plan(bad, monkeypatch)
    with world.cast.inside():
        read = desk(world)
        for _ in range(2):
            found = read.read({good})
            assert found is not None
            assert [plan.session_id for plan in found.plans] == [good]
            with pytest.raises(ZeroDivisionError):
                read.read({bad})
        monkeypatch.undo()
        found = read.read({good})
        assert found is not None
        assert [plan.session_id for plan in found.plans] == both
