"""What of the person a coach names before an override: alone, a minor, never seen in it, old and without a chance."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.models import Athlete
from programming.actions.sessions import put_location_kit
from programming.models import LocationKit, ScheduledSession
from scoring.models import OverrideEnd, Prescription
from services.changes.actions import record_change
from tests.scoring import sessions
from tests.scoring.test_rising_attempts import day as attempts_day
from tests.support.api import ApiClient, assert_problem
from tests.support.world import KIT, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

WHO = "Bruna Keel"
DONE = {"row_45": 16, "goblet_squat": 24}
ROWS = {"work": "a", "variation": "row_45"}
MORE = {"work": "b", "variation": "goblet_squat", "load_kg": 20, "repetitions": 80}
LESS = {"work": "b", "variation": "body_weight_squat", "repetitions": 10}


def make(tests: dict[str, int] | None = DONE, **more: Any) -> World:
    """An athlete of whom this is so, with a prescription."""
    world = make_world()
    athlete = add_athlete(world, WHO, 62.0, tests)
    with world.cast.inside():
        Athlete.objects.filter(id=athlete.id).update(**more)
    drain(world.cast)
    return world


def newest(world: World, session: ScheduledSession | None = None) -> Prescription:
    with world.cast.inside():
        rows = Prescription.objects.filter(
            athlete=world.athletes[WHO], session=session or world.session
        ).order_by("-number")
        return rows[0]


def send(world: World, *work: dict[str, Any], session: ScheduledSession | None = None, **more: Any) -> Any:
    path = f"/api/v1/organisations/{world.cast.org.id}/prescriptions/{newest(world, session).id}/overrides"
    return ApiClient(world.cast.coach.token).post(path, {"work": list(work), "reason": "A hard day.", **more})


def born(years: int) -> dt.date:
    return timezone.now().date() - dt.timedelta(days=round(365.25 * years) + 30)


def asked(answer: Any) -> dict[str, str]:
    problem = assert_problem(answer, "needs_acknowledgement", 422)
    return {one["code"]: one["detail"] for one in problem["errors"]}


@pytest.mark.parametrize(
    ("who", "tests", "code", "words"),
    [
        ({"trains_alone": True}, DONE, "trains_alone", ("nobody is there", "Agree who knows")),
        ({"born_on": born(15)}, DONE, "minor", ("15 years old", "See that a coach")),
        ({}, {"row_45": 16}, "never_seen:b", ("nobody has seen", "a check set")),
    ],
)
def test_each_is_named_or_the_override_refused(
    db: None, who: dict[str, Any], tests: dict[str, int], code: str, words: tuple[str, ...]
) -> None:
    """Named, it stands, whatever is learned; the next override asks again."""
    world = make(tests, **who)
    told = asked(send(world, ROWS, MORE))
    assert code in told
    assert set(told) - {code} <= {"beyond_capacity:b"}
    assert all(part in told[code] for part in words)
    rest = [one for one in told if one != code]
    assert set(asked(send(world, ROWS, MORE, acknowledged=rest))) == {code}
    made = send(world, ROWS, MORE, acknowledged=[*told], client_id="floor-1")
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == sorted(told)
    again = newest(world).content["overridden_by"]
    assert again["override"] == made.json()["id"]
    with world.cast.inside():
        record_change(kind="athlete", subject=world.athletes[WHO].id)
    drain(world.cast)
    with world.cast.inside():
        assert not OverrideEnd.objects.exists()
    assert newest(world).content["overridden_by"] == again
    assert code in asked(send(world, ROWS, MORE, acknowledged=rest))


def test_of_who_was_never_seen_people_in_general_tell(db: None) -> None:
    """The two sentences stand side by side: what nothing tells of the athlete is not known of the athlete."""
    told = asked(send(make({"row_45": 16}), ROWS, MORE | {"repetitions": 2000}))
    assert "nothing tells what they can do" in told["never_seen:b"]
    assert "people in general alone" in told["beyond_capacity:b"]
    assert "known of the athlete" not in told["beyond_capacity:b"]
    seen = asked(send(make(), ROWS, MORE | {"repetitions": 2000}))
    assert "by what is known of the athlete" in seen["beyond_capacity:b"]


def test_who_is_in_none_of_these_is_asked_for_nothing(db: None) -> None:
    """A grown-up who was seen in both movements and trains with others."""
    made = send(make(born_on=born(40)), ROWS, MORE | {"load_kg": 16, "repetitions": 20})
    assert made.json()["acknowledged"] == []


def test_it_ends_no_override_that_stands(db: None) -> None:
    """Whoever trains alone from now on, and turns out to be 15 years old, keeps what was made before."""
    world = make()
    made = send(world, ROWS, MORE | {"load_kg": 16})
    assert made.status_code == 201, made.content
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[WHO].id).update(trains_alone=True, born_on=born(15))
        record_change(kind="athlete", subject=world.athletes[WHO].id)
    drain(world.cast)
    with world.cast.inside():
        assert not OverrideEnd.objects.exists()
    assert newest(world).content["overridden_by"]["override"] == made.json()["id"]


def test_less_than_was_worked_out_needs_no_name(db: None) -> None:
    """For a minor who trains alone too: nobody is held up who makes it easier."""
    world = make(trains_alone=True, born_on=born(15))
    given = {one["work"]: one for one in newest(world).content["work"]}
    assert given["b"]["repetitions"] > 10
    made = send(world, LESS)
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == []
    for again in ([LESS], [LESS | {"repetitions": 9}], []):
        made = send(world, *again)
        assert made.status_code == 201, "it is held against what was worked out, whoever gave what stands"
    assert {"trains_alone", "minor"} <= set(asked(send(world, MORE)))


def test_what_a_person_gave_is_no_measure(db: None) -> None:
    """After more than was worked out the same, or something in between, is asked about as the first was."""
    world = make(tests={"row_45": 16})
    given = {one["work"]: one for one in newest(world).content["work"]}["b"]
    heavy = {"work": "b", "variation": "goblet_squat", "load_kg": 20}
    told = asked(send(world, heavy))
    assert "never_seen:b" in told
    assert send(world, heavy, acknowledged=[*told]).status_code == 201
    assert "never_seen:b" in asked(send(world))
    assert "never_seen:b" in asked(send(world, heavy | {"load_kg": 16}))
    back = {"work": "b"} | {key: given[key] for key in ("variation", "load_kg", "repetitions")}
    made = send(world, back)
    assert (made.status_code, made.json()["acknowledged"]) == (201, []), made.content


def test_single_attempts_at_what_was_never_seen_are_asked_for(db: None) -> None:
    """Also where the loads that are offered are merely confirmed."""
    world = make()
    session = sessions.place(world, attempts_day())
    drain(world.cast)
    told = asked(send(world, session=session))
    assert set(told) == {"never_seen:lift"}
    made = send(world, session=session, acknowledged=[*told])
    assert made.json()["acknowledged"] == ["never_seen:lift"], made.content


def test_an_old_athlete_without_a_chance_to_finish_is_named(db: None) -> None:
    """400 squats within half an hour; the same of somebody of 40 is no matter of age, nor is what can be finished."""
    world = make(born_on=born(75))
    much = MORE | {"load_kg": 32, "repetitions": 400}
    told = asked(send(world, ROWS, much))
    assert "unlikely_at_age" in told
    assert "75 years old" in told["unlikely_at_age"] and "Ask for less" in told["unlikely_at_age"]
    assert newest(world).number == 1
    made = send(world, ROWS, much, acknowledged=[*told])
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == sorted(told)
    assert newest(world).content["expected"]["finish_probability"] < 0.05
    few = send(world, ROWS, LESS, acknowledged=[])
    assert few.json().get("acknowledged") == [], few.content
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[WHO].id).update(born_on=born(40))
    assert "unlikely_at_age" not in asked(send(world, ROWS, much))


def without(world: World, *items: str) -> None:
    with world.cast.inside():
        kit = LocationKit.objects.get(location=world.cast.harbour)
        left = {name: item for name, item in KIT["items"].items() if name not in items}
        put_location_kit(
            actor=world.cast.coach.actor, location=world.cast.harbour, document={"items": left},
            version=kit.version,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("gone", "one", "named"),
    [
        (("kettlebell", "dumbbell"), MORE, "kettlebell"),
        (("rings", "bar_floor"), ROWS, "("),
    ],
)
def test_what_the_kit_lacks_is_named(
    db: None, gone: tuple[str, ...], one: dict[str, Any], named: str
) -> None:
    """With what to do; the code is the same as before."""
    world = make()
    without(world, *gone)
    problem = assert_problem(send(world, one), "invalid_input", 400)
    fault = problem["errors"][0]
    assert fault["code"] == "equipment_missing"
    assert named in fault["detail"] and any(item.replace("_", " ") in fault["detail"] for item in gone)
    assert "enter it in the kit" in fault["detail"]


def test_a_vest_that_is_not_there_is_named(db: None) -> None:
    """Without it the variation can be done; with its load it cannot."""
    world = make()
    draft = sessions.document(
        "Push",
        sessions.block(
            "main",
            sessions.work("u", "push_up", "push_up_floor", repetitions=20),
            aim=[{"kind": "effort", "upper": 9}],
        ),
    )
    session = sessions.place(world, draft)
    drain(world.cast)
    heavy = {"work": "u", "variation": "push_up_floor", "load_kg": 7}
    fault = assert_problem(send(world, heavy, session=session), "invalid_input", 400)["errors"][0]
    assert fault["code"] == "not_a_setting_here"
    without(world, "vest")
    fault = assert_problem(send(world, heavy, session=session), "invalid_input", 400)["errors"][0]
    assert (fault["code"], "(vest)" in fault["detail"]) == ("equipment_missing", True)
