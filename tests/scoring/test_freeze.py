"""Inside the freeze before a class: what people change re-issues a prescription, what is learned does not."""

import copy
import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.athletes import update_athlete
from athletes.actions.limitations import add_limitation, lift_limitation
from athletes.performed import Settings
from programming.actions.sessions import move_session, put_location_kit
from programming.models import LocationKit, Variation
from scoring.models import Prescription
from tests.support.world import KIT, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    """Everybody has a prescription, and the freeze has begun."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Nia Moor", 70.0)
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 3 * 24 * 60
        world.cast.harbour.save()
    drain(world.cast)
    return world


def current(world: World, name: str) -> Prescription:
    """After all recomputes, and once more: a second one must find nothing to do."""
    drain(world.cast)
    with world.cast.inside():
        from services.changes.actions import record_change

        rows = Prescription.objects.filter(athlete=world.athletes[name], session=world.session)
        newest = rows.order_by("-number").first()
        record_change(kind="athlete", subject=world.athletes[name].id)
    drain(world.cast)
    with world.cast.inside():
        assert rows.count() == newest.number
    return newest


def chosen(prescription: Prescription, work: str) -> dict:
    return next(one for one in prescription.content["work"] if one["work"] == work)


def test_a_limit_replaces_what_it_forbids_and_its_lifting_gives_it_back(world: World) -> None:
    """A forbidden variation does not stay prescribed until the class; nor does the way round it."""
    before = current(world, "Bruna Keel")
    athlete = world.athletes["Bruna Keel"]
    with world.cast.inside():
        row = Variation.objects.get(key=chosen(before, "a")["variation"])
        hazards = row.versions.get(number=row.current).document["hazards"]
        limit = add_limitation(
            actor=world.cast.coach.actor,
            athlete=athlete,
            hazard=hazards[0],
            from_date=timezone.now().date(),
        )
    limited = current(world, "Bruna Keel")
    assert limited.number == before.number + 1
    assert f"limit:{hazards[0]}" in {one["reason"] for one in limited.content["ruled_out"]}
    assert row.key not in {one["variation"] for one in limited.content["work"]}
    with world.cast.inside():
        lift_limitation(actor=world.cast.coach.actor, limitation=limit, expected=limit.version)
    assert current(world, "Bruna Keel").fingerprint == before.fingerprint


def put_kit(world: World, *without: str) -> None:
    document = copy.deepcopy(KIT)
    for item in without:
        del document["items"][item]
    with world.cast.inside():
        kit = LocationKit.objects.get(location=world.cast.harbour)
        put_location_kit(
            actor=world.cast.coach.actor, location=world.cast.harbour, document=document, version=kit.version
        )


def test_a_kit_that_is_gone_is_not_prescribed(world: World) -> None:
    """Without kettlebells and dumbbells at the location, no goblet squat stays; nor without one's own kit."""
    before = current(world, "Bruna Keel")
    put_kit(world, "kettlebell", "dumbbell")
    after = current(world, "Bruna Keel")
    assert after.number == before.number + 1
    assert chosen(after, "b")["variation"] == "body_weight_squat"
    kit = {"items": {"bar_floor": {}, "bench": {}}}
    athlete = world.athletes["Bruna Keel"]
    with world.cast.inside():
        update_athlete(actor=world.cast.coach.actor, athlete=athlete, expected=athlete.version, kit=kit)
    own = current(world, "Bruna Keel")
    assert own.number == after.number + 1
    assert "equipment_missing" in {one["reason"].partition(":")[0] for one in own.content["ruled_out"]}


def test_a_session_moved_to_another_kit_is_prescribed_for_that(world: World) -> None:
    """Moved, the session has the other location's kit and athletes."""
    before = current(world, "Bruna Keel")
    athlete = world.athletes["Bruna Keel"]
    with world.cast.inside():
        world.cast.mill.freeze_minutes = 3 * 24 * 60
        world.cast.mill.save()
        bare = {"items": {"bar_floor": {}, "bench": {}}}
        put_location_kit(actor=world.cast.coach.actor, location=world.cast.mill, document=bare, version=None)
        moved = move_session(
            actor=world.cast.coach.actor,
            session=world.session,
            version=world.session.version,
            location_id=world.cast.mill.id,
        )
        update_athlete(
            actor=world.cast.coach.actor,
            athlete=athlete,
            expected=athlete.version,
            location_id=world.cast.mill.id,
        )
    after = current(world, "Bruna Keel")
    assert after.number == before.number + 1
    assert after.basis["session_version"] == moved.version


def test_who_now_trains_alone_is_told_the_caution(world: World) -> None:
    """The caution does not wait for the next class."""
    athlete = world.athletes["Bruna Keel"]
    before = current(world, "Bruna Keel")
    with world.cast.inside():
        update_athlete(
            actor=world.cast.coach.actor, athlete=athlete, expected=athlete.version, trains_alone=True
        )
    after = current(world, "Bruna Keel")
    assert after.number == before.number + 1
    assert len(after.content["cautions"]) == len(before.content["cautions"]) + 1


def record_test(world: World, name: str, variation: str, repetitions: int) -> None:
    now = timezone.now()
    settings = Settings(load_kg=16.0) if variation == "goblet_squat" else Settings()
    with world.cast.inside():
        record_assessment(
            actor=world.cast.coach.actor,
            athlete=world.athletes[name],
            variation_id=Variation.objects.values_list("id", flat=True).get(key=variation),
            tested=Performance(
                kind="to_failure",
                repetitions=repetitions,
                performed_at=now - dt.timedelta(minutes=2),
                settings=settings,
            ),
            now=now,
        )


def test_a_check_set_that_was_asked_for_changes_the_prescription(world: World) -> None:
    """Who was told to check first gets the plan that follows from it; another's test waits."""
    newcomer, known = current(world, "Nia Moor"), current(world, "Bruna Keel")
    asked = {check["work"] for check in newcomer.content["check_sets"]}
    assert asked
    assert not known.content["check_sets"]
    for name in ("Nia Moor", "Bruna Keel"):
        record_test(world, name, "row_45", 30)
        record_test(world, name, "goblet_squat", 35)
    after = current(world, "Nia Moor")
    assert after.number > newcomer.number
    assert after.basis["capacities"]["a"]["observations"] == 1
    assert current(world, "Bruna Keel").number == known.number
