"""A day of rising attempts: what is offered, a coach's loads, how they are told, and results as prescribed."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.absences import report_absence
from athletes.actions.assessments import Performance, record_assessment
from athletes.performed import Settings
from programming.models import ScheduledSession, Variation
from scoring.models import OfficialScore, Override, Prescription
from tests.scoring import sessions
from tests.scoring.several import NO_BREAKS, send, url
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

WHO, NEW = "Bruna Keel", "Ivo Marten"
BAR = "deadlift_barbell"
HEAVY: dict[str, Any] = {
    "key": "heavy",
    "work": [sessions.work("lift", "deadlift", BAR, load_kg=60, repetitions=1)],
    "rules": {
        "order": "attempts", "attempts": 3, "rest_between_s": 240, "break": NO_BREAKS,
        "end": {"kind": "work_done"}, "scored": "load", "tie_break": "fewest_misses",
    },
    "aim": {"conditions": []},
}  # fmt: skip


def day() -> dict[str, Any]:
    return sessions.document("Heaviest single", copy.deepcopy(HEAVY))


@pytest.fixture
def world(db: None) -> World:
    """Bruna did five with 100 kg to failure a week ago, a maximum of about 115 kg; Ivo was never seen."""
    world = make_world()
    add_athlete(world, NEW, 62.0)
    with_test(world, WHO, load_kg=100.0, repetitions=5)
    return world


def with_test(world: World, name: str, *, load_kg: float, repetitions: int) -> None:
    actor, now = world.cast.coach.actor, timezone.now()
    assert actor is not None
    athlete = add_athlete(world, name, 62.0)
    tested = Performance(
        kind="to_failure",
        repetitions=repetitions,
        performed_at=now - dt.timedelta(days=7),
        settings=Settings(load_kg=load_kg),
    )
    with world.cast.inside():
        key = Variation.objects.values_list("id", flat=True).get(key=BAR)
        record_assessment(actor=actor, athlete=athlete, variation_id=key, tested=tested, now=now)


def prescribed(world: World, name: str, session: ScheduledSession) -> Prescription:
    """The one that holds."""
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes[name], session=session)
        return rows.order_by("-number")[0]


def loads(one: Prescription) -> list[float]:
    return [attempt["load_kg"] for attempt in one.content["attempts"]]


def test_rising_loads_are_offered_for_a_coach_to_confirm(world: World) -> None:
    """An attempt at a maximum is never prescribed by itself; one request of the coach makes it so."""
    session = sessions.place(world, day())
    drain(world.cast)
    given = prescribed(world, WHO, session)
    opener, second, third = loads(given)
    assert not given.feasible
    assert [one["code"] for one in given.content["reasons"]] == ["maximal_attempt_needs_coach"]
    assert 95.0 <= opener < second < third <= 130.0
    assert given.content["closest"][0]["load_kg"] == opener
    assert max(one["load_kg"] for one in given.content["warm_up"]) < opener

    coach, path = ApiClient(world.cast.coach.token), url(world, f"prescriptions/{given.id}/overrides")
    made = coach.post(path, {"work": [], "reason": "She is ready."})
    assert made.status_code == 201, made.content
    assert made.json()["work"][0]["attempt_loads_kg"] == [opener, second, third]
    now = prescribed(world, WHO, session)
    assert (now.feasible, loads(now)) == (True, [opener, second, third])
    assert now.content["attempts"][0]["probability"] >= 0.95
    assert [one["repetitions"] for one in now.content["plan"]] == [1, 1, 1]
    assert [one["rest_before_s"] for one in now.content["plan"]] == [0, 240, 240]
    expected = now.content["expected"]
    assert (expected["unit"], second <= expected["score"]["p50"] <= third) == ("kg", True)

    drain(world.cast)  # what follows is the same: the override stands
    assert loads(prescribed(world, WHO, session)) == [opener, second, third]
    told = coach.get(url(world, f"prescriptions/{now.id}/explanation")).json()["sentences"]
    assert any(f"attempt 1: {opener:g} kg (made in" in one for one in told), told
    assert any("Stop after two misses" in one for one in told)


def test_who_was_never_seen_works_up(world: World) -> None:
    """Light loads that rise, no heavier than the coach wrote, with the reason."""
    session = sessions.place(world, day())
    drain(world.cast)
    given = prescribed(world, NEW, session)
    assert loads(given) == sorted(set(loads(given)))
    assert loads(given)[-1] <= 60.0
    codes = [one["code"] for one in given.content["reasons"]]
    assert codes == ["maximal_attempt_needs_coach", "works_up_lightly"]
    assert all(one["probability"] >= 0.85 for one in given.content["attempts"])
    coach = ApiClient(world.cast.coach.token)
    told = coach.get(url(world, f"prescriptions/{given.id}/explanation")).json()["sentences"]
    assert any("for a coach to confirm: attempt 1:" in one for one in told)
    assert any("no maximum yet" in one for one in told)


def test_a_coach_names_the_load_of_each_attempt(world: World) -> None:
    """What cannot be loaded, is not a load each, or falls, is refused; a hopeless one wants to be meant."""
    session = sessions.place(world, day())
    drain(world.cast)
    given = prescribed(world, WHO, session)
    coach, path = ApiClient(world.cast.coach.token), url(world, f"prescriptions/{given.id}/overrides")

    def body(*kg: float, **fields: Any) -> dict[str, Any]:
        work = {"work": "lift", "variation": BAR, "attempt_loads_kg": list(kg), **fields}
        return {"work": [work], "reason": "As we said."}

    for kg, code in (
        ((100, 110), "not_a_load_each"),
        ((100, 110, 105), "loads_fall"),
        ((100, 110, 111), "not_a_setting_here"),
    ):
        problem = assert_problem(coach.post(path, body(*kg)), "invalid_input", 400)
        assert [one["code"] for one in problem["errors"]] == [code]
    assert coach.post(path, body(100, 110, 115, load_kg=100)).status_code == 400
    hopeless = assert_problem(coach.post(path, body(100, 110, 140)), "needs_acknowledgement", 422)
    assert "Attempt 3" in hopeless["errors"][0]["detail"]

    told = body(100, 110, 110) | {"client_id": "floor-1"}
    made, again = coach.post(path, told), coach.post(path, told)
    assert (made.status_code, again.status_code) == (201, 200), made.content
    assert again.json()["id"] == made.json()["id"]
    now = prescribed(world, WHO, session)
    assert loads(now) == [100.0, 110.0, 110.0]
    assert now.content["work"][0]["load_kg"] == 100.0
    with world.cast.inside():
        assert Override.objects.get(id=made.json()["id"]).work[0]["loads_kg"] == [100.0, 110.0, 110.0]


def test_other_work_has_one_load(world: World) -> None:
    """Rows and squats in turn are no search for the heaviest load."""
    drain(world.cast)
    given = prescribed(world, WHO, world.session)
    work = {"work": "b", "variation": "goblet_squat", "attempt_loads_kg": [12, 16]}
    path = url(world, f"prescriptions/{given.id}/overrides")
    sent = ApiClient(world.cast.coach.token).post(path, {"work": [work], "reason": "So."})
    problem = assert_problem(sent, "invalid_input", 400)
    assert [one["code"] for one in problem["errors"]] == ["one_load_only"]


def test_done_as_prescribed_is_each_attempt_with_its_load(world: World) -> None:
    """All three made: the score is the last one, and no number told lies below it."""
    session = sessions.place(world, day())
    drain(world.cast)
    given = prescribed(world, WHO, session)
    path = url(world, f"prescriptions/{given.id}/overrides")
    made = ApiClient(world.cast.coach.token).post(path, {"work": [], "reason": "She is ready."})
    holds = made.json()["prescription"]
    with world.cast.inside():
        ScheduledSession.objects.filter(id=session.id).update(
            starts_at=timezone.now() - dt.timedelta(hours=2)
        )
    sent = send(world, session, WHO, as_prescribed={}, prescription=holds)
    assert sent.status_code == 201, sent.content
    drain(world.cast)
    last = loads(given)[-1]
    with world.cast.inside():
        score = OfficialScore.objects.get(attempt=sent.json()["id"], block="heavy")
    assert (score.value, score.unit, score.misses) == (last, "kg", 0)
    rows = ApiClient(world.cast.coach.token).get(url(world, f"athletes/{world.athletes[WHO].id}/capacities"))
    (told,) = [one for one in rows.json()["items"] if one["movement_key"] == "deadlift"]
    assert told["one_rm"]["effective_kg"] >= last


def test_attempts_in_the_first_week_back_want_to_be_meant(world: World) -> None:
    """Nothing is to go to failure then, and an attempt at a maximum does."""
    session = sessions.place(world, day())
    coach, actor = ApiClient(world.cast.coach.token), world.cast.coach.actor
    drain(world.cast)
    work = {"work": "lift", "variation": BAR, "attempt_loads_kg": [90, 100, 105]}
    before = prescribed(world, WHO, session)
    wish = {"work": [work], "reason": "She wants to know."}
    assert coach.post(url(world, f"prescriptions/{before.id}/overrides"), wish).json()["acknowledged"] == []

    today = timezone.now().date()
    with world.cast.inside():
        report_absence(
            actor=actor, athlete=world.athletes[WHO], kind="returning", now=timezone.now(),
            from_date=today - dt.timedelta(days=6), to_date=session.local_date - dt.timedelta(days=1),
        )  # fmt: skip
    drain(world.cast)
    given = prescribed(world, WHO, session)
    assert (given.content["safety"]["returning_week"], given.content["overridden_by"]) == (1, None)

    path = url(world, f"prescriptions/{given.id}/overrides")
    problem = assert_problem(coach.post(path, wish), "needs_acknowledgement", 422)
    codes = [one["code"] for one in problem["errors"]]
    assert "to_failure:lift" in codes
    made = coach.post(path, wish | {"acknowledged": codes})
    assert made.status_code == 201, made.content
    assert made.json()["acknowledged"] == sorted(codes)
    drain(world.cast)
    assert loads(prescribed(world, WHO, session)) == [90.0, 100.0, 105.0]
