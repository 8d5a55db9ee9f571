"""The day: what each reader sees of it, and what it costs."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.group_members import add_group_members
from athletes.participation import athletes_of_session
from athletes.sessions_athletes import athletes_by_session, counts_by_session
from programming.actions.groups import create_group
from programming.actions.sessions import cancel_session, schedule_session
from programming.models import ScheduledSession
from scoring.actions.day_changes import Change, make_day_change
from services.console import day_lines
from services.console.words import day_said
from services.tenancy.actor import Role
from services.tenancy.models import Location
from tests.services.console.browse import browser, looked_at, page
from tests.support.cast import Cast, make_organisation
from tests.support.world import World, add_athlete, drain

pytestmark = pytest.mark.django_db
A_DAY = dt.timedelta(days=1)


def drop_in(world: World, name: str, session: ScheduledSession) -> None:
    make_day_change(
        actor=world.cast.coach.actor,
        session=session,
        athlete_id=world.athletes[name].id,
        change=Change(kind="drop_in"),
        now=timezone.now(),
    )


def seen(world: World, role: Role = Role.COACH, **query: str) -> Any:
    day = world.session.local_date.isoformat()
    answer = browser(world.cast.members[role]).get(page(world.cast, "today"), {"date": day, **query})
    assert answer.status_code == 200
    return looked_at(answer)


def test_a_session_stands_at_its_place_and_by_its_clock(world: World) -> None:
    """Time of the location's zone, title with a link to the session."""
    told = seen(world)
    assert "Harbour" in told.text and "Rows and goblet squats, turn about" in told.text
    local = world.session.starts_at.astimezone(ZoneInfo("Europe/Lisbon"))
    assert f"{local:%H:%M}" in told.text
    assert page(world.cast, f"sessions/{world.session.id}") in told.links
    assert "Nothing on at Mill, Remote" in told.text


def test_who_has_no_version_stands_there_with_the_reason(world: World) -> None:
    """Nobody's squat can be loaded without a body mass; who came in a moment ago is not worked out yet."""
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Idris Vane")
    drain(world.cast)
    add_athlete(world, "Otis Marsh", 80.0)
    told = seen(world)
    assert "1 of 3 athletes with a version" in told.text
    assert "Idris Vane: " in told.text and "none is recorded" in told.text
    assert "Otis Marsh: not worked out yet" in told.text
    assert "Bruna Keel" not in told.text


def test_the_day_of_a_location_is_its_own(world: World, time_machine_factory: Any) -> None:
    """At 10 or 11 in the evening of Lisbon it is the next day in Auckland already."""
    cast = world.cast
    with cast.inside():
        far = Location.objects.create(org=cast.org, name="Far Shore", zone="Pacific/Auckland")
        day = timezone.now().date() + 3 * A_DAY
        evening = dt.datetime.combine(day, dt.time(22, 0), tzinfo=dt.UTC)
        placed = schedule_session(
            actor=cast.coach.actor,
            revision_id=world.revision.id,
            location_id=far.id,
            starts_at=evening + dt.timedelta(hours=1),
        )
        assert placed.local_date == day + A_DAY
    with time_machine_factory(evening):
        told = looked_at(browser(cast.coach).get(page(cast, "today")))
    assert f"Today, {day_said(day)}" in told.text
    assert f"Far Shore, {day_said(day + A_DAY)}" in told.text


def test_an_empty_day_says_what_to_do_next(world: World) -> None:
    """Where something is coming, when; where nothing is, how sessions get there; athletes read that a coach does."""
    earlier = (world.session.local_date - A_DAY).isoformat()
    told = seen(world, date=earlier)
    assert "Nothing is on the calendar" in told.text
    assert f"?date={world.session.local_date.isoformat()}" in told.links
    after = (world.session.local_date + 40 * A_DAY).isoformat()
    none = seen(world, date=after)
    assert "A coach places sessions" in none.text
    assert none.links.count(page(world.cast, "write")) == 2, "at the top of the page, and where nothing is"
    assert "Your coach places sessions" in seen(world, Role.ATHLETE, date=after).text


