"""Resting and maximal heart rates over HTTP, and the load of days from the rates of training: published arithmetic
through the public interface, and a reason wherever there is none.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.heart_rates import Stated, state_heart_rates
from athletes.actions.loads import DoneSession
from athletes.actions.training_logs import Trained, log_training
from athletes.models import HeartRates
from tests.athletes.conftest import NOW, Team, days_ago
from tests.athletes.load_support import write_all
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

BODY = {
    "from_date": "2030-03-01",
    "resting_bpm": 40,
    "resting_source": "measured",
    "maximal_bpm": 200,
    "maximal_source": "told",
    "coefficients": "banister_1991_men",
}


def path(team: Team, below: str = "heart-rates") -> str:
    return team.path(f"athletes/{team.noor.id}/{below}")


def stated(team: Team, **change: Any) -> Any:
    made = team.client(team.cast.coach).post(path(team), {**BODY, **change})
    assert made.status_code == 201, made.content
    return made.json()


def ran(team: Team, days: int, minutes: float, mean: float | None, highest: float | None = None) -> None:
    """Inside no organisation; a run so many days ago, and the load days after it."""
    with team.cast.inside():
        trained = Trained("running", 5.0, minutes, days_ago(days), None, mean, highest)
        log_training(actor=team.cast.coach.actor, athlete=team.noor, trained=trained, now=NOW)
        write_all(team.noor)


def told(team: Team) -> dict[str, Any]:
    """By day what is told from heart rate."""
    items = team.client(team.cast.coach).get(path(team, "load-days")).json()["items"]
    return {item["local_date"]: item["heart_rate"] for item in items}


def on(team: Team, days: int) -> dict[str, Any]:
    found: dict[str, Any] = told(team)[days_ago(days).date().isoformat()]
    return found


@pytest.mark.parametrize(
    ("rates", "coefficients", "minutes", "mean", "expected"),
    [
        ((40, 200), "banister_1991_men", 30, 130, 31.802539),
        ((40, 200), "banister_1991_women", 30, 130, 37.128518),
        ((40, 200), "morton_1990_men", 30, 130, 49.691467),
        ((60, 190), "banister_1991_men", 60, 150, 100.440294),
        ((60, 190), "banister_1991_women", 60, 150, 113.516788),
    ],
)
def test_worked_sessions_come_out(team: Team, rates, coefficients, minutes, mean, expected):
    """Computed apart from minutes, share of the reserve and the published coefficients (those from memory)."""
    stated(team, resting_bpm=rates[0], maximal_bpm=rates[1], coefficients=coefficients)
    ran(team, 2, minutes, mean)
    found = on(team, 2)
    assert found["load_au"] == found["reported_load_au"] == pytest.approx(expected, abs=2e-6)
    assert (found["basis"], found["coefficients"], found["sessions"]) == ("mean_rate", coefficients, 1)
    assert found["above_maximal"] is False


def test_two_sessions_of_a_day_are_added_up(team: Team):
    """Each by its own mean: 15 minutes at four tenths of the reserve and 15 at nine tenths are 56.914809."""
    stated(team)
    ran(team, 2, 15, 104)
    ran(team, 2, 15, 184)
    assert on(team, 2)["load_au"] == pytest.approx(56.914809, abs=2e-6)


def test_where_there_is_none_it_is_said_why(team: Team):
    """Nothing stated, no set chosen, no rate of a session, a session of the programme that has none."""
    ran(team, 4, 30, 130)
    assert (on(team, 4)["load_au_reason"], on(team, 4)["coefficients"]) == (
        "resting_and_maximal_rate_not_known",
        None,
    )
    stated(team, coefficients="none")
    assert (on(team, 4)["load_au_reason"], on(team, 4)["coefficients"]) == ("no_coefficients_chosen", None)
    stated(team, from_date="2030-03-02")
    ran(team, 3, 30, None)
    assert (on(team, 3)["load_au_reason"], on(team, 3)["sessions"]) == ("no_session_with_heart_rate", 0)
    with team.cast.inside():
        write_all(team.noor, [DoneSession(days_ago(4).date(), "programme", 6.0, 50.0)])
    found = on(team, 4)
    assert (found["load_au"], found["load_au_reason"]) == (None, "sessions_without_heart_rate")
    assert found["reported_load_au"] == pytest.approx(31.802539, abs=2e-6)
    assert found["reported_load_au_reason"] is None
    assert on(team, 3)["reported_load_au_reason"] == "no_session_with_heart_rate"


def test_above_the_maximum_it_is_flagged_and_counted_as_the_maximum(team: Team):
    """Whether the mean or the highest of the session lies above; at the maximum a minute is 4.3654 (men). The highest
    is flagged without a mean too, which gives no load.
    """
    stated(team)
    ran(team, 4, 30, None, 204)
    ran(team, 5, 30, None, 190)
    ran(team, 3, 10, 205)
    ran(team, 2, 30, 130, 204)
    assert on(team, 3)["above_maximal"] and on(team, 3)["load_au"] == pytest.approx(43.654, abs=5e-4)
    assert on(team, 2)["above_maximal"] and on(team, 2)["load_au"] == pytest.approx(31.802539, abs=2e-6)
    assert on(team, 4)["above_maximal"] and not on(team, 5)["above_maximal"]
    for days in (4, 5):
        assert (on(team, days)["load_au_reason"], on(team, days)["sessions"]) == (
            "no_session_with_heart_rate",
            0,
        )


def test_below_rest_there_is_no_load(team: Team):
    stated(team, resting_bpm=60)
    ran(team, 3, 30, 55)
    assert on(team, 3)["load_au"] == 0.0


def test_a_day_goes_by_the_latest_statement_up_to_it(team: Team):
    """Days before the first statement by the first, as with weighings; of one day the later word holds."""
    for days in (9, 5, 2):
        ran(team, days, 30, 130)
    stated(team, from_date=days_ago(6).date().isoformat())
    stated(team, from_date=days_ago(3).date().isoformat(), coefficients="morton_1990_women")
    with time_machine.travel(NOW + dt.timedelta(minutes=1), tick=False):
        stated(team, from_date=days_ago(3).date().isoformat(), coefficients="banister_1991_women")
    assert [on(team, days)["load_au"] for days in (9, 5, 2)] == pytest.approx(
        [31.802539, 31.802539, 37.128518], abs=2e-6
    )


def test_what_was_wrong_is_taken_back(team: Team):
    """And the load goes with it; sent twice under one client_id it is one."""
    client = team.client(team.cast.coach)
    made, again = (client.post(path(team), {**BODY, "client_id": "rates-1"}) for _ in range(2))
    assert (made.status_code, again.status_code) == (201, 200) and made.json() == again.json()
    assert_problem(
        client.post(path(team), {**BODY, "client_id": "rates-1", "resting_bpm": 45}), "client_id_reused", 409
    )
    ran(team, 2, 30, 130)
    assert on(team, 2)["load_au"] is not None
    assert client.delete(f"{path(team)}/{made.json()['id']}").status_code == 204
    assert on(team, 2)["load_au_reason"] == "resting_and_maximal_rate_not_known"
    with team.cast.inside():
        assert not HeartRates.objects.exists()


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"resting_bpm": 24}, "#/resting_bpm"),
        ({"maximal_bpm": 241}, "#/maximal_bpm"),
        ({"resting_bpm": 120, "maximal_bpm": 150}, "#/maximal_bpm"),
        ({"from_date": "2030-03-21"}, "#/from_date"),
        ({"from_date": "2012-03-21"}, "#/from_date"),
        ({"resting_source": "guessed"}, "#/resting_source"),
        ({"coefficients": "by_sex"}, "#/coefficients"),
        ({"coefficients": None}, "#/coefficients"),
    ],
)
def test_what_cannot_be_meant_is_refused(team: Team, change, at):
    refused = team.client(team.cast.coach).post(path(team), {**BODY, **change})
    assert_problem(refused, "invalid_input", 400, at=at)


def test_staff_of_the_place_read_the_load_and_not_the_rates(team: Team):
    """As with answers about health; the athlete states and reads their own."""
    stated(team)
    ran(team, 2, 30, 130)
    staff = team.client(team.cast.staff)
    assert_problem(staff.get(path(team)), "forbidden", 403)
    assert_problem(staff.post(path(team), BODY), "forbidden", 403)
    assert staff.get(path(team, "load-days")).json()["items"][0]["heart_rate"]["load_au"] is not None
    own, mine = team.client(team.cast.athlete), team.path(f"athletes/{team.ayo.id}/heart-rates")
    assert own.post(mine, BODY).status_code == 201
    assert [one["resting_bpm"] for one in own.get(mine).json()["items"]] == [40.0]
    assert_problem(own.get(path(team)), "not_found", 404)


@pytest.mark.parametrize("below", ["heart-rates", "load-days"])
def test_lists_cost_the_same_for_three_rows_as_for_thirty(team: Team, below):
    """No query for each row; load from heart rate comes with the days."""
    client, counts = team.client(team.cast.coach), []
    client.get(path(team, below))  # the first use of a token is written down
    for days in (range(1, 4), range(4, 31)):
        with team.cast.inside():
            for n in days:
                one = Stated(days_ago(n).date(), 40.0, "told", 200.0, "told", "banister_1991_men")
                state_heart_rates(actor=team.cast.coach.actor, athlete=team.noor, stated=one, now=NOW)
                trained = Trained("running", 5.0, 30.0, days_ago(n), None, 130.0)
                log_training(actor=team.cast.coach.actor, athlete=team.noor, trained=trained, now=NOW)
            write_all(team.noor)
        with CaptureQueriesContext(connection) as queries:
            items = client.get(path(team, below)).json()["items"]
        counts.append((len(queries), len(items)))
    assert [items for _, items in counts] == [3, 30]
    assert counts[0][0] == counts[1][0]
    if below == "load-days":
        assert {round(item["heart_rate"]["load_au"], 6) for item in items} == {31.802539}
