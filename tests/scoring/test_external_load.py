"""External load over HTTP: hand sums and published fractions, pandas over the same sets, and what is not known."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pandas as pd
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.training_logs import Trained, log_training
from athletes.models import Athlete
from programming.actions.sessions import schedule_session
from programming.models import VariationVersion
from scoring.models import Attempt, SetLog
from tests.references.load import VOLUME_LOADS
from tests.scoring.sessions import EVERY_KIND, block, document, place, work
from tests.scoring.several import a_set, correct, send
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db

NAME = "Ilse Brandt"
STRONG = document(
    "Squats and push-ups",
    block(
        "main",
        work("s", "back_squat", "back_squat_barbell", load_kg=100, repetitions=15),
        work("p", "push_up", "push_up_floor", repetitions=45),
        aim=[{"kind": "time", "upper": 1700}],
    ),
)


@pytest.fixture
def world(db: None) -> World:
    made = make_world()
    add_athlete(made, NAME, 80.0)
    return made


def told(world: World, token: str = "", name: str = NAME, **query: str) -> dict[str, Any]:
    path = url(world, f"athletes/{world.athletes[name].id}/external-load")
    answer = ApiClient(token or world.cast.coach.token).get(path, query=query)
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    return found


def named(lines: list[dict[str, Any]], by: str, name: str) -> dict[str, Any]:
    (found,) = (line for line in lines if line[by] == name)
    return found


def logged(
    world: World, draft: dict[str, Any], sets: list[dict[str, Any]], name: str = NAME
) -> dict[str, Any]:
    """A result of a session of an hour ago."""
    session = place(world, draft, -dt.timedelta(hours=1))
    answer = send(world, session, name, set_log={"sets": sets, "elapsed_s": 1200.0})
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    found: dict[str, Any] = answer.json()
    return found


SQUATS = [a_set("s", "back_squat_barbell", load_kg=100.0, repetitions=5, rir=2) for _ in range(3)]
PUSH_UPS = [a_set("p", "push_up_floor", "failure", repetitions=15) for _ in range(3)]


def test_kilograms_stand_by_pattern_as_worked_out_by_hand(world: World) -> None:
    """Of 80 kg: three times five with 100 kg are 1500 kg, three times fifteen push-ups (0.64 of the body) 2304 kg."""
    barbell, _, floor = VOLUME_LOADS
    logged(world, STRONG, [*SQUATS, *PUSH_UPS])
    found = told(world)
    squat = named(found["volume_by_pattern"], "pattern", "squat")
    push = named(found["volume_by_pattern"], "pattern", "horizontal_push")
    assert (squat["volume_load_kg"], push["volume_load_kg"]) == (
        pytest.approx(barbell[-1]),
        pytest.approx(floor[-1]),
    )
    assert (squat["sets"], squat["repetitions"], squat["sets_without_load"]) == (3, 15.0, 0)
    assert len(found["volume_by_pattern"]) == 2 and "volume_load_kg" not in found
    assert found["results"] == {"sessions": 1, "without_sets": []}


def test_hard_sets_are_counted_by_muscle_group(world: World) -> None:
    """Three squats with two left and three push-ups to failure: who helps counts a half, who holds still nothing."""
    logged(world, STRONG, [*SQUATS, *PUSH_UPS])
    found = {line["muscle_group"]: line for line in told(world)["hard_sets_by_muscle_group"]}
    assert [found["chest"][name] for name in ("direct", "fractional", "total")] == [3.0, 3.0, 3.0]
    assert [found["front_shoulder"][name] for name in ("direct", "fractional", "total")] == [0.0, 1.5, 3.0]
    assert found["quadriceps"]["direct"] == 3.0
    assert "abdominals" not in found


def test_a_set_of_which_nobody_said_what_was_left_is_not_hard(world: World) -> None:
    easy = [
        a_set("s", "back_squat_barbell", load_kg=100.0, repetitions=5, **more)
        for more in ({}, {"rir": 4}, {"rir": 3})
    ]
    logged(world, STRONG, easy)
    found = told(world)
    assert found["unknown_sets"] == 1 and found["hard_reserve"] == 3.0
    assert named(found["hard_sets_by_muscle_group"], "muscle_group", "quadriceps")["total"] == 1.0


def test_without_a_body_mass_what_needs_one_is_not_told(world: World) -> None:
    """Not the load on the bar alone in its place; what needs none is told."""
    add_athlete(world, "Nobody weighed")
    logged(world, STRONG, [*SQUATS, *PUSH_UPS], "Nobody weighed")
    found = told(world, name="Nobody weighed")
    push = named(found["volume_by_pattern"], "pattern", "horizontal_push")
    assert (push["volume_load_kg"], push["volume_load_kg_reason"]) == (None, "load_not_known")
    assert (push["sets"], push["sets_without_load"]) == (3, 3)
    assert named(found["volume_by_pattern"], "pattern", "squat")["volume_load_kg"] == pytest.approx(1500.0)


def test_what_is_not_counted_in_repetitions_stands_by_movement(world: World) -> None:
    """Kilocalories of a machine, seconds of a hold; none of them among the kilograms."""
    start = [
        a_set("p", "plank", hold_s=40.0),
        a_set("j", "box_jump", repetitions=10, duration_s=30.0),
    ]
    turn = [
        a_set("bike", "bike_stationary", energy_kcal=12.0, duration_s=50.0),
        a_set("press", "overhead_press_dumbbells", load_kg=16.0, repetitions=10),
    ]
    session = place(world, EVERY_KIND, -dt.timedelta(hours=1))
    parts = [
        {"block": "start", "set_log": {"sets": start}},
        {"block": "main", "set_log": {"sets": turn * 3, "elapsed_s": 900.0}},
    ]
    answer = send(world, session, NAME, blocks=parts)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    found = told(world)
    bike = named(found["by_movement"], "name", "Stationary bike")
    assert (bike["energy_kcal"], bike["distance_m"], bike["minutes"]) == (36.0, None, pytest.approx(2.5))
    assert (bike["energy_kcal_reason"], bike["distance_m_reason"]) == (None, "not_counted_in_it")
    plank = named(found["by_movement"], "name", "Front plank")
    assert (plank["sets"], plank["minutes"], plank["sets_without_time"]) == (1, pytest.approx(40.0 / 60.0), 0)
    assert {line["pattern"] for line in found["volume_by_pattern"]} == {"jump", "vertical_push"}
    press = named(found["volume_by_pattern"], "pattern", "vertical_push")
    assert press["volume_load_kg"] == pytest.approx(3 * 10 * 16.0)


def test_training_beside_the_programme_stands_by_what_it_was(world: World) -> None:
    """Metres of runs, and of rides, each for themselves; a session without a distance is said to be one."""
    now, ilse = timezone.now(), world.athletes[NAME]
    with world.cast.inside():
        for days, modality, minutes, metres in (
            (2, "running", 38.0, 8000.0),
            (3, "running", 20.0, None),
            (4, "cycling", 90.0, 40000.0),
            (5, "class", 45.0, None),
            (40, "running", 60.0, 12000.0),
        ):
            trained = Trained(modality, 5.0, minutes, now - dt.timedelta(days=days), metres)
            log_training(actor=world.cast.coach.actor, athlete=ilse, trained=trained, now=now)
    found = told(world)["logged"]
    assert [(one["modality"], one["sessions"], one["minutes"], one["distance_m"]) for one in found] == [
        ("class", 1, 45.0, None), ("cycling", 1, 90.0, 40000.0), ("running", 2, 58.0, 8000.0),
    ]  # fmt: skip
    assert (found[0]["distance_m_reason"], found[2]["sessions_without_distance"]) == (
        "distances_not_known",
        1,
    )


def test_totals_and_what_nobody_believes_tell_no_sets(world: World) -> None:
    """They are results all the same. Once somebody accepts the log its sets count; a correction takes its place."""
    totals = {
        "elapsed_s": 900.0,
        "work": [{"work": "s", "repetitions": 15}, {"work": "p", "repetitions": 45}],
    }
    session = place(world, STRONG, -dt.timedelta(hours=2))
    assert send(world, session, NAME, totals=totals).status_code == 201
    sent = logged(world, STRONG, [a_set("p", "push_up_floor", "failure", repetitions=900)])
    found = told(world)
    assert found["results"] == {
        "sessions": 2,
        "without_sets": [
            {"reason": "not_believed", "sessions": 1}, {"reason": "totals_tell_no_sets", "sessions": 1}
        ],
    }  # fmt: skip
    assert found["volume_by_pattern"] == [] and found["hard_sets_by_muscle_group"] == []
    correct(ApiClient(world.cast.coach.token), world, sent["id"], PUSH_UPS)
    assert told(world)["volume_by_pattern"][0]["volume_load_kg"] == pytest.approx(2304.0)


def insert(world: World, frame: pd.DataFrame) -> None:
    """Stored results, one a day, of the sets of a frame; inside no organisation."""
    ilse, person = world.athletes[NAME], world.cast.coach.person
    with world.cast.inside():
        found = VariationVersion.objects.filter(variation__key__in=set(frame["variation"]), number=1)
        versions = {one.variation.key: one.id for one in found.select_related("variation")}
        for days, sets in frame.groupby("days"):
            at = timezone.now() - dt.timedelta(days=int(days))
            session = schedule_session(
                actor=world.cast.coach.actor,
                revision_id=world.revision.id,
                location_id=world.cast.harbour.id,
                starts_at=at,
            )
            attempt = Attempt.objects.create(
                org=world.cast.org, session=session, athlete=ilse, kind="set_log", as_sent={}, performed_at=at,
                zone="UTC", local_date=at.date(), sent_by=person,
            )  # fmt: skip
            SetLog.objects.bulk_create(
                SetLog(
                    org=world.cast.org, attempt=attempt, ordinal=n, work="a",
                    variation_version_id=versions[one.variation],
                    repetitions=int(one.repetitions), ended_by=one.ended_by,
                    load_kg=None if np.isnan(one.load) else one.load, rir=None if np.isnan(one.rir) else int(one.rir),
                )
                for n, one in enumerate(sets.itertuples())
            )  # fmt: skip


def random_sets(count: int, seed: int = 20261130) -> pd.DataFrame:
    """Sets of some variations; fractions are those of tests/references and Winter's table, written down here."""
    rng = np.random.default_rng(seed)
    described = pd.DataFrame(
        [
            ("push_up_floor", "horizontal_push", 0.64, False),
            ("push_up_knees", "horizontal_push", 0.49, False),
            ("back_squat_barbell", "squat", 0.0, True),
            ("goblet_squat", "squat", 0.878, True),
        ],
        columns=["variation", "pattern", "fraction", "loaded"],
    )
    frame = described.sample(count, replace=True, random_state=seed).reset_index(drop=True)
    return frame.assign(
        days=rng.integers(0, 27, count),
        repetitions=rng.integers(1, 20, count),
        load=np.where(frame["loaded"], rng.choice([16.0, 24.0, 60.0], count), np.nan),
        rir=rng.choice([np.nan, 0.0, 2.0, 3.0, 4.0, 8.0], count),
        ended_by=rng.choice(["planned", "failure"], count),
    )


