"""What is different for a day: it enters this session's prescription, and nothing else."""

import datetime as dt

import pytest
from django.utils import timezone

from athletes.participation import athlete_ids_of_session
from programming.actions.sessions import put_location_kit, schedule_session
from scoring.models import Prescription
from tests.support.api import ApiClient, assert_problem
from tests.support.world import KIT, World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    """Bruna has prescriptions for two sessions of the harbour, both inside the freeze."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 6 * 24 * 60
        world.cast.harbour.save()
        world.later = schedule_session(  # type: ignore[attr-defined]
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() + dt.timedelta(days=4),
        )
    drain(world.cast)
    return world


def newest(world: World, name: str, session: object = None) -> Prescription | None:
    drain(world.cast)
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes[name], session=session or world.session)
        return rows.order_by("-number").first()


def changes(world: World, session: object = None) -> str:
    return url(world, f"scheduled-sessions/{(session or world.session).id}/day-changes")


def body(world: World, kind: str, **fields: object) -> dict:
    return {"athlete": str(world.athletes["Bruna Keel"].id), "kind": kind, **fields}


def used(prescription: Prescription, work: str) -> str:
    return next(one["variation"] for one in prescription.content["work"] if one["work"] == work)


def test_kit_in_use_is_not_prescribed_today(world: World, coach: ApiClient) -> None:
    """Without the weights this session is done without; the later one keeps them, and the end gives them back."""
    before, other = newest(world, "Bruna Keel"), newest(world, "Bruna Keel", world.later)
    assert used(before, "b") == "goblet_squat"
    made = coach.post(changes(world), body(world, "kit_in_use", items=["kettlebell", "dumbbell"]))
    assert made.status_code == 201, made.content
    assert made.json()["until"] is None
    after = newest(world, "Bruna Keel")
    assert after.number == before.number + 1
    assert used(after, "b") != "goblet_squat"
    left_out = {(one["work"], one["variation"], one["reason"]) for one in after.content["ruled_out"]}
    assert ("b", "goblet_squat", "kit_in_use") in left_out
    assert after.basis["day_changes"] == [made.json()["id"]]
    assert newest(world, "Bruna Keel", world.later).number == other.number
    assert coach.delete(url(world, f"day-changes/{made.json()['id']}")).status_code == 204
    again = newest(world, "Bruna Keel")
    assert (again.number, again.fingerprint) == (after.number + 1, before.fingerprint)
    assert coach.delete(url(world, f"day-changes/{made.json()['id']}")).status_code == 204
    assert newest(world, "Bruna Keel").number == again.number


def test_what_is_sore_is_spared(world: World, coach: ApiClient) -> None:
    """Sore legs: no squat that works them; with nothing left the answer says why and what to do."""
    made = coach.post(changes(world), body(world, "sore", muscle_groups=["quadriceps"], note="Hill run."))
    assert made.status_code == 201
    after = newest(world, "Bruna Keel")
    assert not after.feasible
    assert {one["reason"] for one in after.content["ruled_out"] if one["work"] == "b"} == {"sore:quadriceps"}
    assert "choose_other_work_for_the_day" in after.content["alternatives"]


def test_what_touches_nothing_is_still_told(world: World, coach: ApiClient) -> None:
    """A sore neck rules nothing out here; the athlete reads that it was heard, also inside the freeze."""
    before = newest(world, "Bruna Keel")
    assert coach.post(changes(world), body(world, "sore", hazards=["neck"])).status_code == 201
    after = newest(world, "Bruna Keel")
    assert after.number == before.number + 1
    assert after.content["day"]["sore_hazards"] == ["neck"]
    assert after.content["work"] == before.content["work"]


def test_a_guest_takes_part_for_one_day(world: World, coach: ApiClient) -> None:
    """Staff of the host location receive somebody from the mill: one session, its kit, and they may see it."""
    with world.cast.inside():
        put_location_kit(actor=world.cast.coach.actor, location=world.cast.mill, document=KIT, version=None)
        guest = world.athletes["Bruna Keel"]
        bare = {"items": {"bar_floor": {}}}
        type(guest).objects.filter(id=guest.id).update(location=world.cast.mill, kit=bare)
    staff = ApiClient(world.cast.staff.token)
    sheet = url(world, f"prescriptions?session={world.later.id}&current=true")
    assert staff.get(sheet).json()["items"] == []
    made = staff.post(changes(world, world.later), body(world, "drop_in"))
    assert made.status_code == 201, made.content
    given = newest(world, "Bruna Keel", world.later)
    assert given.basis["kit"].startswith("location"), "a guest trains with what is there"
    with world.cast.inside():
        assert guest.id in athlete_ids_of_session(world.later.id)
        assert guest.id not in athlete_ids_of_session(world.session.id)
    (seen,) = staff.get(sheet).json()["items"]
    assert seen["athlete"] == str(guest.id)
    assert staff.get(changes(world, world.later)).json()["items"][0]["kind"] == "drop_in"
    sore = staff.post(changes(world, world.later), body(world, "sore", hazards=["wrist"]))
    assert sore.status_code == 201
    assert staff.delete(url(world, f"day-changes/{made.json()['id']}")).status_code == 204
    assert staff.get(sheet).json()["items"] == []


def test_a_guest_drops_in_once(world: World, coach: ApiClient) -> None:
    """However often it is sent, and with whatever client_id; once it is ended it may be made anew."""
    first = coach.post(changes(world), body(world, "drop_in"))
    again = coach.post(changes(world), body(world, "drop_in", client_id="door-1"))
    elsewhere = coach.post(changes(world, world.later), body(world, "drop_in"))
    assert (first.status_code, again.status_code, elsewhere.status_code) == (201, 200, 201)
    assert again.json() == first.json()
    assert coach.delete(url(world, f"day-changes/{first.json()['id']}")).status_code == 204
    anew = coach.post(changes(world), body(world, "drop_in"))
    assert anew.status_code == 201
    assert anew.json()["id"] != first.json()["id"]


def test_what_is_in_use_is_of_the_place_where_a_guest_trains(world: World, coach: ApiClient) -> None:
    """A guest with a kit at home finds the harbour's kettlebell taken, and not what is at home."""
    with world.cast.inside():
        guest = world.athletes["Bruna Keel"]
        type(guest).objects.filter(id=guest.id).update(
            location=world.cast.mill, kit={"items": {"bar_floor": {}}}
        )
    taken = body(world, "kit_in_use", items=["kettlebell"])
    assert coach.post(changes(world), body(world, "drop_in")).status_code == 201
    assert coach.post(changes(world), taken).status_code == 201
    assert newest(world, "Bruna Keel").basis["kit"].startswith("location")


