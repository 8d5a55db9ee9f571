"""Holds and cyclical work over HTTP: tests of their kinds, and what their capacities say."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.capacities import recompute_capacities
from programming.models import Movement
from tests.athletes.conftest import TODAY, Team
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

WHEN = "2030-03-19T18:05:00Z"


@pytest.fixture
def weighed(team: Team) -> Team:
    with team.cast.inside():
        team.weigh(team.noor, 68.0)
    return team


def send(team: Team, key: str, **told):
    with team.cast.inside():
        variation = str(team.variation(key))
    body = {"variation": variation, "performed_at": WHEN, **told}
    return team.client(team.cast.coach).post(team.path(f"athletes/{team.noor.id}/assessments"), body)


def listed(team: Team) -> list[dict]:
    with team.cast.inside():
        recompute_capacities(athlete_id=team.noor.id, today=TODAY)
    path = team.path(f"athletes/{team.noor.id}/capacities")
    return team.client(team.cast.coach).get(path, query={"limit": "200"}).json()["items"]


def read(team: Team, key: str, **query: str):
    with team.cast.inside():
        variation = team.variation(key)
    path = team.path(f"athletes/{team.noor.id}/capacities/{variation}")
    return team.client(team.cast.coach).get(path, query=query)


def test_a_hold_is_taken_and_explained(weighed: Team):
    """What was sent comes back; its capacity has seconds around it, a load for a minute, no repetitions."""
    made = send(weighed, "plank", kind="hold_to_failure", hold_s=150)

    assert made.status_code == 201
    body = made.json()
    assert (body["hold_s"], body["repetitions"], body["ended_by"]) == (150.0, None, "failure")
    (row,) = listed(weighed)
    assert (row["capacity_kind"], row["repetitions"], row["cyclical"]) == ("hold", None, None)
    assert row["repetitions_reason"] == "curve_does_not_apply"
    assert row["effective_kg"] == pytest.approx(0.6916 * 68.0)
    hold = row["hold"]
    assert hold["seconds"]["p10"] < 150.0 < hold["seconds"]["p90"]
    assert hold["minute_kg"]["lower"] < hold["minute_kg"]["median"] < hold["minute_kg"]["upper"]
    assert (hold["seconds_reason"], hold["doubts"], row["observations"]) == (None, [], 1)
    assert row["method"].startswith("power law")
    heavier = read(weighed, "plank", load_kg="20").json()["hold"]["seconds"]
    assert heavier["p50"] < hold["seconds"]["p50"]


def test_a_trial_is_taken_and_explained(weighed: Team):
    """The time of the last amount stands beside critical power and reserve; one trial is a doubt."""
    made = send(weighed, "row_machine", kind="time_trial", distance_m=2000, elapsed_s=480)

    assert (made.status_code, made.json()["elapsed_s"], made.json()["ended_by"]) == (201, 480.0, "planned")
    (row,) = listed(weighed)
    told = row["cyclical"]
    assert (row["capacity_kind"], row["hold"], told["measure"]) == ("cyclical", None, "power")
    assert (told["unit"], told["amount"], told["doubts"]) == ("distance_m", 2000.0, ["one_trial"])
    assert told["seconds"]["p10"] < 480.0 < told["seconds"]["p90"]
    assert told["critical"]["lower"] < told["critical"]["median"] < told["critical"]["upper"]
    assert told["reserve"]["lower"] < told["reserve"]["median"] < told["reserve"]["upper"]
    assert row["method"].startswith("two-parameter")


def test_one_capacity_for_an_amount(weighed: Team):
    """More takes longer; without an amount, and where two parameters end, a reason; foreign units are refused."""
    short, long = (
        read(weighed, "row_machine", energy_kcal=kcal).json()["cyclical"]["seconds"] for kcal in ("60", "120")
    )
    assert short["p90"] < long["p90"]
    none = read(weighed, "row_machine").json()["cyclical"]
    assert (none["seconds"], none["seconds_reason"], none["doubts"]) == (None, "no_amount", ["prior_only"])
    sprint = read(weighed, "row_machine", energy_kcal="1").json()["cyclical"]
    assert (sprint["seconds"], sprint["seconds_reason"]) == (None, "beyond_domain")
    hour = read(weighed, "run_course", distance_m="12000").json()["cyclical"]
    assert hour["seconds"] is not None and "outside_domain" in hour["doubts"]
    hard = read(weighed, "bar_hang", load_kg="100").json()["hold"]
    assert hard["seconds"] is not None and "near_maximum" in hard["doubts"]
    light = read(weighed, "bar_hang", assistance_kg="64").json()["hold"]
    assert (light["seconds"], light["seconds_reason"]) == (None, "beyond_hold_law")
    assert_problem(read(weighed, "run_course", energy_kcal="20"), "invalid_input", 400, at="energy_kcal")
    assert_problem(read(weighed, "run_course", distance_m="0"), "invalid_input", 400, at="distance_m")
    assert_problem(read(weighed, "run_course", distance_m="nan"), "invalid_input", 400, at="distance_m")
    both = read(weighed, "row_machine", energy_kcal="20", distance_m="500")
    assert_problem(both, "invalid_input", 400, at="energy_kcal")


@pytest.mark.parametrize(
    ("key", "told", "at"),
    [
        ("plank", {"kind": "to_failure", "repetitions": 5}, "#/repetitions"),
        ("plank", {"kind": "hold_to_failure"}, "#/hold_s"),
        ("plank", {"kind": "hold_to_failure", "hold_s": "long"}, "#/hold_s"),
        ("plank", {"kind": "hold_to_failure", "hold_s": -1}, "#/hold_s"),
        ("run_course", {"kind": "time_trial", "distance_m": 400}, "#/elapsed_s"),
        ("run_course", {"kind": "time_trial", "distance_m": 1e9, "elapsed_s": 60}, "#/distance_m"),
        ("push_up_floor", {"kind": "to_failure"}, "#/repetitions"),
    ],
)
def test_bad_tests_are_refused_at_their_place(weighed: Team, key, told, at):
    """422 or 400 with the pointer; nothing is stored."""
    response = send(weighed, key, **told)

    assert response.status_code in (400, 422)
    assert at in {error["pointer"] for error in response.json()["errors"]}


def test_a_run_needs_no_weighing(team: Team):
    """A trial has no load: the athlete may never have been weighed; a plank may not."""
    assert send(team, "run_course", kind="time_trial", distance_m=1000, elapsed_s=250).status_code == 201
    assert_problem(send(team, "plank", kind="hold_to_failure", hold_s=60), "body_mass_missing", 422)


def test_the_list_costs_the_same_for_three_as_for_all(weighed: Team):
    """Of every kind that is kept in the catalogue; no query for each row."""
    with weighed.cast.inside():
        movements = list(
            Movement.objects.exclude(capacity_kind__in=["none", "load_repetition"]).order_by("key")
        )
    assert len(movements) > 12
    client, counts = weighed.client(weighed.cast.coach), []
    path = weighed.path(f"athletes/{weighed.noor.id}/capacities")
    client.get(path)
    for chosen in (movements[:3], movements[3:]):
        for movement in chosen:
            with weighed.cast.inside():
                variation = movement.variations.order_by("key").first()
                document = variation.versions.get().document
            load = {"load_kg": 20} if "load" in document.get("required", []) else {}
            if movement.capacity_kind == "hold":
                told = {"kind": "hold_to_failure", "hold_s": 45, **load}
            else:
                unit = document["counted_in"][0]
                told = {"kind": "time_trial", unit: 1500 if unit == "distance_m" else 60, "elapsed_s": 420}
            assert send(weighed, variation.key, **told).status_code == 201
        with weighed.cast.inside():
            recompute_capacities(athlete_id=weighed.noor.id, today=TODAY)
        with CaptureQueriesContext(connection) as queries:
            rows = client.get(path, query={"limit": "200"}).json()["items"]
        counts.append((len(queries), len(rows)))
    assert [count for _, count in counts] == [3, len(movements)]
    assert counts[0][0] == counts[1][0]
