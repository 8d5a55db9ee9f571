"""A day at more locations than are told session by session: a line each, and one of them at a time."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.athletes import create_athlete, update_athlete
from athletes.models import Athlete
from programming.actions.sessions import cancel_session, schedule_session
from programming.models import ScheduledSession
from services.console import today
from services.console.folded import Tally, in_all
from services.tenancy.actor import Role
from services.tenancy.models import Location
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.support.world import World, add_athlete, drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def folding(world: World, monkeypatch: pytest.MonkeyPatch) -> World:
    """One location is told whole, no more; the mill has a session beside the harbour's."""
    monkeypatch.setattr(today, "MOST_WHOLE", 1)
    placed(world, world.cast.mill)
    return world


def placed(world: World, location: Location, **later: Any) -> ScheduledSession:
    with world.cast.inside():
        return schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=location.id,
            starts_at=world.session.starts_at + dt.timedelta(**later),
        )


def seen(world: World, role: Role = Role.COACH, **query: str) -> tuple[Seen, str]:
    day = world.session.local_date.isoformat()
    answer = browser(world.cast.members[role]).get(page(world.cast, "today"), {"date": day, **query})
    assert answer.status_code == 200
    return looked_at(answer), answer.content.decode()


def row_of(html: str, location: str) -> list[str]:
    """The cells of a location's line."""
    line = next(part for part in html.split("<tr>") if f">{location}</a>" in part)
    return [cell.partition("<")[0] for cell in line.split('<td class="figure">')[1:]]


