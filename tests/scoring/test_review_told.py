"""Whoever sends a result is told where it says that somebody has to look at it first."""

import datetime as dt

import pytest

from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import add_athlete, drain, make_world, url

TIME = {"kind": "time", "upper": 1500}


@pytest.mark.django_db
def test_a_sender_is_told_where_it_says_that_a_result_waits() -> None:
    """The answer leaves before the result is scored: it names where to look, and there the review stands."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0)
    add_athlete(world, "Idris Vane", 84.0)
    rows = work("r", "horizontal_row", "row_45", repetitions=60)
    session = place(world, document("Rows", block("main", rows, aim=[TIME])), dt.timedelta(hours=-1))
    client = ApiClient(world.cast.coach.token)
    log = {"sets": [a_set("r", "row_45", "planned", repetitions=600)], "elapsed_s": 700.0}
    sent = send(world, session, "Bruna Keel", client=client, set_log=log)
    assert sent.status_code == 201
    path = f"attempts/{sent.json()['id']}"
    assert path in sent.json()["follows"] and "`review`" in sent.json()["follows"]
    before = client.get(url(world, path)).json()
    assert (before["review"], before["review_reason"]) == (None, "pending")
    drain(world.cast)
    told = client.get(url(world, path)).json()["review"]
    assert told["open"] and told["accepted"] is None and told["accepted_reason"] == "open"
    assert "too_many_repetitions" in {one["code"] for one in told["findings"]}
    assert all(one["detail"] for one in told["findings"])

    log = {"sets": [a_set("r", "row_45", "planned", repetitions=60)], "elapsed_s": 200.0}
    fine = send(world, session, "Idris Vane", client=client, set_log=log).json()["id"]
    drain(world.cast)
    found = client.get(url(world, f"attempts/{fine}")).json()
    assert (found["review"], found["review_reason"]) == (None, "nothing_to_review"), found["review"]
