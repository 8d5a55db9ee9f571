"""Tests and capacities over HTTP."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.capacities import recompute_capacities
from athletes.models import Assessment, Observation
from tests.athletes.conftest import TODAY, Team
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


@pytest.fixture
def weighed(team: Team) -> Team:
    with team.cast.inside():
        team.weigh(team.noor, 68.0)
        team.row = str(team.variation("row_45"))
        team.deadlift = str(team.variation("deadlift_barbell"))
        team.pull_up = str(team.variation("pull_up"))
        team.jump = str(team.variation("box_jump"))
    return team


def told(team, **change):
    body = {
        "variation": team.row,
        "kind": "to_failure",
        "repetitions": 14,
        "performed_at": "2030-03-19T18:05:00Z",
    }
    return {**body, **change}


def of(team: Team, rest: str = "") -> str:
    return team.path(f"athletes/{team.noor.id}/assessments{rest}")


def stored(team: Team) -> tuple[int, int]:
    with team.cast.inside():
        return Assessment.objects.count(), Observation.objects.count()


def test_record_and_read_a_test(weighed: Team):
    """What was sent comes back, with the version of the variation and who recorded it."""
    client = weighed.client(weighed.cast.staff)

    made = client.post(of(weighed), told(weighed))

    assert made.status_code == 201
    body = made.json()
    assert (body["variation_key"], body["variation_version"], body["ended_by"]) == ("row_45", 1, "failure")
    assert body["recorded_by"] == str(weighed.cast.staff.person.id)
    assert client.get(made.headers["Location"]).json() == body
    assert client.get(of(weighed)).json()["items"] == [body]


def test_a_double_submission_counts_once(weighed: Team):
    """By the idempotency key (same answer), by the client_id (200); a key is required."""
    client, key = weighed.client(weighed.cast.coach), str(uuid.uuid4())
    body = told(weighed, client_id="phone-7")

    first = client.post(of(weighed), body, idempotency_key=key)
    replay = client.post(of(weighed), body, idempotency_key=key)
    by_client_id = client.post(of(weighed), body)

    assert [r.status_code for r in (first, replay, by_client_id)] == [201, 201, 200]
    assert first.json() == replay.json() == by_client_id.json()
    assert replay.headers["Idempotency-Replayed"] == "true"
    assert stored(weighed) == (1, 1)
    other = {**body, "repetitions": 15}
    assert_problem(client.post(of(weighed), other, idempotency_key=key), "idempotency_key_reused", 422)
    assert_problem(client.post(of(weighed), other), "client_id_reused", 409)
    assert_problem(client.post(of(weighed), body, idempotency_key=None), "idempotency_key_missing", 400)


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"load_kg": -5}, "#/load_kg"),
        ({"load_kg": 5000}, "#/load_kg"),
        ({"load_kg": 10}, "#/load_kg"),
        ({"repetitions": -1}, "#/repetitions"),
        ({"repetitions": 2001}, "#/repetitions"),
        ({"repetitions": 14.5}, "#/repetitions"),
        ({"repetitions": True}, "#/repetitions"),
        ({"variation": str(uuid.uuid4())}, "#/variation"),
        ({"variation": "row_45"}, "#/variation"),
        ({"performed_at": "2030-03-21T18:05:00Z"}, "#/performed_at"),
        ({"performed_at": "2030-03-19"}, "#/performed_at"),
        ({"performed_at": "1990-03-19T18:05:00Z"}, "#/performed_at"),
        ({"kind": "guess"}, "#/kind"),
        ({"kind": "with_rir", "rir": 12}, "#/rir"),
        ({"ended_by": "boredom"}, "#/ended_by"),
        ({"athlete": str(uuid.uuid4())}, "#/athlete"),
        ({"org_id": str(uuid.uuid4())}, "#/org_id"),
    ],
)
def test_bad_tests_are_refused_at_their_place(weighed: Team, change, at):
    """Nothing is stored, and the pointer says where."""
    response = weighed.client(weighed.cast.coach).post(of(weighed), told(weighed, **change))

    assert_problem(response, "invalid_input", 400, at=at)
    assert stored(weighed) == (0, 0)


def test_not_a_number_is_not_json(weighed: Team):
    """NaN and infinity are refused by the parser."""
    client = weighed.client(weighed.cast.coach)
    for literal in (b"NaN", b"Infinity", b"1e999"):
        raw = b'{"kind": "to_failure", "repetitions": 5, "load_kg": ' + literal + b"}"
        response = client.request("POST", of(weighed), body=raw)
        assert_problem(response, "bad_request", 400)


def test_body_weight_work_of_somebody_never_weighed(weighed: Team):
    """422 that says to send a weighing first; then the same test is accepted."""
    client = weighed.client(weighed.cast.coach)
    path = weighed.path(f"athletes/{weighed.bram.id}/assessments")

    problem = assert_problem(client.post(path, told(weighed)), "body_mass_missing", 422)
    assert "weighing first" in problem["detail"]
    mass = {"body_mass_kg": 80, "measured_at": "2030-03-20T08:00:00Z"}
    assert client.post(path.replace("assessments", "body-mass"), mass).status_code == 201
    assert client.post(path, told(weighed)).status_code == 201


def test_assistance_beyond_the_body_mass(weighed: Team):
    """422: nothing is left to move."""
    body = told(weighed, variation=weighed.pull_up, assistance_kg=70)
    assert_problem(weighed.client(weighed.cast.coach).post(of(weighed), body), "not_a_load", 422)


def test_foreign_athletes_and_tests_are_not_there(weighed: Team):
    """A test is found only below its own athlete, an athlete only by who may see them."""
    coach, athlete = weighed.client(weighed.cast.coach), weighed.client(weighed.cast.athlete)
    made = coach.post(of(weighed), told(weighed)).json()

    assert_problem(athlete.post(of(weighed), told(weighed)), "not_found", 404)
    below_another = weighed.path(f"athletes/{weighed.bram.id}/assessments/{made['id']}")
    assert_problem(coach.get(below_another), "not_found", 404)
    assert_problem(coach.get(of(weighed, f"/{uuid.uuid4()}")), "not_found", 404)


def test_a_correction_keeps_both(weighed: Team):
    """The first names its replacement, the replacement the first; a second correction of it is refused."""
    client = weighed.client(weighed.cast.coach)
    first = client.post(of(weighed), told(weighed, repetitions=41)).json()
    path = of(weighed, f"/{first['id']}/corrections")

    made = client.post(path, told(weighed, repetitions=14, reason="Typing error."))

    assert made.status_code == 201
    assert made.json()["replaces"] == first["id"]
    old = client.get(of(weighed, f"/{first['id']}")).json()
    assert (old["repetitions"], old["replaced_by"]) == (41, made.json()["id"])
    assert client.get(made.headers["Location"]).json()["replaced_by"] is None
    assert stored(weighed) == (2, 1)
    again = client.post(path, told(weighed, repetitions=15, reason="Again."))
    assert_problem(again, "already_corrected", 409)
    assert_problem(client.post(path, told(weighed)), "invalid_input", 400, at="#/reason")


def test_capacities_are_explained(weighed: Team):
    """Forecast around the test, interval, method, prior, fingerprint, count of observations."""
    client = weighed.client(weighed.cast.coach)
    client.post(of(weighed), told(weighed))
    with weighed.cast.inside():
        recompute_capacities(athlete_id=weighed.noor.id, today=TODAY)

    (row,) = client.get(weighed.path(f"athletes/{weighed.noor.id}/capacities")).json()["items"]

    assert (row["movement_key"], row["variation_key"], row["observations"]) == ("horizontal_row", "row_45", 1)
    assert row["effective_kg"] == pytest.approx(0.5288 * 68.0)
    r = row["repetitions"]
    assert r["p10"] < r["p50"] < r["p90"]
    assert r["p10"] < 14.5 < r["p90"]
    assert row["one_rm"]["lower_kg"] < row["one_rm"]["effective_kg"] < row["one_rm"]["upper_kg"]
    assert (len(row["inputs"]), row["prior_number"], row["as_of"]) == (64, 1, "2030-03-19")
    assert row["method"]


def test_one_capacity_at_a_chosen_load(weighed: Team):
    """More load, fewer repetitions; the prior alone when never seen; what cannot be said has a reason."""
    client = weighed.client(weighed.cast.coach)
    base = weighed.path(f"athletes/{weighed.noor.id}/capacities")

    light = client.get(f"{base}/{weighed.deadlift}", query={"load_kg": "60"}).json()
    heavy = client.get(f"{base}/{weighed.deadlift}", query={"load_kg": "80"}).json()

    assert light["repetitions"]["mean"] > heavy["repetitions"]["mean"]
    assert (light["observations"], light["inputs"], light["one_rm"]) == (0, None, heavy["one_rm"])
    jump = client.get(f"{base}/{weighed.jump}").json()
    assert (jump["repetitions"], jump["repetitions_reason"]) == (None, "curve_does_not_apply")
    assert (jump["one_rm"], jump["one_rm_reason"]) == (None, "curve_does_not_apply")
    unweighed = weighed.path(f"athletes/{weighed.bram.id}/capacities/{weighed.pull_up}")
    bram = client.get(unweighed).json()
    assert (bram["repetitions"], bram["repetitions_reason"]) == (None, "body_mass_missing")
    none_left = client.get(f"{base}/{weighed.pull_up}", query={"assistance_kg": "68"}).json()
    assert (none_left["effective_kg"], none_left["effective_kg_reason"]) == (None, "not_a_load")


@pytest.mark.parametrize("text", ["nan", "inf", "-5", "heavy", "", "1e9"])
def test_a_load_that_is_none(weighed: Team, text):
    """400 with the name of the parameter."""
    path = weighed.path(f"athletes/{weighed.noor.id}/capacities/{weighed.deadlift}")
    response = weighed.client(weighed.cast.coach).get(path, query={"load_kg": text})
    assert_problem(response, "invalid_input", 400, at="load_kg")


@pytest.mark.parametrize("below", ["assessments", "capacities"])
def test_lists_cost_the_same_for_three_rows_as_for_thirty(weighed: Team, below):
    """No query for each row: three movements, then every movement of the catalogue that has a curve."""
    from programming.models import Movement

    client = weighed.client(weighed.cast.coach)
    path = weighed.path(f"athletes/{weighed.noor.id}/{below}")
    client.get(path)  # the first use of a token is written down
    counts = []
    with weighed.cast.inside():
        movements = list(Movement.objects.filter(capacity_kind="load_repetition").order_by("key"))
    for chosen in (movements[:3], movements[3:]):
        with weighed.cast.inside():
            for movement in chosen:
                variation = movement.variations.order_by("key").first()
                needs = variation.versions.get().document
                required = needs.get("required") or []
                weighed.test(
                    weighed.noor, variation.key, 8,
                    load_kg=20.0 if "load" in required else None,
                    height_cm=needs["height_fractions"][0][0] if "height" in required else None,
                    confirmed=True,  # 20 kg are much for a ball
                )  # fmt: skip
            recompute_capacities(athlete_id=weighed.noor.id, today=TODAY)
        with CaptureQueriesContext(connection) as queries:
            response = client.get(path, query={"limit": "200"})
        counts.append((len(queries), len(response.json()["items"])))
    assert counts[0][1] == 3
    assert counts[1][1] == len(movements) > 20
    assert counts[0][0] == counts[1][0]
