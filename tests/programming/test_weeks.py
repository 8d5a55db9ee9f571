"""A week copied to a later one: the same on the wall, once, and nothing on top of something else."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from programming.actions import weeks
from programming.actions.groups import create_group, update_group
from programming.actions.sessions import cancel_session, move_session, schedule_session
from programming.actions.weeks import Copy, copy_week
from programming.models import Group, Revision, ScheduledSession
from services.problems import Invalid
from services.tenancy.models import Location
from tests.programming.support import base, body, change_versions, client, placed, published, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_location

BERLIN = ZoneInfo("Europe/Berlin")
FIRST, SECOND, THIRD = (dt.date(2030, 6, 3) + dt.timedelta(weeks=n) for n in range(3))


def at(day: str, time: str, zone: ZoneInfo = BERLIN) -> dt.datetime:
    return dt.datetime.fromisoformat(f"{day}T{time}").replace(tzinfo=zone)


@pytest.fixture
def hall(cast: Cast) -> Location:
    stocked(cast)
    return make_location(cast.org, "Hall", "Europe/Berlin")


def copied(cast: Cast, hall: Location, start: dt.date, end: dt.date, **more: Any) -> list[Copy]:
    more.setdefault("location_id", hall.id)
    return copy_week(actor=cast.coach.actor, from_week=start, to_week=end, **more)


def said(copies: list[Copy]) -> list[tuple[str, str]]:
    return [(copy.outcome, copy.reason) for copy in copies]


@pytest.mark.parametrize(
    ("start", "end", "day", "utc_before", "utc_after"),
    [
        ("2030-03-18", "2030-03-25", "2030-03-31", "17:00", "16:00"),  # the clock went forward that night
        ("2030-10-14", "2030-10-21", "2030-10-27", "16:00", "17:00"),  # and back
    ],
)
def test_the_time_on_the_wall_stays_across_a_clock_change(
    cast: Cast, hall: Location, start: str, end: str, day: str, utc_before: str, utc_after: str
) -> None:
    """Sunday 18:00 in Berlin is Sunday 18:00 a week later, though it is another hour in UTC."""
    earlier = (dt.date.fromisoformat(day) - dt.timedelta(days=7)).isoformat()
    with cast.inside():
        placed(cast, published(cast), hall, at(earlier, "18:00"))
        (copy,) = copied(cast, hall, dt.date.fromisoformat(start), dt.date.fromisoformat(end))
        row = ScheduledSession.objects.get(id=copy.session_id)
        assert copy.source.starts_at.astimezone(dt.UTC).strftime("%H:%M") == utc_before
        assert row.starts_at.strftime("%H:%M") == utc_after
        assert row.starts_at.astimezone(BERLIN).strftime("%a %H:%M") == "Sun 18:00"
        assert (row.local_date.isoformat(), row.zone) == (day, "Europe/Berlin")


@pytest.mark.parametrize(
    ("day", "utc", "skipped"), [("2030-03-24", "01:30", True), ("2030-10-20", "00:30", False)]
)
def test_a_time_that_is_skipped_or_comes_twice(
    cast: Cast, hall: Location, day: str, utc: str, skipped: bool
) -> None:
    """02:30 in the night of the change: an hour later where it is left out, which is told; else the first."""
    source = dt.date.fromisoformat(day)
    with cast.inside():
        placed(cast, published(cast), hall, at(day, "02:30"))
        (copy,) = copied(cast, hall, source, source + dt.timedelta(days=7))
    assert copy.starts_at.strftime("%H:%M") == utc
    assert said([copy]) == [("made", "no_such_time" if skipped else "")]


def week_of(cast: Cast, hall: Location, revision: Revision) -> list[ScheduledSession]:
    """Monday, Wednesday and Saturday."""
    days = ("2030-06-03", "2030-06-05", "2030-06-08")
    return [placed(cast, revision, hall, at(day, "18:00")) for day in days]


def test_copied_twice_is_copied_once(cast: Cast, hall: Location) -> None:
    """Also by way of another week, and when a copy was moved or cancelled since; only new ones are marked."""
    with cast.inside():
        monday, wednesday, _ = week_of(cast, hall, published(cast))
        before = set(change_versions("session"))
        dry = copied(cast, hall, FIRST, SECOND, dry_run=True)
        assert said(dry) == [("made", "")] * 3 and {copy.session_id for copy in dry} == {None}
        assert ScheduledSession.objects.count() == 3 and set(change_versions("session")) == before
        made = copied(cast, hall, FIRST, SECOND)
        assert [(c.starts_at, c.local_date) for c in made] == [(c.starts_at, c.local_date) for c in dry]
        assert set(change_versions("session")) - before == {copy.session_id for copy in made}
        rows = {copy.source.id: ScheduledSession.objects.get(id=copy.session_id) for copy in made}
        move_session(
            actor=cast.coach.actor, session=rows[monday.id], version=1, starts_at=at("2030-06-13", "07:00")
        )
        cancel_session(actor=cast.coach.actor, session=rows[wednesday.id])
        again = copied(cast, hall, FIRST, SECOND)
        assert said(again) == [("there_already", "copied_before")] * 3
        assert [copy.session_id for copy in again] == [copy.session_id for copy in made]
        by_way = copied(cast, hall, SECOND, THIRD)
        assert sorted(said(by_way)) == [("left_out", "cancelled"), ("made", ""), ("made", "")]
        straight = copied(cast, hall, FIRST, THIRD)
        assert said(straight) == [
            ("there_already", "copied_before"), ("made", ""), ("there_already", "copied_before"),
        ]  # fmt: skip
        assert ScheduledSession.objects.count() == 9


def test_a_copy_that_was_moved_into_the_week_is_known_by_its_origin(cast: Cast, hall: Location) -> None:
    """Whatever week it was made for, and whichever way the week is copied; one that was cancelled there is none."""
    with cast.inside():
        monday, wednesday, saturday = week_of(cast, hall, published(cast))
        made = copied(cast, hall, FIRST, SECOND)
        ids = {copy.source.id: copy.session_id for copy in made}
        for source, day in ((monday, "2030-06-20"), (wednesday, "2030-06-21")):
            move_session(
                actor=cast.coach.actor, session=ScheduledSession.objects.get(id=ids[source.id]), version=1,
                starts_at=at(day, "07:00"),
            )  # fmt: skip
        cancel_session(actor=cast.coach.actor, session=ScheduledSession.objects.get(id=ids[wednesday.id]))
        found = {copy.source.id: copy for copy in copied(cast, hall, FIRST, THIRD)}
        assert (found[monday.id].outcome, found[monday.id].session_id) == ("there_already", ids[monday.id])
        assert [found[one.id].outcome for one in (wednesday, saturday)] == ["made", "made"]
        again = {copy.source.id: copy for copy in copied(cast, hall, FIRST, THIRD)}
        assert {copy.outcome for copy in again.values()} == {"there_already"}
        assert again[wednesday.id].session_id == found[wednesday.id].session_id
        assert {copy.outcome for copy in copied(cast, hall, FIRST, SECOND)} == {"there_already"}


def test_the_one_that_was_made_for_the_week_goes_before_one_that_was_moved_there(
    cast: Cast, hall: Location
) -> None:
    """Two copies of one Monday changed their weeks: each week names the one that was made for it."""
    with cast.inside():
        week_of(cast, hall, published(cast))
        ids = [copied(cast, hall, FIRST, week)[0].session_id for week in (SECOND, THIRD)]
        for session_id, day in zip(ids, ("2030-06-20", "2030-06-13"), strict=True):
            move_session(
                actor=cast.coach.actor, session=ScheduledSession.objects.get(id=session_id), version=1,
                starts_at=at(day, "07:00"),
            )  # fmt: skip
        assert [copied(cast, hall, FIRST, week)[0].session_id for week in (SECOND, THIRD)] == ids


def test_a_race_makes_no_second_session(cast: Cast, hall: Location, monkeypatch: pytest.MonkeyPatch) -> None:
    """What another request stored between the look and the write stays the only one."""
    with cast.inside():
        week_of(cast, hall, published(cast))
        made = copied(cast, hall, FIRST, SECOND)
        monkeypatch.setattr(weeks, "_without_copied", lambda planned, _: planned)
        monkeypatch.setattr(weeks, "_without_conflicts", lambda planned: planned)
        marked = change_versions("session")
        late = copied(cast, hall, FIRST, SECOND)
        assert said(late) == [("there_already", "copied_before")] * 3
        assert [copy.session_id for copy in late] == [copy.session_id for copy in made]
        assert change_versions("session") == marked
        assert ScheduledSession.objects.count() == 6


def test_what_is_in_the_way_is_listed(cast: Cast, hall: Location) -> None:
    """Another session at the time for the same athletes; one for others, or elsewhere, is not in the way."""
    with cast.inside():
        revision = published(cast)
        group = create_group(actor=cast.coach.actor, name="Early birds")
        week_of(cast, hall, revision)
        placed(cast, revision, hall, at("2030-06-10", "18:00"))
        placed(cast, revision, cast.mill, at("2030-06-12", "18:00"))
        own(cast, revision, hall, group, "2030-06-15")
        found = copied(cast, hall, FIRST, SECOND)
        assert said(found) == [("conflict", "time_taken"), ("made", ""), ("made", "")]
        assert found[0].session_id is None


def own(cast: Cast, revision: Revision, hall: Location, group: Group, day: str) -> ScheduledSession:
    return schedule_session(
        actor=cast.coach.actor,
        revision_id=revision.id,
        location_id=hall.id,
        group_id=group.id,
        starts_at=at(day, "18:00"),
    )


def test_chosen_sessions_of_a_group_or_a_location(cast: Cast, hall: Location) -> None:
    """A group's wherever they are, a location's whoever they are for; a group at rest gets none."""
    with cast.inside():
        revision = published(cast)
        group = create_group(actor=cast.coach.actor, name="Early birds")
        monday, *_ = week_of(cast, hall, revision)
        ours = own(cast, revision, hall, group, "2030-06-04")
        away = own(cast, revision, cast.mill, group, "2030-06-06")
        of_group = copied(cast, hall, FIRST, SECOND, location_id=None, group_id=group.id)
        assert [copy.source.id for copy in of_group] == [ours.id, away.id]
        rows = ScheduledSession.objects.filter(id__in=[copy.session_id for copy in of_group])
        assert set(rows.values_list("group_id", "copied_from_id")) == {
            (group.id, ours.id),
            (group.id, away.id),
        }
        chosen = copied(cast, hall, FIRST, SECOND, session_ids=[monday.id])
        assert [copy.source.id for copy in chosen] == [monday.id]
        update_group(actor=cast.coach.actor, group=group, version=1, is_active=False)
        assert said(copied(cast, hall, FIRST, THIRD, session_ids=[ours.id])) == [
            ("conflict", "group_not_active")
        ]
        with pytest.raises(Invalid) as caught:
            copied(cast, hall, FIRST, SECOND, session_ids=[monday.id, away.id])
        assert [(e.pointer, e.code) for e in caught.value.errors] == [("#/sessions/1", "unknown_reference")]


def test_a_zone_that_was_changed_since(cast: Cast, hall: Location) -> None:
    """The new session is at the same time on the wall in the location's present zone; the old one stays."""
    with cast.inside():
        row = placed(cast, published(cast), hall, at("2030-06-03", "18:00"))
        Location.objects.filter(id=hall.id).update(zone="Europe/Lisbon")
        (copy,) = copied(cast, hall, FIRST, SECOND)
        assert copy.starts_at == at("2030-06-10", "18:00", ZoneInfo("Europe/Lisbon"))
        assert (copy.zone, ScheduledSession.objects.get(id=row.id).zone) == ("Europe/Lisbon", "Europe/Berlin")


