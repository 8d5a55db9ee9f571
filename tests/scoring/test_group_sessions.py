"""Sessions for a group, and what a location changes, from the calendar to the prescription."""

from __future__ import annotations

import copy
import datetime as dt
import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.athletes import create_athlete
from athletes.actions.group_members import add_group_members, change_group_member
from athletes.models import Athlete
from athletes.participation import session_ids_for_athlete
from programming.actions.groups import create_group
from programming.actions.local_versions import make_local_version, use_revision
from programming.actions.sessions import schedule_session
from programming.models import ScheduledSession
from scoring.models import Prescription
from scoring.queries import athletes_without_prescription
from services.access.actions import update_location
from services.changes.models import Change
from services.tenancy.models import Location
from tests.support.api import ApiClient
from tests.support.world import SESSION, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    """Bruna trains at the harbour; Nia at the mill, and with the group."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9, "goblet_squat": 18})
    with world.cast.inside():
        world.athletes["Nia Moor"], _ = create_athlete(
            actor=world.cast.coach.actor, name="Nia Moor", location_id=world.cast.mill.id
        )
    return world


def with_prescription(world: World, session: ScheduledSession) -> set[str]:
    with world.cast.inside():
        rows = Prescription.objects.filter(session=session)
        return set(rows.values_list("athlete__name", flat=True))


def holding(world: World, session: ScheduledSession) -> set[str]:
    """Whose prescription holds now, as the list says."""
    path = f"/api/v1/organisations/{world.cast.org.id}/prescriptions"
    query = {"session": str(session.id), "current": "true"}
    items = json.loads(ApiClient(world.cast.coach.token).get(path, query=query).content)["items"]
    names = {str(row.id): name for name, row in world.athletes.items()}
    return {names[item["athlete"]] for item in items}


def test_a_session_for_a_group_is_for_those_in_it(world: World) -> None:
    """Whoever joins gets the prescription, whoever leaves loses it; who merely trains there never had one."""
    actor, soon = world.cast.coach.actor, timezone.now() + dt.timedelta(days=2)
    with world.cast.inside():
        group = create_group(actor=actor, name="Early birds")
        session = schedule_session(
            actor=actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            group_id=group.id,
            starts_at=soon,
        )
        (nia,) = add_group_members(
            actor=actor,
            group=group,
            athlete_ids=[world.athletes["Nia Moor"].id],
            from_date=session.local_date,
        )
    drain(world.cast)
    assert with_prescription(world, session) == {"Nia Moor"} == holding(world, session)
    assert with_prescription(world, world.session) == {"Bruna Keel"}
    with world.cast.inside():
        later = session.local_date + dt.timedelta(days=1)
        change_group_member(actor=actor, member=nia, expected=1, from_date=later)
        add_group_members(
            actor=actor, group=group, athlete_ids=[world.athletes["Bruna Keel"].id], from_date=later
        )
    drain(world.cast)
    assert holding(world, session) == set()


def test_the_sweep_finds_who_joined_unseen(world: World) -> None:
    """Whoever is in the group and has no prescription is found by what is missing; nobody else is."""
    drain(world.cast)
    with world.cast.inside():
        group = create_group(actor=world.cast.coach.actor, name="Early birds")
        ScheduledSession.objects.filter(id=world.session.id).update(group=group)
        add_group_members(
            actor=world.cast.coach.actor,
            group=group,
            athlete_ids=[world.athletes["Nia Moor"].id],
            from_date=world.session.local_date,
        )
        now = timezone.now()
        missing = athletes_without_prescription(now, now + dt.timedelta(days=7))
        assert missing == [world.athletes["Nia Moor"].id]


def test_a_swapped_revision_is_prescribed_also_inside_the_freeze(world: World) -> None:
    """A location's own version with fewer squats reaches the sheets, though the class is near."""
    actor = world.cast.coach.actor
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 3 * 24 * 60
        world.cast.harbour.save()
    drain(world.cast)
    with world.cast.inside():
        before = Prescription.objects.get(session=world.session)
        document = copy.deepcopy(SESSION)
        document["blocks"][0]["work"][1]["repetitions"] = 60
        own, _ = make_local_version(
            actor=world.cast.staff.actor,
            location_id=world.cast.harbour.id,
            origin_id=world.revision.id,
            document=document,
            reason="The room is small.",
        )
        use_revision(actor=actor, session=world.session, version=1, revision_id=own.revision_id)
    drain(world.cast)
    with world.cast.inside():
        after = Prescription.objects.filter(session=world.session).order_by("-number")[0]
    assert after.number == before.number + 1
    assert after.basis["revision"] == str(own.revision_id)


def test_a_new_zone_or_freeze_asks_again_and_moves_nothing(world: World) -> None:
    """Change rows for the location, then for its coming sessions; zone, instant and date stay as they were."""
    drain(world.cast)
    told = ("starts_at", "zone", "local_date", "version")
    owner = world.cast.owner.actor
    with world.cast.inside():
        place = Location.objects.get(id=world.cast.harbour.id)
        stored = ScheduledSession.objects.values(*told).get(id=world.session.id)
        for number, fields in enumerate(
            ({"zone": "Pacific/Kiritimati"}, {"freeze_minutes": 90}, {"is_remote": True}), start=1
        ):
            place = update_location(actor=owner, location=place, version=place.version, fields=fields)
            row = Change.objects.get(kind="location", subject=place.id)
            assert (row.version, row.done) == (number, 0)
        asked = Change.objects.values_list("version", flat=True).get(kind="session", subject=world.session.id)
        place = update_location(
            actor=owner, location=place, version=place.version, fields={"name": "Quay", "freeze_minutes": 90}
        )
        assert Change.objects.get(kind="location", subject=place.id).version == 3, "nothing that decides"
    drain(world.cast)
    with world.cast.inside():
        again = Change.objects.get(kind="session", subject=world.session.id)
        assert (again.version, again.done) == (asked + 1, asked + 1)
        assert ScheduledSession.objects.values(*told).get(id=world.session.id) == stored


def test_prescribing_costs_the_same_with_groups(world: World) -> None:
    """One query finds an athlete's sessions, of the location and of any number of groups."""
    actor, soon = world.cast.coach.actor, timezone.now() + dt.timedelta(days=2)
    counted = []
    with world.cast.inside():
        nia = Athlete.objects.get(id=world.athletes["Nia Moor"].id)
        for count in (3, 30):
            for number in range(count):
                group = create_group(actor=actor, name=f"Group {count}/{number}")
                add_group_members(actor=actor, group=group, athlete_ids=[nia.id], from_date=soon.date())
                schedule_session(
                    actor=actor,
                    revision_id=world.revision.id,
                    location_id=world.cast.harbour.id,
                    group_id=group.id,
                    starts_at=soon,
                )
            with CaptureQueriesContext(connection) as queries:
                found = session_ids_for_athlete(nia, soon, soon)
            counted.append((len(queries), len(found)))
    assert counted == [(1, 3), (1, 33)]