def test_an_athlete_invites_nobody(world: World) -> None:
    """A drop-in is the staff's decision."""
    with world.cast.inside():
        athlete = world.athletes["Bruna Keel"]
        type(athlete).objects.filter(id=athlete.id).update(person=world.cast.athlete.person)
    own = ApiClient(world.cast.athlete.token)
    assert own.post(changes(world), body(world, "sore", hazards=["wrist"])).status_code == 201
    assert_problem(own.post(changes(world), body(world, "drop_in")), "forbidden", 403)


@pytest.mark.parametrize(("begun", "made"), [(90, 1), (150, 0)])
def test_nobody_gets_a_first_prescription_when_the_class_is_over(world: World, begun: int, made: int) -> None:
    """An hour and a half after the start somebody new still gets one, an hour later not any more."""
    with world.cast.inside():
        started = timezone.now() - dt.timedelta(minutes=begun)
        type(world.session).objects.filter(id=world.session.id).update(starts_at=started)
    late = add_athlete(world, "Late Comer", 70.0)
    drain(world.cast)
    with world.cast.inside():
        assert Prescription.objects.filter(athlete=late, session=world.session).count() == made


def test_sent_again_after_the_result_it_is_still_the_stored_one(world: World, coach: ApiClient) -> None:
    """A phone that did not hear the answer gets its row; something new comes too late."""
    again = body(world, "sore", hazards=["neck"], client_id="pad-3")
    made = coach.post(changes(world), again)
    assert made.status_code == 201, made.content
    row = {"work": "a", "variation": "row_45", "repetitions": 20, "ended_by": "failure"}
    result = {
        "session": str(world.session.id),
        "athlete": str(world.athletes["Bruna Keel"].id),
        "performed_at": timezone.now().isoformat(),
        "set_log": {"sets": [row], "elapsed_s": 600.0},
        "client_id": "pad-4",
    }
    sent = coach.post(url(world, "attempts"), result)
    assert sent.status_code == 201, sent.content
    repeated = coach.post(changes(world), again)
    assert (repeated.status_code, repeated.json()["id"]) == (200, made.json()["id"])
    new = body(world, "sore", hazards=["wrist"], client_id="pad-5")
    assert_problem(coach.post(changes(world), new), "result_already_stored", 409)


@pytest.mark.parametrize(
    ("kind", "fields", "code"),
    [
        ("kit_in_use", {"items": ["moon_rock"]}, "not_in_the_kit"),
        ("kit_in_use", {}, "required"),
        ("sore", {"hazards": ["mood"]}, "unknown_hazard"),
        ("sore", {"items": ["bench"], "hazards": ["wrist"]}, "not_of_this_kind"),
        ("drop_in", {"hazards": ["wrist"]}, "not_of_this_kind"),
    ],
)
def test_a_change_that_says_nothing_is_refused(
    world: World, coach: ApiClient, kind: str, fields: dict, code: str
) -> None:
    """The pointer names the place."""
    answer = coach.post(changes(world), body(world, kind, **fields))
    problem = assert_problem(answer, "invalid_input", 400)
    assert code in {fault["code"] for fault in problem["errors"]}