def test_the_work_is_bounded_and_costs_the_same_for_any_number(
    cast: Cast, hall: Location, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As many queries for thirty sessions as for three; more than the bound are refused before anything."""
    counted = []
    with cast.inside():
        revision = published(cast)
        for count, monday in ((3, FIRST), (30, SECOND)):
            for number in range(count):
                start = at(monday.isoformat(), "06:00") + dt.timedelta(hours=number)
                placed(cast, revision, hall, start)
            with CaptureQueriesContext(connection) as queries:
                copies = copied(cast, hall, monday, monday + dt.timedelta(weeks=9))
            assert said(copies) == [("made", "")] * count
            counted.append(len(queries))
        assert counted[0] == counted[1]
        monkeypatch.setattr(weeks, "MOST_COPIED", 29)
        with pytest.raises(Invalid, match="places listed") as caught:
            copied(cast, hall, SECOND, THIRD)
        assert [e.code for e in caught.value.errors] == ["too_many"]


def test_over_http(cast: Cast, hall: Location) -> None:
    """A dry run first, then the copy; weeks in the wrong order, nothing named, another organisation's."""
    with cast.inside():
        week_of(cast, hall, published(cast))
    caller, path = client(cast.coach), f"{base(cast)}/week-copies"
    sent = {"from_week": "2030-06-05", "to_week": "2030-06-14", "location": str(hall.id)}
    dry = body(caller.post(path, json={**sent, "dry_run": True}))
    assert (dry["from_week"], dry["to_week"], dry["dry_run"]) == ("2030-06-03", "2030-06-10", True)
    made = body(caller.post(path, json=sent))["items"]
    assert [one["starts_at"] for one in made] == [one["starts_at"] for one in dry["items"]]
    assert all(one["session"] and one["outcome"] == "made" and one["reason"] is None for one in made)
    listed = body(caller.get(f"{base(cast)}/scheduled-sessions", query={"from_date": "2030-06-10"}))["items"]
    assert [row["copied_from"] for row in listed] == [one["from_session"] for one in made]
    for change, pointer in (
        ({"to_week": "2030-06-04"}, "#/to_week"),
        ({"location": None}, "#/location"),
        ({"location": str(cast.org.id)}, "#/location"),
        ({"group": str(cast.org.id)}, "#/group"),
    ):
        assert_problem(caller.post(path, json={**sent, **change}), "invalid_input", 400, at=pointer)
    assert_problem(client(cast.staff).post(path, json=sent), "forbidden", 403)
