"""Who takes part in a session: the same answer from both ends, and what a change of it asks for."""

from __future__ import annotations

import datetime as dt
from itertools import product

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.athletes import update_athlete
from athletes.actions.group_members import add_group_members, change_group_member, remove_group_member
from athletes.errors import AlreadyInGroup, NotYourLocation
from athletes.models import Athlete, GroupMember
from athletes.participation import athlete_ids_of_session, session_ids_for_athlete, takes_part
from programming.actions.groups import create_group
from programming.actions.sessions import cancel_session
from programming.models import Group, ScheduledSession
from scoring.models import Prescription
from scoring.queries import athletes_without_prescription
from services.changes.models import Change
from services.problems import Invalid, PreconditionFailed
from tests.athletes.conftest import TODAY, Team
from tests.programming.support import published

pytestmark = pytest.mark.django_db
DAYS = [TODAY + dt.timedelta(days=offset) for offset in range(6)]


def group_of(team: Team, name: str = "Early birds") -> Group:
    return create_group(actor=team.cast.coach.actor, name=name)


def session_on(team: Team, day: dt.date, location, group: Group | None = None) -> ScheduledSession:
    """Placed without an action: many of them, of one revision."""
    revision = ScheduledSession.objects.values_list("revision", flat=True).first()
    return ScheduledSession.objects.create(
        org=team.cast.org,
        revision_id=revision or published(team.cast).id,
        location=location,
        group=group,
        starts_at=dt.datetime.combine(day, dt.time(18), tzinfo=dt.UTC),
        zone="Europe/Lisbon",
        local_date=day,
        placed_by=team.cast.coach.person,
    )


def told(session: ScheduledSession, athlete: Athlete, memberships: list[GroupMember]) -> bool:
    """The rule, told once more."""
    if not athlete.is_active or session.cancelled_at:
        return False
    if session.group_id is None:
        return athlete.location_id == session.location_id
    return any(
        one.group_id == session.group_id
        and one.athlete_id == athlete.id
        and one.from_date <= session.local_date <= (one.until_date or dt.date.max)
        for one in memberships
    )


def test_both_ends_and_every_reader_agree(inside: Team) -> None:
    """From the session, from the athlete, in the sweep and in the list of prescriptions: one rule."""
    actor, cast = inside.cast.coach.actor, inside.cast
    early, late = group_of(inside), group_of(inside, "Late shift")
    one, two, five = DAYS[1], DAYS[2], DAYS[5]
    for group, athlete, start, end in (
        (early, inside.noor, one, two),
        (early, inside.noor, five, None),
        (early, inside.bram, two, two),
        (late, inside.bram, DAYS[0], None),
        (late, inside.ayo, DAYS[0], five),
    ):
        add_group_members(actor=actor, group=group, athlete_ids=[athlete.id], from_date=start, until_date=end)
    update_athlete(actor=actor, athlete=inside.ayo, expected=1, is_active=False)
    sessions = [
        session_on(inside, day, location, group)
        for day, location, group in product(DAYS, (cast.harbour, cast.mill), (None, early, late))
    ]
    off = cancel_session(actor=actor, session=sessions[-1])
    memberships = list(GroupMember.objects.all())
    athletes = [Athlete.objects.get(id=row.id) for row in (inside.noor, inside.bram, inside.ayo)]
    pairs = {(s.id, a.id) for s, a in product(sessions, athletes) if told(s, a, memberships)}
    assert {len({s for s, a in pairs if a == athlete.id}) for athlete in athletes} > {0}

    of_sessions = {(s.id, a) for s in sessions if s.id != off.id for a in athlete_ids_of_session(s.id)}
    start, end = (
        dt.datetime.combine(d, dt.time(), tzinfo=dt.UTC) for d in (DAYS[0], DAYS[5] + dt.timedelta(1))
    )
    of_athletes = {(s, a.id) for a in athletes for s in session_ids_for_athlete(a, start, end)}
    rows = [prescription(s, a) for s, a in product(sessions, athletes)]
    assert set(athletes_without_prescription(start, end)) == {a for _, a in pairs}
    Prescription.objects.bulk_create(rows)
    of_rows = set(Prescription.objects.filter(takes_part()).values_list("session_id", "athlete_id"))
    others = set(Prescription.objects.filter(~takes_part()).values_list("session_id", "athlete_id"))
    assert of_sessions == of_athletes == of_rows == pairs
    assert not others & pairs and len(others) == len(rows) - len(pairs)


