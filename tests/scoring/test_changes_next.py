"""What the next prescription changes after a miss: read from what is prescribed, whatever the cause."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.models import ScheduledSession
from scoring.changes_next import (
    BEFORE,
    BY_ALL,
    NOTHING_CHANGES,
    THIS_TIME,
    _coming,
    _of_movement,
    tell_changes,
)
from scoring.models import Attempt, OfficialScore, Prescription
from tests.scoring.known import NAME, given, known_world
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db

FIRST = {"kind": "first_set", "work": "r", "lower": 12, "upper": 18}


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def missed(world: World, coach: ApiClient, movement: str, variation: str, repetitions: int) -> dict[str, Any]:
    """The first condition of a result of an hour ago: one set to failure, sixty were written."""
    doc = document("One set", block("main", work("r", movement, variation, repetitions=60), aim=[FIRST]))
    session = place(world, doc, dt.timedelta(hours=-1))
    sets = [a_set("r", variation, "failure", repetitions=repetitions)]
    sent = send(world, session, NAME, client=coach, set_log={"sets": sets, "elapsed_s": 600.0})
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    found: dict[str, Any] = coach.get(url(world, f"attempts/{sent.json()['id']}")).json()["score"]["aim"][0]
    return found


def test_what_the_next_prescription_really_changes_is_said(world: World, coach: ApiClient) -> None:
    """Twenty-four in place of sixteen: the coming rows are prescribed anew, and each change is one that is stored."""
    before = given(world)
    found = missed(world, coach, "horizontal_row", "row_45", 24)
    after = given(world)
    assert found["state"] == "missed" and found["sentence"]
    assert after.number > before.number
    assert found["next"].startswith(f"Next, on {world.session.local_date}: ")
    assert found["next"].endswith(f" {BEFORE}, {BY_ALL}.") and "instead of" in found["next"], found
    first = next(one for one in after.content["plan"] if one["work"] == "a")["repetitions"]
    assert f"{first} repetitions" in found["next"] or "instead of Suspension row" in found["next"], found


def test_nothing_further_is_said_where_nothing_is_planned(world: World, coach: ApiClient) -> None:
    found = missed(world, coach, "pull_up", "pull_up", 3)
    assert found["next"].startswith("Nothing further with ") and found["next"].endswith(" is planned yet.")


def test_it_is_read_and_not_stored(world: World, coach: ApiClient) -> None:
    missed(world, coach, "horizontal_row", "row_45", 24)
    with world.cast.inside():
        assert all("next" not in one for row in OfficialScore.objects.all() for one in row.aim)


def test_it_takes_a_fixed_number_of_queries(world: World, coach: ApiClient) -> None:
    """As many for two coming sessions as for one."""
    missed(world, coach, "horizontal_row", "row_45", 24)
    with world.cast.inside():
        attempt = OfficialScore.objects.get().attempt_id
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as captured:
            assert coach.get(url(world, f"attempts/{attempt}")).status_code == 200
        counts.append(len(captured))
        place(
            world,
            document(
                "More", block("main", work("r", "horizontal_row", "row_45", repetitions=30), aim=[FIRST])
            ),
        )
        drain(world.cast)
    assert counts[0] == counts[1]


def test_what_was_changed_before_a_result_is_not_credited_to_it(world: World, coach: ApiClient) -> None:
    """The coming rows were prescribed anew by an earlier result; nothing was issued after the one that is told of."""
    found = missed(world, coach, "horizontal_row", "row_45", 24)
    assert NOTHING_CHANGES not in found["next"]
    with world.cast.inside():
        attempt, score = Attempt.objects.get(), OfficialScore.objects.get()
        attempt.created_at = Prescription.objects.latest("issued_at").issued_at
        tell_changes(world.cast.coach.actor, attempt, [score])
    assert score.aim[0]["next"].endswith(f"{NOTHING_CHANGES}."), score.aim[0]


def changed(row: Prescription, **fields: Any) -> Prescription:
    """Another prescription of the session, its rows (work a) changed."""
    content = copy.deepcopy(row.content)
    next(one for one in content["work"] if one["work"] == "a").update(fields)
    return Prescription(session_id=row.session_id, content=content)


@pytest.mark.parametrize(("fields", "said"), [
    ({}, f"{{name}}, {NOTHING_CHANGES}"),
    ({"load_kg": 27.5}, "{name}, 27.5 kg instead of no load before"),
    ({"load_kg": 10.0, "worn": True}, "{name}, a vest of 10 kg instead of no load before"),
    ({"variation": "other", "variation_name": "Other row"}, "Other row, instead of {name} before"),
    ({"movement": "gone"}, "{name} is not prescribed any more"),
])  # fmt: skip
def test_each_difference_has_its_words(world: World, fields: dict[str, Any], said: str) -> None:
    old = given(world)
    name = next(one for one in old.content["work"] if one["work"] == "a")["variation_name"]
    assert list(_of_movement("horizontal_row", old, changed(old, **fields), BEFORE)) == [
        said.format(name=name)
    ]


def test_of_another_session_amounts_are_not_compared(world: World) -> None:
    """Another session asks for another amount: that is no change for the athlete."""
    old = given(world)
    new = changed(old, repetitions=12)
    new.session_id = world.cast.org.id
    (told,) = _of_movement("horizontal_row", old, new, THIS_TIME)
    assert told.endswith(NOTHING_CHANGES)
    (alone,) = _of_movement("horizontal_row", None, old, THIS_TIME)
    assert alone.endswith("with nothing to compare it with")


def test_a_hold_is_said(world: World) -> None:
    old = given(world)
    new = changed(old, movement="gone")
    new.content["hold"] = {"code": "pain"}
    assert list(_of_movement("horizontal_row", old, new, BEFORE)) == [
        "nothing is prescribed while a hold stands"
    ]


def coming_of(world: World, coach: ApiClient) -> tuple[Attempt, Any]:
    """A result that misses, and the actor of the coach."""
    missed(world, coach, "horizontal_row", "row_45", 24)
    with world.cast.inside():
        return Attempt.objects.get(), world.cast.coach.actor


def test_only_the_athletes_own_coming_prescriptions_are_looked_at(world: World, coach: ApiClient) -> None:
    """Not those of somebody else in the same session."""
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 9, "goblet_squat": 12})
    drain(world.cast)
    attempt, actor = coming_of(world, coach)
    with world.cast.inside():
        found = _coming(actor, attempt)
        assert Prescription.objects.values("athlete_id").distinct().count() == 2
    assert found and {row.athlete_id for row in found} == {world.athletes[NAME].id}
    assert {row.session_id for row in found} == {world.session.id}


def test_only_what_the_reader_sees_and_what_is_to_come_is_looked_at(world: World, coach: ApiClient) -> None:
    """Nothing for another athlete who asks, after the session has begun, of the result's own session, of one that was
    cancelled."""
    attempt, actor = coming_of(world, coach)
    with world.cast.inside():
        assert _coming(actor, attempt)
        assert not _coming(world.cast.athlete.actor, attempt)
        late = copy.copy(attempt)
        late.performed_at = world.session.starts_at + dt.timedelta(minutes=1)
        assert not _coming(actor, late)
        own = copy.copy(attempt)
        own.session_id = world.session.id
        assert not _coming(actor, own)
        ScheduledSession.objects.filter(id=world.session.id).update(cancelled_at=timezone.now())
        assert not _coming(actor, attempt)


def test_amounts_of_one_session_are_compared_new_with_old(world: World) -> None:
    old = given(world)
    asked = next(one for one in old.content["work"] if one["work"] == "a")
    (said,) = _of_movement("horizontal_row", old, changed(old, repetitions=12, height_cm=55.0), BEFORE)
    assert f"12 repetitions instead of {asked['repetitions']} repetitions" in said
    assert "55 cm high" in said
