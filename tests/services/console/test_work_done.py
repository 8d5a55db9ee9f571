"""Work done, kind by kind: the numbers of the interface, and no sum of different things."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Athlete
from services.console.words import short_day
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.conftest import result_of, send
from tests.services.console.load_support import day_of, train
from tests.support.api import ApiClient
from tests.support.world import World, url

NAME = "Bruna Keel"
pytestmark = pytest.mark.django_db


def path_of(world: World) -> str:
    return page(world.cast, f"athletes/{world.athletes[NAME].id}/work-done")


def seen(world: World, **query: Any) -> Seen:
    got = browser(world.cast.coach).get(path_of(world), query)
    assert got.status_code == 200
    return looked_at(got)


def told(world: World) -> dict[str, Any]:
    path = url(world, f"athletes/{world.athletes[NAME].id}/external-load")
    found: dict[str, Any] = ApiClient(world.cast.coach.token).get(path).json()
    return found


@pytest.fixture
def worked(prescribed: World) -> World:
    """Sixty rows and eighty squats with 16 kg in two sets each, and three runs beside."""
    send(prescribed, result_of(prescribed, NAME))
    athlete: Athlete = prescribed.athletes[NAME]
    with prescribed.cast.inside():
        for days in (2, 5, 9):
            train(prescribed, athlete, days, 5, 40, "running")
    return prescribed


def test_every_number_is_the_interface_s(worked: World) -> None:
    """Kilograms by pattern, hard sets by muscle group, sets by movement, and what is logged beside."""
    text, answer = seen(worked).text, told(worked)
    patterns = {one["pattern"]: one for one in answer["volume_by_pattern"]}
    for key, name in (("squat", "Squat"), ("horizontal_pull", "Horizontal pull")):
        moved = f"{patterns[key]['volume_load_kg']:.0f} kg"
        assert f"{name} {moved} 2 sets {patterns[key]['repetitions']:.0f}" in text
    assert patterns["squat"]["repetitions"] == 80
    for one in answer["hard_sets_by_muscle_group"]:
        name = one["muscle_group"].replace("_", " ").capitalize()
        assert f"{name} {one['direct']:g} {one['fractional']:g} {one['total']:g}" in text
    assert f"Of {answer['unknown_sets']} sets nobody said how much was left" in text
    for one in answer["by_movement"]:
        assert f"{one['name']} {one['sets']} – – – (no set was timed)" in text
    assert "Running 3 120 min – (nobody measured the way)" in text
    assert text.count("1 result.") == 1


def test_pounds_stand_beside_for_who_reads_them(worked: World) -> None:
    """Of the whole amount, thousands too."""
    client = browser(worked.cast.coach)
    assert client.post("/units", {"weights": "lb", "next": path_of(worked)}).status_code == 303
    found = re.search(
        r"Squat (\d{4}) kg \((\d{4,5}(?:\.\d)?) lb\)", looked_at(client.get(path_of(worked))).text
    )
    assert found is not None
    assert float(found[2]) == pytest.approx(float(found[1]) / 0.45359237, abs=0.6)


def test_what_is_known_in_part_is_told_so(worked: World) -> None:
    """One of four runs was measured; a result in all tells no set."""
    coach, athlete = ApiClient(worked.cast.coach.token), worked.athletes[NAME]
    begun = timezone.now().isoformat()
    run = {"modality": "running", "effort": 5, "minutes": 30, "started_at": begun, "distance_m": 5250}
    assert coach.post(url(worked, f"athletes/{athlete.id}/training-logs"), run).status_code == 201
    assert "Running 4 150 min 5250 m; 3 without a way" in seen(worked).text


def test_time_is_told_of_the_sets_that_have_one(worked: World) -> None:
    """Of two sets of rows one was timed: two minutes, and one set more."""
    body = result_of(worked, "Idris Vane")
    body["set_log"]["sets"][0]["duration_s"] = 120
    send(worked, body)
    path = page(worked.cast, f"athletes/{worked.athletes['Idris Vane'].id}/work-done")
    text = looked_at(browser(worked.cast.coach).get(path)).text
    assert "Suspension row 2 – – 2 min; 1 set not timed" in text


def test_the_days_are_those_that_are_asked_for(worked: World) -> None:
    """Four weeks where nothing is asked; a period with nothing in it; too long a one is refused beside its field."""
    athlete = worked.athletes[NAME]
    usual = seen(worked)
    assert f"From {short_day(day_of(athlete, 27))} to {short_day(day_of(athlete, 0))}" in usual.text
    assert "Running 1 40 min" in seen(worked, from_date=day_of(athlete, 3)).text
    none = seen(worked, from_date=day_of(athlete, 20), to_date=day_of(athlete, 15)).text
    assert "No set and no training beside the programme is known of these days." in none
    long = browser(worked.cast.coach).get(path_of(worked), {"from_date": "2020-01-01"})
    assert long.status_code == 400
    assert "At most 366 days are shown at once." in looked_at(long).text


def test_it_costs_the_same_for_one_run_and_for_many(worked: World) -> None:
    client, counted = browser(worked.cast.coach), []
    for days in (range(10, 11), range(11, 21)):
        with worked.cast.inside():
            for one in days:
                train(worked, worked.athletes[NAME], one, 5, 40, "cycling" if one % 2 else "rowing")
        with CaptureQueriesContext(connection) as queries:
            assert client.get(path_of(worked)).status_code == 200
        counted.append(len(queries))
    assert counted[0] == counted[1]