def test_athletes_see_their_own_sessions_alone(world: World) -> None:
    """Not those in which they do not take part, no list of what is to be looked at, and nobody else's name."""
    cast = world.cast
    add_athlete(world, "Bruna Keel", 62.0)
    assert "Rows and goblet squats" not in seen(world, Role.ATHLETE).text
    with cast.inside():
        ayo, _ = create_athlete(actor=cast.coach.actor, name="Ayo Lindqvist", location_id=cast.harbour.id)
        update_athlete(
            actor=cast.coach.actor, athlete=ayo, expected=ayo.version, person_id=cast.athlete.person.id
        )
    told = seen(world, Role.ATHLETE)
    assert "Rows and goblet squats" in told.text
    assert "1 athlete" in told.text and "Bruna Keel" not in told.text
    assert "To look at" not in told.text and "to look at" not in told.text


def test_staff_of_a_location_see_whom_they_receive(world: World) -> None:
    """Their own place first; of another one the session, but nobody's name."""
    cast = world.cast
    add_athlete(world, "Bruna Keel", 62.0)
    with cast.inside():
        create_athlete(actor=cast.coach.actor, name="Mila Away", location_id=cast.mill.id)
        schedule_session(
            actor=cast.coach.actor,
            revision_id=world.revision.id,
            location_id=cast.mill.id,
            starts_at=world.session.starts_at,
        )
    told = seen(world, Role.LOCATION_STAFF)
    assert told.text.index("Harbour") < told.text.index("Mill")
    assert "Bruna Keel" in told.text and "Mila Away" not in told.text
    assert "Mila Away" in seen(world).text


def test_a_cancelled_session_is_called_so(world: World) -> None:
    """It does not vanish; nobody is said to lack a version of it."""
    add_athlete(world, "Bruna Keel", 62.0)
    with world.cast.inside():
        cancel_session(actor=world.cast.coach.actor, session=world.session)
    told = seen(world)
    assert "Cancelled." in told.text and "Bruna Keel" not in told.text


def test_before_seven_days_it_says_from_when_on(world: World) -> None:
    """Nobody waits for what is not due: ten days ahead, the versions come in three."""
    cast = world.cast
    add_athlete(world, "Bruna Keel", 62.0)
    with cast.inside():
        far = schedule_session(
            actor=cast.coach.actor,
            revision_id=world.revision.id,
            location_id=cast.harbour.id,
            starts_at=timezone.now() + 10 * A_DAY,
        )
    told = seen(world, date=far.local_date.isoformat())
    assert "Prescriptions are worked out from" in told.text and "Bruna Keel" not in told.text


@pytest.mark.parametrize("day", ["yesterday", "2030-02-30", "0001-01-01", "9999-12-31", "2030-1-1"])
def test_what_is_no_day_is_refused_with_the_form(cast: Cast, day: str) -> None:
    """400, and what to write."""
    answer = browser(cast.coach).get(page(cast, "today"), {"date": day})
    assert answer.status_code == 400
    assert "2030-01-31" in looked_at(answer).text


def test_names_are_escaped(world: World) -> None:
    """Whatever an athlete or a location is called, it is text."""
    add_athlete(world, "<script>alert(1)</script> & Co", 62.0)
    answer = browser(world.cast.coach).get(
        page(world.cast, "today"), {"date": world.session.local_date.isoformat()}
    )
    assert b"<script>alert" not in answer.content
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; Co" in answer.content.decode()


def test_outsiders_get_404_and_other_organisations_are_not_mixed(world: World) -> None:
    """Whether there is such an organisation is not told."""
    assert world.cast.outsider is not None
    answer = browser(world.cast.outsider).get(page(world.cast, "today"))
    assert answer.status_code == 404
    assert world.cast.org.name not in answer.content.decode()
    rival = make_organisation("Rival")
    assert browser(world.cast.coach).get(f"/organisations/{rival.id}/today").status_code == 404


