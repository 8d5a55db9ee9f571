"""What the next prescription changes after a miss: read from what is prescribed, whatever the cause."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.changes_next import BEFORE, NOTHING_CHANGES, THIS_TIME, _of_movement, tell_changes
from scoring.models import Attempt, OfficialScore, Prescription
from tests.scoring.known import NAME, given, known_world
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import World, drain, url

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
    assert found["next"].endswith(f" {BEFORE}.") and "instead of" in found["next"], found
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