def prescription(session: ScheduledSession, athlete: Athlete) -> Prescription:
    return Prescription(
        org_id=session.org_id,
        session=session,
        athlete=athlete,
        number=1,
        feasible=False,
        content={},
        basis={},
        fingerprint="0" * 64,
        method_version=1,
        issued_at=session.starts_at,
    )


def test_the_number_of_queries_is_fixed(inside: Team) -> None:
    """One for an athlete's sessions, two for a session's athletes."""
    group = group_of(inside)
    session = session_on(inside, TODAY, inside.cast.mill, group)
    everybody = [inside.noor.id, inside.bram.id, inside.ayo.id]
    add_group_members(actor=inside.cast.coach.actor, group=group, athlete_ids=everybody, from_date=TODAY)
    with CaptureQueriesContext(connection) as queries:
        assert len(athlete_ids_of_session(session.id)) == 3
    assert len(queries) == 2
    with CaptureQueriesContext(connection) as queries:
        now = session.starts_at
        assert session_ids_for_athlete(inside.noor, now, now) == [session.id]
    assert len(queries) == 1
    assert athlete_ids_of_session(inside.noor.id) == []


def test_each_change_of_a_membership_asks_for_the_athlete(inside: Team) -> None:
    """Added, changed, taken back: each marks the athlete, and a lost race changes nothing."""
    actor, group = inside.cast.coach.actor, group_of(inside)

    def marked() -> int:
        return Change.objects.values_list("version", flat=True).get(kind="athlete", subject=inside.noor.id)

    before = marked()
    (row,) = add_group_members(actor=actor, group=group, athlete_ids=[inside.noor.id], from_date=TODAY)
    assert marked() == before + 1
    changed = change_group_member(actor=actor, member=row, expected=1, until_date=DAYS[2])
    assert marked() == before + 2
    with pytest.raises(PreconditionFailed):
        remove_group_member(actor=actor, member=changed, expected=1)
    remove_group_member(actor=actor, member=changed, expected=2)
    assert marked() == before + 3
    assert not GroupMember.objects.exists()


def test_nobody_is_in_a_group_twice_on_a_day(inside: Team) -> None:
    """Two memberships may follow one another, but never share a day; a batch is stored whole or not at all."""
    actor, group = inside.cast.coach.actor, group_of(inside)
    (first,) = add_group_members(
        actor=actor, group=group, athlete_ids=[inside.noor.id], from_date=DAYS[1], until_date=DAYS[2]
    )
    for start, end in ((DAYS[2], DAYS[3]), (DAYS[0], DAYS[1]), (DAYS[0], None), (DAYS[1], DAYS[1])):
        with pytest.raises(AlreadyInGroup) as caught:
            add_group_members(
                actor=actor,
                group=group,
                athlete_ids=[inside.bram.id, inside.noor.id],
                from_date=start,
                until_date=end,
            )
        assert [one.pointer for one in caught.value.errors] == ["#/athletes/1"]
    assert GroupMember.objects.count() == 1
    (after,) = add_group_members(actor=actor, group=group, athlete_ids=[inside.noor.id], from_date=DAYS[3])
    with pytest.raises(AlreadyInGroup):
        change_group_member(actor=actor, member=first, expected=1, until_date=DAYS[3])
    assert change_group_member(actor=actor, member=after, expected=1, from_date=DAYS[4]).version == 2


def test_who_may_put_whom_into_a_group(inside: Team) -> None:
    """Staff of a location their own athletes; of others they know nothing. Days in order, nobody twice."""
    group, staff = group_of(inside), inside.cast.staff.actor
    add_group_members(actor=staff, group=group, athlete_ids=[inside.noor.id], from_date=TODAY)
    with pytest.raises(Invalid, match="places listed") as caught:
        add_group_members(
            actor=staff, group=group, athlete_ids=[inside.ayo.id, inside.bram.id], from_date=TODAY
        )
    assert [(one.pointer, one.code) for one in caught.value.errors] == [("#/athletes/1", "unknown_reference")]
    (row,) = add_group_members(
        actor=inside.cast.coach.actor, group=group, athlete_ids=[inside.bram.id], from_date=TODAY
    )
    with pytest.raises(NotYourLocation):
        change_group_member(actor=staff, member=row, expected=1, until_date=TODAY)
    with pytest.raises(Invalid):
        add_group_members(
            actor=staff,
            group=group,
            athlete_ids=[inside.ayo.id],
            from_date=TODAY,
            until_date=TODAY - dt.timedelta(days=1),
        )
    with pytest.raises(Invalid) as caught:
        add_group_members(
            actor=staff, group=group, athlete_ids=[inside.ayo.id, inside.ayo.id], from_date=TODAY
        )
    assert [one.code for one in caught.value.errors] == ["named_twice"]