def test_it_is_what_pandas_makes_of_the_same_sets(world: World) -> None:
    """Two hundred random sets over four weeks, of 80 kg."""
    frame = random_sets(200)
    insert(world, frame)
    found = told(world)
    kg = frame["fraction"] * 80.0 + frame["load"].fillna(0.0)
    expected = (kg * frame["repetitions"]).groupby(frame["pattern"]).sum()
    assert {one["pattern"]: one["volume_load_kg"] for one in found["volume_by_pattern"]} == pytest.approx(
        dict(expected)
    )
    hard = (frame["ended_by"] == "failure") | (frame["rir"] <= 3)
    counted = {one["muscle_group"]: one for one in found["hard_sets_by_muscle_group"]}
    assert counted["chest"]["direct"] == hard[frame["pattern"] == "horizontal_push"].sum()
    assert counted["quadriceps"]["fractional"] == hard[frame["pattern"] == "squat"].sum()
    assert found["unknown_sets"] == ((frame["ended_by"] != "failure") & frame["rir"].isna()).sum()
    assert found["results"]["sessions"] == frame["days"].nunique()


def test_only_the_days_that_are_asked_for_count(world: World) -> None:
    frame = random_sets(60)
    insert(world, frame)
    first, last = ((timezone.now() - dt.timedelta(days=days)).date().isoformat() for days in (12, 5))
    within = frame[frame["days"].between(5, 12)]
    found = told(world, from_date=first, until_date=last)
    assert sum(one["sets"] for one in found["volume_by_pattern"]) == len(within)
    assert (found["from_date"], found["until_date"]) == (first, last)


def test_it_costs_the_same_for_three_results_as_for_thirty(world: World) -> None:
    path = url(world, f"athletes/{world.athletes[NAME].id}/external-load")
    client, counts = ApiClient(world.cast.coach.token), []
    client.get(path)
    for days in (range(3), range(3, 27)):
        insert(world, random_sets(27).assign(days=[list(days)[n % len(days)] for n in range(27)]))
        with CaptureQueriesContext(connection) as queries:
            sessions = client.get(path).json()["results"]["sessions"]
        counts.append((len(queries), sessions))
    assert [sessions for _, sessions in counts] == [3, 27]
    assert counts[0][0] == counts[1][0]


def test_an_athlete_reads_their_own_and_nobody_elses(world: World) -> None:
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes[NAME].id).update(person=world.cast.athlete.person)
    assert told(world, world.cast.athlete.token)["results"]["sessions"] == 0
    add_athlete(world, "Somebody else")
    other = url(world, f"athletes/{world.athletes['Somebody else'].id}/external-load")
    assert_problem(ApiClient(world.cast.athlete.token).get(other), "not_found", 404)