def test_a_day_costs_the_same_with_three_sessions_and_with_thirty(world: World) -> None:
    """With as many athletes, of whom nobody has a version."""
    cast, counted = world.cast, []
    total = 1
    for count in (3, 30):
        while total < count:
            add_athlete(world, f"Somebody {total}", 70.0)
            with cast.inside():
                schedule_session(
                    actor=cast.coach.actor,
                    revision_id=world.revision.id,
                    location_id=cast.harbour.id,
                    starts_at=world.session.starts_at,
                )
            total += 1
        client = browser(cast.coach)
        client.get("/")  # the first of an hour notes that the token was used
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page(cast, "today"), {"date": world.session.local_date.isoformat()})
        assert answer.content.decode().count("Somebody 1:") == count
        counted.append(len(queries))
    assert counted[0] == counted[1], counted


def test_who_takes_part_is_the_rule_of_participation(world: World) -> None:
    """The reading of many sessions at once says of each what the rule says: regulars, groups, past members."""
    cast, actor = world.cast, world.cast.coach.actor
    names = ["Ada", "Bo", "Cy"]
    for name in names:
        add_athlete(world, name, 70.0)
    with cast.inside():
        group = create_group(actor=actor, name="Early", location_id=cast.mill.id)
        day = world.session.local_date
        for name, last in (("Ada", None), ("Bo", day - 2 * A_DAY)):
            add_group_members(
                actor=actor,
                group=group,
                athlete_ids=[world.athletes[name].id],
                from_date=day - 9 * A_DAY,
                until_date=last,
            )
        placed = schedule_session(
            actor=actor,
            revision_id=world.revision.id,
            location_id=cast.mill.id,
            group_id=group.id,
            starts_at=world.session.starts_at,
        )
        drop_in(world, "Cy", placed)
        sessions = list(ScheduledSession.objects.all())
        assert len(sessions) == 2
        told = athletes_by_session(actor, sessions)
        for one in sessions:
            assert [row.name for row in told[one.id]] == [row.name for row in athletes_of_session(one.id)]
        assert sorted(len(rows) for rows in told.values()) == [2, 3]
        for role, numbers in ((Role.OWNER, [2, 3]), (Role.LOCATION_STAFF, [2, 3]), (Role.ATHLETE, [0, 0])):
            reader = cast.members[role].actor
            named = athletes_by_session(reader, sessions)
            counts = counts_by_session(reader, sessions)
            assert {one: len(rows) for one, rows in named.items()} == counts
            assert sorted(counts.values()) == numbers, role


def test_staff_see_at_their_place_who_comes_from_elsewhere_and_not_who_trains_elsewhere(world: World) -> None:
    """Counted as named: a guest at the harbour, and nobody of the mill."""
    cast, actor = world.cast, world.cast.coach.actor
    far = add_athlete(world, "Ada", 70.0)
    add_athlete(world, "Bo", 70.0)
    with cast.inside():
        far.refresh_from_db()
        update_athlete(actor=actor, athlete=far, expected=far.version, location_id=cast.mill.id)
        there = schedule_session(
            actor=actor,
            revision_id=world.revision.id,
            location_id=cast.mill.id,
            starts_at=world.session.starts_at,
        )
        drop_in(world, "Ada", world.session)
        sessions = list(ScheduledSession.objects.all())
        told = athletes_by_session(cast.staff.actor, sessions)
        assert [row.name for row in told[world.session.id]] == ["Ada", "Bo"]
        assert counts_by_session(cast.staff.actor, sessions) == {world.session.id: 2, there.id: 0}
        assert counts_by_session(actor, sessions) == {world.session.id: 2, there.id: 1}


def test_of_many_without_a_version_some_are_named_and_the_rest_counted(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Their page names all."""
    monkeypatch.setattr(day_lines, "MOST_WITHOUT", 2)
    for name in ("Ada", "Bo", "Cy"):
        add_athlete(world, name)
    drain(world.cast)
    add_athlete(world, "Dee")
    told = seen(world)
    assert "Ada: " in told.text and "Bo: " in told.text and "Cy" not in told.text and "Dee" not in told.text
    assert "and 2 more" in told.text