def test_a_location_is_a_line_of_numbers_that_leads_to_its_sessions(folding: World) -> None:
    """One has a version, one was told why not, one waits; whoever they are is told at the location."""
    cast = folding.cast
    add_athlete(folding, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(folding, "Idris Vane")
    drain(cast)
    add_athlete(folding, "Otis Marsh", 80.0)
    told, html = seen(folding)
    assert row_of(html, "Harbour") == ["1", "3", "1", "2", "0", "0"]
    assert row_of(html, "Mill") == ["1", "nobody whom you see", "–", "–", "–", "–"]
    assert "2 sessions at 2 locations; 1 of 3 versions found." in told.text
    assert "Idris Vane" not in told.text and "Otis Marsh" not in told.text
    assert "Nothing on at Remote" in told.text

    day = folding.session.local_date.isoformat()
    assert f"?date={day}&location={cast.harbour.id}" in told.links
    alone, _ = seen(folding, location=str(cast.harbour.id))
    assert "1 of 3 athletes with a version" in alone.text and "none is recorded" in alone.text
    assert "Otis Marsh: not worked out yet" in alone.text
    assert "Mill" not in alone.text and "Nothing on" not in alone.text
    assert f"?date={day}" in alone.links, "back to all locations"
    after = (folding.session.local_date + dt.timedelta(days=1)).isoformat()
    assert f"?date={after}&location={cast.harbour.id}" in alone.links


def test_where_most_are_without_a_version_comes_first(folding: World) -> None:
    """By name where nobody is: the harbour stands before the mill, until somebody waits there."""
    _, html = seen(folding)
    assert html.index(">Harbour</a>") < html.index(">Mill</a>")
    with folding.cast.inside():
        create_athlete(actor=folding.cast.coach.actor, name="Mila Away", location_id=folding.cast.mill.id)
    _, html = seen(folding)
    assert html.index(">Mill</a>") < html.index(">Harbour</a>")


def test_whoever_takes_part_twice_is_counted_twice_and_nobody_in_what_is_cancelled(folding: World) -> None:
    """The page says so; of a session that was called off that there is one."""
    add_athlete(folding, "Bruna Keel", 62.0)
    placed(folding, folding.cast.harbour, minutes=30)
    _, html = seen(folding)
    assert row_of(html, "Harbour")[:2] == ["2", "2"]
    with folding.cast.inside():
        cancel_session(actor=folding.cast.coach.actor, session=folding.session)
    told, html = seen(folding)
    assert row_of(html, "Harbour")[:2] == ["1, and 1 cancelled", "1"]
    assert "counts twice" in told.text


def test_what_was_called_off_has_nobody_and_what_came_in_is_told_of_who_left(folding: World) -> None:
    """A dash where no session is left; the result of somebody who trains elsewhere by now."""
    cast = folding.cast
    add_athlete(folding, "Idris Vane", 70.0, {"row_45": 16, "goblet_squat": 24})
    drain(cast)
    send(folding, result_of(folding, "Idris Vane"))
    with cast.inside():
        (there,) = ScheduledSession.objects.filter(location=cast.mill)
        cancel_session(actor=cast.coach.actor, session=there)
        gone = Athlete.objects.get(id=folding.athletes["Idris Vane"].id)
        update_athlete(
            actor=cast.coach.actor, athlete=gone, expected=gone.version, location_id=cast.remote.id
        )
    _, html = seen(folding)
    assert row_of(html, "Mill") == ["0, and 1 cancelled", "–", "–", "–", "–", "–"]
    assert row_of(html, "Harbour")[1:5] == ["nobody whom you see", "–", "–", "1"]


def test_nobody_is_waited_for_before_versions_are_worked_out(folding: World) -> None:
    """Ten days ahead nobody is without one."""
    add_athlete(folding, "Bruna Keel", 62.0)
    for location in (folding.cast.harbour, folding.cast.mill):
        far = placed(folding, location, days=10)
    told, html = seen(folding, date=far.local_date.isoformat())
    assert row_of(html, "Harbour") == ["1", "1", "–", "–", "0", "0"]
    assert "2 sessions at 2 locations." in told.text


def test_staff_have_their_own_place_whole_and_of_another_no_number(folding: World) -> None:
    """Whom they receive by name; of the mill that there is a session."""
    with folding.cast.inside():
        create_athlete(actor=folding.cast.coach.actor, name="Mila Away", location_id=folding.cast.mill.id)
    add_athlete(folding, "Bruna Keel", 62.0)
    told, html = seen(folding, Role.LOCATION_STAFF)
    assert "Bruna Keel: not worked out yet" in told.text and "Other locations" in told.text
    assert row_of(html, "Mill") == ["1", "nobody whom you see", "–", "–", "–", "–"]
    alone, _ = seen(folding, Role.LOCATION_STAFF, location=str(folding.cast.mill.id))
    assert "Nobody whom you see takes part" in alone.text and "Mila Away" not in alone.text


def test_athletes_read_of_their_own_sessions_alone(folding: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many locations there are: nothing is folded for them, and nobody counted."""
    monkeypatch.setattr(today, "MOST_WHOLE", 0)
    cast = folding.cast
    with cast.inside():
        ayo, _ = create_athlete(actor=cast.coach.actor, name="Ayo Lindqvist", location_id=cast.harbour.id)
        update_athlete(
            actor=cast.coach.actor, athlete=ayo, expected=ayo.version, person_id=cast.athlete.person.id
        )
    told, html = seen(folding, Role.ATHLETE)
    assert told.text.count("Rows and goblet squats") == 1 and "<table" not in html
    other, _ = seen(folding, Role.ATHLETE, location=str(cast.mill.id))
    assert "that you take part in" in other.text


@pytest.mark.parametrize("asked", ["", "mill", "00000000-0000-0000-0000-000000000000"])
def test_what_is_no_location_narrows_nothing(folding: World, asked: str) -> None:
    """As on the page of athletes."""
    told, _ = seen(folding, location=asked)
    assert "Harbour" in told.text and "Mill" in told.text and "Other locations" not in told.text


def test_locations_cost_the_same_with_three_and_with_thirty(folding: World) -> None:
    """With somebody who waits at each."""
    cast, counted = folding.cast, []
    client = browser(cast.coach)
    client.get("/")  # the first of an hour notes that the token was used
    total = 2
    for count in (3, 30):
        while total < count:
            total += 1
            with cast.inside():
                place = Location.objects.create(org=cast.org, name=f"Hall {total}", zone="Europe/Lisbon")
                create_athlete(actor=cast.coach.actor, name=f"Somebody {total}", location_id=place.id)
            placed(folding, place)
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page(cast, "today"), {"date": folding.session.local_date.isoformat()})
        assert answer.content.decode().count('<th scope="row">') == count
        counted.append(len(queries))
    assert counted[0] == counted[1], counted


def test_the_page_of_today_folds_where_each_is_at_its_own_date(
    folding: World, time_machine_factory: Any
) -> None:
    """Far in the east it is tomorrow already: the line says which day it tells of."""
    cast, coach = folding.cast, folding.cast.coach
    with cast.inside():
        far = Location.objects.create(org=cast.org, name="Far Shore", zone="Pacific/Auckland")
        day = timezone.now().date() + dt.timedelta(days=3)
        evening = dt.datetime.combine(day, dt.time(22, 0), tzinfo=dt.UTC)
        for place, hours in ((far, 1), (cast.mill, -2)):
            schedule_session(
                actor=coach.actor,
                revision_id=folding.revision.id,
                location_id=place.id,
                starts_at=evening + dt.timedelta(hours=hours),
            )
    with time_machine_factory(evening):
        answer = browser(coach).get(page(cast, "today"))
    told = looked_at(answer)
    assert f"?location={far.id}" in told.links
    assert (
        f'<span class="under">{today.short_day(day + dt.timedelta(days=1))}</span>' in answer.content.decode()
    )


def test_one_of_each_is_told_as_one() -> None:
    one = Tally(sessions=1, there=1, due=1, ready=1, results=1, reviews=1)
    assert in_all([one]) == "1 session at 1 location; 1 of 1 version found; 1 result in; 1 to look at."
