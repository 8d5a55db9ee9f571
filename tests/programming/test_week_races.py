"""Two copies into one week at the same moment, over two connections."""

from __future__ import annotations

import datetime as dt
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from zoneinfo import ZoneInfo

import pytest
from django.db import connection

from programming.actions import weeks
from programming.actions.sessions import move_session
from programming.actions.weeks import Copy, Weeks, copy_week
from programming.models import ScheduledSession
from services.changes.models import Change
from services.tenancy.actor import Actor
from services.tenancy.models import Location
from tests.programming.support import placed, published, stocked
from tests.support.cast import Cast, make_cast, make_location

pytestmark = pytest.mark.usefixtures("committed")

BERLIN = ZoneInfo("Europe/Berlin")
FIRST, SECOND, THIRD = (dt.date(2030, 6, 3) + dt.timedelta(weeks=n) for n in range(3))
PATIENCE_S = 20.0


@pytest.fixture
def apart(committed: None) -> Iterator[tuple[Cast, Location]]:
    """An organisation of its own, with the same Monday evening in two weeks."""
    cast = make_cast()
    stocked(cast)
    with cast.inside():
        hall = make_location(cast.org, "Hall", "Europe/Berlin")
        revision = published(cast)
        for monday in (FIRST, SECOND):
            placed(cast, revision, hall, dt.datetime.combine(monday, dt.time(18), tzinfo=BERLIN))
    yield cast, hall
    with cast.inside():  # what stays due would be sent in the tests of the relay
        Change.objects.all().delete()


def copied(cast: Cast, hall: Location, start: dt.date) -> list[Copy]:
    try:
        with cast.inside():
            return copy_week(actor=cast.coach.actor, from_week=start, to_week=THIRD, location_id=hall.id)
    finally:
        connection.close()


def after(begin: threading.Event, cast: Cast, hall: Location) -> list[Copy]:
    assert begin.wait(PATIENCE_S), "the first copy never came to writing"
    return copied(cast, hall, SECOND)


def wait_until_the_other_waits(other: Future[list[Copy]]) -> None:
    """Until the other copy asks for a lock that is taken, or is through without asking."""
    deadline = time.monotonic() + PATIENCE_S
    while not other.done():
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND NOT granted")
            if cursor.fetchone()[0]:
                return
        assert time.monotonic() < deadline, "the other copy neither waits nor ends"
        time.sleep(0.01)


def moved(cast: Cast, session: ScheduledSession, moving: threading.Event, go_on: threading.Event) -> None:
    """The session moved into the third week, not yet committed until the copy waits."""
    try:
        with cast.inside():
            start = dt.datetime.combine(THIRD, dt.time(7), tzinfo=BERLIN)
            move_session(actor=cast.coach.actor, session=session, version=1, starts_at=start)
            moving.set()
            assert go_on.wait(PATIENCE_S), "the copy neither waits nor ends"
    finally:
        connection.close()


def test_a_copy_waits_for_what_is_being_moved_into_its_week(apart: tuple[Cast, Location]) -> None:
    """A copy of the Monday on its way into the third week: copied there at the same moment it is found."""
    cast, hall = apart
    with cast.inside():
        fourth = THIRD + dt.timedelta(weeks=1)
        (copy,) = copy_week(actor=cast.coach.actor, from_week=FIRST, to_week=fourth, location_id=hall.id)
        session = ScheduledSession.objects.get(id=copy.session_id)
    moving, go_on = threading.Event(), threading.Event()
    with ThreadPoolExecutor(2) as pool:
        mover = pool.submit(moved, cast, session, moving, go_on)
        try:
            assert moving.wait(PATIENCE_S), "it never moved"
            mine = pool.submit(copied, cast, hall, FIRST)
            wait_until_the_other_waits(mine)
        finally:
            go_on.set()
        mover.result(PATIENCE_S)
        (found,) = mine.result(PATIENCE_S)
    assert (found.outcome, found.session_id) == ("there_already", session.id)


def test_two_weeks_into_one_slot_make_one_session(
    apart: tuple[Cast, Location], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Different weeks, so no origin comes twice: the second finds the slot taken by what the first stored."""
    cast, hall = apart
    store, begin = weeks._store, threading.Event()
    first_thread = threading.get_ident()

    with ThreadPoolExecutor(1) as pool:
        other = pool.submit(after, begin, cast, hall)

        def late(actor: Actor, planned: Sequence[Copy], target: Weeks) -> list[Copy]:
            if threading.get_ident() == first_thread:
                begin.set()
                wait_until_the_other_waits(other)
            return store(actor, list(planned), target)

        monkeypatch.setattr(weeks, "_store", late)
        mine = copied(cast, hall, FIRST)
        theirs = other.result(PATIENCE_S)

    assert [(copy.outcome, copy.reason) for copy in mine] == [("made", "")]
    assert [(copy.outcome, copy.reason) for copy in theirs] == [("conflict", "time_taken")]
    with cast.inside():
        assert ScheduledSession.objects.filter(copy_week=THIRD).count() == 1
