"""A coach's override: possible, acknowledged, priced, standing, and fallen when what it rests on changes."""

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.limitations import add_limitation
from athletes.actions.reports import Told, create_report
from programming.actions.sessions import put_location_kit
from programming.models import LocationKit, Variation
from scoring.actions import override_cost, prescriptions
from scoring.models import Override, OverrideEnd, Prescription
from scoring.working_out import Worked, work_out
from services.changes.actions import record_change
from services.tenancy.context import required_org
from tests.support.api import ApiClient, assert_problem
from tests.support.world import KIT, World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def newest(world: World) -> Prescription:
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes["Bruna Keel"], session=world.session)
        return rows.order_by("-number").first()


def overrides(world: World) -> str:
    return url(world, f"prescriptions/{newest(world).id}/overrides")


LIGHT = {
    "work": [{"work": "b", "variation": "goblet_squat", "load_kg": 12, "repetitions": 60}],
    "reason": "Two hard days; less today.",
}


def limit(world: World, hazard: str) -> None:
    with world.cast.inside():
        add_limitation(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Bruna Keel"],
            hazard=hazard,
            from_date=timezone.now().date(),
        )


def test_capacities_are_read_once_and_the_override_is_worked_out_once(
    world: World, coach: ApiClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """For its concerns, its cost and the prescription together; beside it once what would be without it."""
    worked = []

    def counted(*args: Any) -> Worked:
        worked.append(args)
        return work_out(*args)

    for module in (override_cost, prescriptions):
        monkeypatch.setattr(module, "work_out", counted)
    path = overrides(world)
    with CaptureQueriesContext(connection) as queries:
        assert coach.post(path, LIGHT).status_code == 201
    told = [one["sql"] for one in queries.captured_queries]
    assert len([sql for sql in told if '"athletes_capacity"."state"' in sql]) == 1
    assert len(worked) == 2


def test_an_override_is_the_next_prescription_and_stands(world: World, coach: ApiClient) -> None:
    """At once, with its forecast and its cost; learning, a recompute and time do not replace it."""
    before = newest(world)
    made = coach.post(overrides(world), LIGHT)
    assert made.status_code == 201, made.content
    body = made.json()
    after = newest(world)
    assert (after.number, str(after.id)) == (before.number + 1, body["prescription"])
    told = {one["work"]: one for one in after.content["work"]}
    assert (told["b"]["load_kg"], told["b"]["repetitions"], told["b"]["amount_as_written"]) == (12, 60, False)
    assert told["a"]["variation"] == {one["work"]: one for one in before.content["work"]}["a"]["variation"]
    assert after.content["overridden_by"]["reason"] == LIGHT["reason"]
    assert after.content["expected"]["score_s"]["p50"] < before.content["expected"]["score_s"]["p50"]
    window = next(one for one in body["cost"] if one["kind"] == "first_set" and one["work"] == "b")
    assert window["with_override"] is not None
    assert window["without"] is not None
    drain(world.cast)
    assert newest(world).id == after.id
    with world.cast.inside():
        now = timezone.now()
        record_assessment(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Bruna Keel"],
            variation_id=Variation.objects.values_list("id", flat=True).get(key="row_45"),
            tested=Performance(kind="to_failure", repetitions=28, performed_at=now - dt.timedelta(minutes=3)),
            now=now,
        )
    drain(world.cast)
    learned = newest(world)
    assert learned.content["overridden_by"]["override"] == body["id"]
    assert {one["work"]: one["load_kg"] for one in learned.content["work"]}["b"] == 12


def test_withdrawn_the_calculation_prescribes_again(world: World, coach: ApiClient) -> None:
    """With a reason, once."""
    before = newest(world)
    made = coach.post(overrides(world), LIGHT).json()
    path = url(world, f"overrides/{made['id']}/withdrawals")
    assert coach.post(path, {"reason": "She feels fine."}).json()["kind"] == "withdrawn"
    drain(world.cast)
    assert newest(world).fingerprint == before.fingerprint
    assert_problem(coach.post(path, {"reason": "Again."}), "override_ended", 409)
    listed = coach.get(url(world, "overrides"), query={"standing": "false"}).json()["items"]
    assert [(one["id"], one["ended"]["reason"]) for one in listed] == [(made["id"], "She feels fine.")]
    assert coach.get(url(world, "overrides"), query={"standing": "true"}).json()["items"] == []


def test_a_limit_is_named_or_the_override_refused(world: World, coach: ApiClient) -> None:
    """Named, it is stored with the override; a limit that comes later makes it fall, and staff see why."""
    limit(world, "knee")
    drain(world.cast)
    assert not newest(world).feasible
    wish = {
        **LIGHT,
        "work": [*LIGHT["work"], {"work": "a", "variation": "row_45"}],
    }
    problem = assert_problem(coach.post(overrides(world), wish), "needs_acknowledgement", 422)
    assert [fault["code"] for fault in problem["errors"]] == ["limit:knee"]
    assert "goblet_squat" not in problem["errors"][0]["detail"], "named as people call it"
    made = coach.post(overrides(world), {**wish, "acknowledged": ["limit:knee"]})
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == ["limit:knee"]
    assert newest(world).feasible
    limit(world, "hip")
    drain(world.cast)
    assert not newest(world).feasible
    assert newest(world).content["overridden_by"] is None
    (fallen,) = coach.get(url(world, "overrides")).json()["items"]
    assert (fallen["ended"]["kind"], fallen["ended"]["codes"]) == ("fell", ["limit:hip"])


def test_more_than_the_maximum_is_named_or_refused(world: World, coach: ApiClient) -> None:
    """Who was seen to do one with 16 kg and no more does not get 32 by a slip; knowing it, the coach may."""
    add_athlete(world, "Oke Lind", 62.0, {"row_45": 16, "goblet_squat": 1})
    drain(world.cast)
    with world.cast.inside():
        given = Prescription.objects.filter(athlete=world.athletes["Oke Lind"]).latest("number")
    wish = {
        "work": [
            {"work": "a", "variation": "row_45"},
            {"work": "b", "variation": "goblet_squat", "load_kg": 32, "repetitions": 20},
        ],
        "reason": "A heavy day.",
    }
    path = url(world, f"prescriptions/{given.id}/overrides")
    problem = assert_problem(coach.post(path, wish), "needs_acknowledgement", 422)
    (fault,) = problem["errors"]
    assert fault["code"] == "beyond_capacity:b"
    assert "at least 1 repetition at a time" in fault["detail"]
    light = {**wish["work"][1], "load_kg": 8}
    made = coach.post(path, {**wish, "acknowledged": ["beyond_capacity:b"]})
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == ["beyond_capacity:b"]
    drain(world.cast)
    path = url(world, f"prescriptions/{made.json()['prescription']}/overrides")
    assert coach.post(path, {**wish, "work": [wish["work"][0], light]}).json()["acknowledged"] == []


def test_a_kit_that_is_gone_makes_it_fall_also_inside_the_freeze(world: World, coach: ApiClient) -> None:
    """Nothing that cannot be set up stays prescribed."""
    coach.post(overrides(world), LIGHT)
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 3 * 24 * 60
        world.cast.harbour.save()
        items = {k: v for k, v in KIT["items"].items() if k not in ("kettlebell", "dumbbell")}
        kit = LocationKit.objects.get(location=world.cast.harbour)
        put_location_kit(
            actor=world.cast.coach.actor,
            location=world.cast.harbour,
            document={"items": items},
            version=kit.version,
        )
    drain(world.cast)
    with world.cast.inside():
        assert OverrideEnd.objects.get().codes == ["not_loadable:b:equipment_missing"]
    assert newest(world).content["overridden_by"] is None


@pytest.mark.parametrize(
    ("one", "code"),
    [
        ({"work": "b", "variation": "goblet_squat", "load_kg": 13.5}, "not_a_setting_here"),
        ({"work": "b", "variation": "row_45"}, "unknown_variation"),
        ({"work": "zz", "variation": "row_45"}, "unknown_work"),
    ],
)
def test_what_cannot_be_set_up_is_refused(world: World, coach: ApiClient, one: dict, code: str) -> None:
    """A load that the kit does not have is not prescribed, whoever wants it."""
    answer = coach.post(overrides(world), {"work": [one], "reason": "Try."})
    problem = assert_problem(answer, "invalid_input", 400)
    said = {fault["code"]: fault["detail"] for fault in problem["errors"]}
    assert not said[code].startswith("b:"), "the work by its name"


def test_after_a_warning_sign_nothing_is_overridden(world: World, coach: ApiClient) -> None:
    """A red flag is released by a named person first; its acknowledgement is not enough."""
    with world.cast.inside():
        create_report(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Bruna Keel"],
            told=Told(
                kind="red_flag", sign="chest_pain", happened_at=timezone.now() - dt.timedelta(minutes=5)
            ),
            now=timezone.now(),
        )
    drain(world.cast)
    held = newest(world)
    assert [reason["code"] for reason in held.content["reasons"]] == ["hold:red_flag"]
    assert held.content["hold"]["safe_alternative"]
    wish = {
        "work": [{"work": "a", "variation": "row_45"}, LIGHT["work"][0]],
        "reason": "She insists.",
        "acknowledged": ["hold:red_flag"],
    }
    assert_problem(coach.post(overrides(world), wish), "held_for_safety", 422)


def test_a_superseded_prescription_is_not_overridden(world: World, coach: ApiClient) -> None:
    """Two coaches at once: the second decides on what holds now."""
    path = overrides(world)
    assert coach.post(path, LIGHT).status_code == 201
    assert_problem(coach.post(path, LIGHT), "prescription_superseded", 409)
    second = coach.post(overrides(world), {**LIGHT, "reason": "Even less."})
    assert second.status_code == 201
    with world.cast.inside():
        assert OverrideEnd.objects.get().kind == "replaced"
        record_change(kind="athlete", subject=world.athletes["Bruna Keel"].id)
    drain(world.cast)
    assert newest(world).content["overridden_by"]["override"] == second.json()["id"]


def test_a_list_costs_the_same_for_three_rows_and_thirty() -> None:
    """The number of queries does not grow with the number of overrides."""
    found = []
    for count in (3, 30):
        world = make_world()
        athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
        drain(world.cast)
        with world.cast.inside():
            given = newest(world)
            Override.objects.bulk_create(
                Override(
                    org_id=required_org(), session=world.session, athlete=athlete, against=given, work=[],
                    cost={"conditions": []}, reason="Less.", made_by=world.cast.coach.person,
                )
                for _ in range(count)
            )  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            answer = ApiClient(world.cast.coach.token).get(url(world, "overrides"), query={"limit": "50"})
        assert len(answer.json()["items"]) == count
        found.append(len(queries))
    assert found[0] == found[1]
