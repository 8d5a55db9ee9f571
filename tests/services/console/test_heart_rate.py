"""Heart rates on a page: what was stated, and what the load of a day comes to, or why it does not."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete
from services.console.heart_rate import WEIGHED, WHY
from services.console.words import short_day
from tests.athletes.load_support import write_all
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.load_support import day_of, train
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, url

pytestmark = pytest.mark.django_db
RATES = {
    "resting_bpm": 50,
    "resting_source": "measured",
    "maximal_bpm": 190,
    "maximal_source": "told",
    "coefficients": "banister_1991_men",
}


@pytest.fixture
def noor(world: World) -> Athlete:
    return add_athlete(world, "Noor Castell")


def state(world: World, athlete: Athlete, **changes: Any) -> None:
    body = {**RATES, "from_date": day_of(athlete, 30).isoformat(), **changes}
    answer = ApiClient(world.cast.coach.token).post(url(world, f"athletes/{athlete.id}/heart-rates"), body)
    assert answer.status_code == 201, answer.content


def log(world: World, athlete: Athlete, days: int, **rates: float) -> None:
    """Half an hour of running at noon."""
    begun = dt.datetime.combine(day_of(athlete, days), dt.time(12), tzinfo=dt.UTC)
    body = {"modality": "running", "effort": 5, "minutes": 30, "started_at": begun.isoformat(), **rates}
    answer = ApiClient(world.cast.coach.token).post(url(world, f"athletes/{athlete.id}/training-logs"), body)
    assert answer.status_code == 201, answer.content
    with world.cast.inside():
        write_all(athlete)


def seen(world: World, athlete: Athlete, **query: Any) -> Seen:
    got = browser(world.cast.coach).get(page(world.cast, f"athletes/{athlete.id}/heart-rate"), query)
    assert got.status_code == 200
    return looked_at(got)


def days_told(world: World, athlete: Athlete) -> dict[str, Any]:
    rows = (
        ApiClient(world.cast.coach.token).get(url(world, f"athletes/{athlete.id}/load-days")).json()["items"]
    )
    return {row["local_date"]: row["heart_rate"] for row in rows}


def test_a_day_has_the_load_that_is_published(world: World, noor: Athlete) -> None:
    """Half an hour at 120 with 50 at rest and 190 at most is half of the reserve: 30 * 0.5 * 0.64 * e^(1.92 * 0.5),
    by Banister 1991 for men (from memory), which is 25.07; the interface says the same.
    """
    state(world, noor)
    log(world, noor, 3, mean_heart_rate=120, highest_heart_rate=150)
    text = seen(world, noor).text
    assert f"{short_day(day_of(noor, 3))} running 30 120 150 25" in text
    told = days_told(world, noor)[day_of(noor, 3).isoformat()]
    assert round(told["load_au"], 2) == 25.07
    since = short_day(day_of(noor, 30))
    weighed = WEIGHED["banister_1991_men"]
    assert f"{since} 50, measured 190, as somebody told it {weighed}" in text


def test_why_there_is_no_load_is_told(world: World, noor: Athlete) -> None:
    """Nothing stated; a session without a rate beside; no set of numbers chosen; a rate above the maximum."""
    log(world, noor, 3, mean_heart_rate=140)
    empty = seen(world, noor).text
    assert "Nobody has stated a rate at rest" in empty
    assert f"140 – – ({WHY['resting_and_maximal_rate_not_known']})" in empty
    state(world, noor, coefficients="none")
    assert f"– ({WHY['no_coefficients_chosen']})" in seen(world, noor).text
    state(world, noor)
    with world.cast.inside():
        train(world, noor, 3, 4, 40, "class")
        write_all(noor)
    told = days_told(world, noor)[day_of(noor, 3).isoformat()]
    part = f"{told['reported_load_au']:.0f} of what has a rate; {WHY['sessions_without_heart_rate']}"
    assert part in seen(world, noor).text
    assert "above the stated maximum" not in seen(world, noor).text
    log(world, noor, 2, mean_heart_rate=150, highest_heart_rate=205)
    assert seen(world, noor).text.count("above the stated maximum") == 1


def test_a_highest_rate_alone_is_shown_with_what_is_wrong_with_it(world: World, noor: Athlete) -> None:
    """No mean, so no load; that it lies above the stated maximum is still told."""
    state(world, noor)
    log(world, noor, 2, highest_heart_rate=205)
    text = seen(world, noor).text
    assert (
        f"running 30 – 205 – ({WHY['no_session_with_heart_rate']}) A rate lies above the stated maximum"
        in text
    )


def test_only_days_of_the_period_are_shown(world: World, noor: Athlete) -> None:
    """And a period that cannot be meant is refused beside its field."""
    state(world, noor)
    for days in (3, 9):
        log(world, noor, days, mean_heart_rate=140)
    text = seen(world, noor, from_date=day_of(noor, 5).isoformat()).text
    assert short_day(day_of(noor, 3)) in text and f"{short_day(day_of(noor, 9))} running" not in text
    assert "No training with a heart rate" in seen(world, noor, from_date=day_of(noor, 1)).text
    wrong = browser(world.cast.coach).get(
        page(world.cast, f"athletes/{noor.id}/heart-rate"), {"from_date": "2030-13-01"}
    )
    assert wrong.status_code == 400
    looked_at(wrong)


def test_from_the_load_the_way_is_shown_to_who_may_go(world: World, noor: Athlete) -> None:
    """To the heart rate for coaches alone; to the work for staff of the location too."""
    path = page(world.cast, f"athletes/{noor.id}/load")
    ways = {name: page(world.cast, f"athletes/{noor.id}/{name}") for name in ("heart-rate", "work-done")}
    for member, open_ in ((world.cast.coach, set(ways)), (world.cast.staff, {"work-done"})):
        links = looked_at(browser(member).get(path)).links
        assert {name for name, to in ways.items() if to in links} == open_


def test_it_costs_the_same_for_one_day_and_for_ten(world: World, noor: Athlete) -> None:
    state(world, noor)
    client, counted = browser(world.cast.coach), []
    for days in (range(1, 2), range(2, 11)):
        for one in days:
            log(world, noor, one, mean_heart_rate=140)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(page(world.cast, f"athletes/{noor.id}/heart-rate")).status_code == 200
        counted.append(len(queries))
    assert counted[0] == counted[1]
