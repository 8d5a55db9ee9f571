"""Load over HTTP: training logs, days of rest, load days and summaries; who sees what, and what is refused."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.group_members import add_group_members
from athletes.actions.training_logs import Trained, confirm_rest, log_training
from athletes.models import Athlete, LoadDay, RestDay, TrainingLog
from programming.actions.groups import create_group
from services.changes.models import Change
from tests.athletes.conftest import NOW, TODAY, Team, days_ago
from tests.athletes.load_support import write_all
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

RUN = {"modality": "running", "effort": 4, "minutes": 45, "started_at": "2030-03-18T06:30:00Z"}


def log(team: Team, days: int, effort: float, minutes: float, athlete=None, hour: int = 0):
    """Inside the organisation."""
    trained = Trained("class", effort, minutes, days_ago(days) - dt.timedelta(hours=hour))
    return log_training(actor=team.cast.coach.actor, athlete=athlete or team.noor, trained=trained, now=NOW)[
        0
    ]


def test_a_run_is_logged_once_and_counts_for_its_local_day(team: Team):
    """Half past midnight in Lisbon is the next day there, and what began before midnight belongs to that day."""
    client = team.client(team.cast.coach)
    path = team.path(f"athletes/{team.noor.id}/training-logs")
    body = {**RUN, "client_id": "run-1", "distance_m": 8000}
    made, again = client.post(path, body), client.post(path, body)
    assert (made.status_code, again.status_code) == (201, 200)
    assert made.json() == again.json() == client.get(made.headers["Location"]).json()
    assert_problem(client.post(path, {**body, "minutes": 46}), "client_id_reused", 409)
    with team.cast.inside():
        assert Change.objects.get(kind="athlete", subject=team.noor.id).from_date == dt.date(2030, 3, 18)
        write_all(team.noor)
        assert LoadDay.objects.get(local_date="2030-03-18").load_au == 180.0


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"effort": 11}, "#/effort"),
        ({"effort": -1}, "#/effort"),
        ({"effort": None}, "#/effort"),
        ({"minutes": -1}, "#/minutes"),
        ({"minutes": 1441}, "#/minutes"),
        ({"modality": "knitting"}, "#/modality"),
        ({"started_at": "2030-03-21T09:00:00Z"}, "#/started_at"),
        ({"started_at": "2012-03-21T09:00:00Z"}, "#/started_at"),
        ({"started_at": "2030-03-18T06:30:00"}, "#/started_at"),
        ({"mean_heart_rate": 170, "highest_heart_rate": 150}, "#/mean_heart_rate"),
        ({"highest_heart_rate": 260}, "#/highest_heart_rate"),
        ({"distance_m": -5}, "#/distance_m"),
        ({"load_au": 300}, "#/load_au"),
    ],
)
def test_what_cannot_be_meant_is_refused(team: Team, change, at):
    client = team.client(team.cast.coach)
    refused = client.post(team.path(f"athletes/{team.noor.id}/training-logs"), {**RUN, **change})
    assert_problem(refused, "invalid_input", 400, at=at)
    with team.cast.inside():
        assert not TrainingLog.objects.exists()


def test_effort_0_is_a_session_of_no_load(team: Team):
    """The day is reported, with a session."""
    client = team.client(team.cast.coach)
    client.post(team.path(f"athletes/{team.noor.id}/training-logs"), {**RUN, "effort": 0})
    with team.cast.inside():
        write_all(team.noor)
    (day,) = client.get(team.path(f"athletes/{team.noor.id}/load-days")).json()["items"]
    assert (day["state"], day["load_au"], day["sessions"]) == ("reported", 0.0, 1)


def test_a_log_is_corrected_by_who_has_seen_it_and_its_load_follows(team: Team):
    """If-Match as elsewhere; moved to another day, the earlier of both is where the load is written from."""
    client = team.client(team.cast.coach)
    made = client.post(team.path(f"athletes/{team.noor.id}/training-logs"), RUN)
    place, tag = made.headers["Location"], made.headers["ETag"]
    assert_problem(client.patch(place, {"minutes": 30}), "precondition_required", 428)
    moved = client.patch(place, {"started_at": "2030-03-10T06:30:00Z", "minutes": 30}, if_match=tag)
    assert (moved.json()["local_date"], moved.json()["version"]) == ("2030-03-10", 2)
    assert_problem(client.patch(place, {"minutes": 20}, if_match=tag), "precondition_failed", 412)
    bad = client.patch(
        place, {"mean_heart_rate": 160, "highest_heart_rate": 150}, if_match=moved.headers["ETag"]
    )
    assert_problem(bad, "invalid_input", 400, at="#/mean_heart_rate")
    with team.cast.inside():
        assert Change.objects.get(kind="athlete", subject=team.noor.id).from_date == dt.date(2030, 3, 10)
        write_all(team.noor)
        assert list(LoadDay.objects.values_list("local_date", "load_au")) == [(dt.date(2030, 3, 10), 120.0)]
    assert client.delete(place, if_match=moved.headers["ETag"]).status_code == 204
    with team.cast.inside():
        write_all(team.noor)
        assert not LoadDay.objects.exists()


def test_rest_is_confirmed_once_and_taken_back(team: Team):
    client = team.client(team.cast.coach)
    path = team.path(f"athletes/{team.noor.id}/rest-days")
    made, again = (client.post(path, {"local_date": "2030-03-18"}) for _ in range(2))
    assert (made.status_code, again.status_code) == (201, 200) and made.json() == again.json()
    for day in ("2030-03-21", "2010-01-01"):
        assert_problem(client.post(path, {"local_date": day}), "invalid_input", 400, at="#/local_date")
    with team.cast.inside():
        write_all(team.noor)
        assert LoadDay.objects.get().state == "rest"
    assert client.delete(f"{path}/{made.json()['id']}").status_code == 204
    with team.cast.inside():
        assert not RestDay.objects.exists()
        write_all(team.noor)
        assert not LoadDay.objects.exists()


def a_worked_week(team: Team) -> None:
    """420, 0, 300, 600, 0, 480, 0, the last day being yesterday; today nothing yet."""
    with team.cast.inside():
        for days, minutes in ((7, 84), (5, 60), (4, 120), (2, 96)):
            log(team, days, 5, minutes)
        for days in (6, 3, 1):
            confirm_rest(actor=team.cast.coach.actor, athlete=team.noor, day=days_ago(days).date(), now=NOW)
        write_all(team.noor)


def test_the_summary_of_a_worked_week(team: Team):
    """The same week by both ddof, computed apart; it ends yesterday, since today is not over."""
    a_worked_week(team)
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}/load-summary")
    for ddof, monotony, strain in ((0, 1.083944, 1951.0993), (1, 1.003537, 1806.3670)):
        told = client.get(path, query={"ddof": str(ddof)}).json()
        assert told["on"] == days_ago(1).date().isoformat() and told["ratio"] is None
        week = told["week"]
        assert (week["load_au"]["value"], week["basis"], week["ddof"]) == (1800.0, "daily", ddof)
        assert week["monotony"]["value"] == pytest.approx(monotony, abs=5e-7)
        assert week["strain_au"]["value"] == pytest.approx(strain, abs=5e-5)
    assert told["change"] == {"value": None, "value_reason": "fewer_than_14_days"}
    assert told["means"]["chronic"] == {"value": None, "value_reason": "fewer_than_28_days"}
    assert [one["days"] for one in told["sums"]] == [7, 14, 21, 28]
    assert told["inputs"] == {"days": 7, "newest_day": days_ago(1).date().isoformat()}


def test_today_counts_once_it_is_told(team: Team):
    """Asked for by its date it is an unreported day before, and a reported one after."""
    a_worked_week(team)
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}/load-summary")
    today = client.get(path, query={"on": TODAY.isoformat()}).json()["week"]
    assert today["load_au"] == {"value": None, "value_reason": "unreported_days"}
    assert (today["reported_days"], today["reported_load_au"]) == (6, 1380.0)
    with team.cast.inside():
        log(team, 0, 5, 60, hour=6)
        write_all(team.noor)
    told = client.get(path).json()
    assert (told["on"], told["week"]["load_au"]["value"]) == (TODAY.isoformat(), 1680.0)


def test_a_ratio_is_told_only_where_asked_for(team: Team):
    """With its meaning, and none before four weeks."""
    a_worked_week(team)
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}/load-summary")
    told = client.get(path, query={"ratio": "weighted"}).json()["ratio"]
    assert (told["value"], told["value_reason"]) == (None, "fewer_than_28_days")
    assert "not an estimate of any risk" in told["meaning"]


@pytest.mark.parametrize(
    "query",
    [
        {"on": "tomorrow"},
        {"on": "2030-W11-1"},
        {"on": "2030-03-21"},
        {"on": "1999-01-01"},
        {"ddof": "2"},
        {"ratio": "all"},
        {"x": "1"},
    ],
)
def test_what_no_summary_answers(team: Team, query):
    client = team.client(team.cast.coach)
    refused = client.get(team.path(f"athletes/{team.noor.id}/load-summary"), query=query)
    assert_problem(refused, "invalid_input", 400)


def test_of_somebody_who_never_told_anything_nothing_is_told(team: Team):
    """Reasons all over, no error."""
    told = team.client(team.cast.coach).get(team.path(f"athletes/{team.bram.id}/load-summary")).json()
    assert told["week"]["load_au"] == {"value": None, "value_reason": "fewer_than_7_days"}
    assert told["inputs"] == {"days": 0, "newest_day": None}


def test_a_location_is_told_by_athlete_and_no_median_of_few(team: Team):
    """Of the athletes of that location; fewer than five with a known week make no median."""
    a_worked_week(team)
    path = team.path(f"locations/{team.cast.harbour.id}/load-summary")
    told = team.client(team.cast.coach).get(path).json()
    assert [row["name"] for row in told["athletes"]] == ["Ayo Lindqvist", "Noor Castell"]
    assert told["athletes"][1]["week_load_au"]["value"] == 1800.0
    assert (told["told"], told["median_week_load_au"]["value_reason"]) == (1, "fewer_than_5_athletes")
    assert_problem(team.client(team.cast.athlete).get(path), "forbidden", 403)


def test_a_group_is_told_as_it_is_on_the_day_and_as_far_as_who_asks_may_know(team: Team):
    """Noor came into it five days ago and Bram, of the mill, is in it too; staff of the harbour see only Noor."""
    a_worked_week(team)
    with team.cast.inside():
        actor = team.cast.coach.actor
        group = create_group(actor=actor, name="Late shift", location_id=team.cast.harbour.id)
        for row, days in ((team.noor, 5), (team.bram, 40)):
            add_group_members(
                actor=actor,
                group=group,
                athlete_ids=[row.id],
                from_date=days_ago(days).date(),
                until_date=None,
            )
    path = team.path(f"groups/{group.id}/load-summary")

    def names(member, **query):
        told = team.client(member).get(path, query=query).json()
        return [row["name"] for row in told["athletes"]]

    assert names(team.cast.coach) == ["Bram Okoye", "Noor Castell"]
    assert names(team.cast.coach, on=days_ago(10).date().isoformat()) == ["Bram Okoye"]
    assert names(team.cast.staff) == ["Noor Castell"]
    assert_problem(team.client(team.cast.athlete).get(path), "forbidden", 403)


def test_five_of_a_location_have_a_median(team: Team):
    """1, 2, 3, 4 and 5 times 420 and rest."""
    with team.cast.inside():
        for n in range(5):
            row = Athlete.objects.create(org=team.cast.org, name=f"F{n}", location=team.cast.mill, zone="UTC")
            log(team, 7, 5, 84 * (n + 1), row)
            for days in range(1, 7):
                confirm_rest(actor=team.cast.coach.actor, athlete=row, day=days_ago(days).date(), now=NOW)
            write_all(row)
    told = team.client(team.cast.coach).get(team.path(f"locations/{team.cast.mill.id}/load-summary")).json()
    assert (told["told"], told["median_week_load_au"]) == (5, {"value": 1260.0, "value_reason": None})


@pytest.mark.parametrize("below", ["training-logs", "rest-days", "load-days"])
def test_lists_cost_the_same_for_three_rows_as_for_thirty(team: Team, below):
    """No query for each row."""
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}/{below}")
    client.get(path)  # the first use of a token is written down
    counts = []
    for days in (range(1, 4), range(4, 31)):
        with team.cast.inside():
            for n in days:
                if below == "rest-days":
                    confirm_rest(
                        actor=team.cast.coach.actor, athlete=team.noor, day=days_ago(n).date(), now=NOW
                    )
                else:
                    log(team, n, 5, 40)
            write_all(team.noor)
        with CaptureQueriesContext(connection) as queries:
            items = client.get(path).json()["items"]
        counts.append((len(queries), len(items)))
    assert [items for _, items in counts] == [3, 30]
    assert counts[0][0] == counts[1][0]


def test_a_summary_of_many_costs_the_same_for_three_as_for_thirty(team: Team):
    client, path = team.client(team.cast.coach), team.path(f"locations/{team.cast.mill.id}/load-summary")
    client.get(path)
    counts = []
    for extra in (2, 27):
        with team.cast.inside():
            for n in range(extra):
                row = Athlete.objects.create(
                    org=team.cast.org, name=f"E{len(counts)} {n}", location=team.cast.mill, zone="UTC"
                )
                log(team, 2, 5, 40, row)
                write_all(row)
        with CaptureQueriesContext(connection) as queries:
            rows = client.get(path).json()["athletes"]
        counts.append((len(queries), len(rows)))
    assert [rows for _, rows in counts] == [3, 30]
    assert counts[0][0] == counts[1][0]


def what_if(team: Team, **body):
    path = team.path(f"athletes/{team.noor.id}/load-what-ifs")
    return team.client(team.cast.coach).post(path, body)


def test_a_what_if_goes_on_from_what_is_recorded(team: Team):
    """Ten days, five of them planned, computed apart; an unknown day counts as none and is told."""
    loads = [100.0, 0.0, 80.0, 0.0, 120.0]
    with team.cast.inside():
        for days, load in zip(range(4, -1, -1), loads, strict=True):
            if days == 1:
                continue
            log(team, days, 5, load / 5, hour=6)
        write_all(team.noor)
    told = what_if(team, planned_au=[0.0, 0.0, 60.0, 0.0, 0.0]).json()
    expected = [400, 410.7009, 340.6182, 358.3653, 254.8036, 282.8624, 308.8424, 272.8837, 301.5377, 328.0358]
    assert [day["difference_au"] + 500 for day in told["days"]] == pytest.approx(expected, abs=5e-5)
    assert [day["is_planned"] for day in told["days"]] == [False] * 5 + [True] * 5
    assert (told["days_not_known"], told["convention"]) == (1, "inclusive")
    assert "illustrative" in told["meaning"] and told["turning"]["neutral_days"] == pytest.approx(15.595812)
    other = what_if(team, planned_au=[0.0, 0.0, 60.0, 0.0, 0.0], convention="exclusive").json()
    assert [day["difference_au"] for day in other["days"]][7] == pytest.approx(332.8837 - 500, abs=5e-5)


@pytest.mark.parametrize(
    ("body", "at"),
    [
        ({}, "#/planned_au"),
        ({"planned_au": []}, "#/planned_au"),
        ({"planned_au": [-1]}, "#/planned_au/0"),
        ({"planned_au": [1] * 181}, "#/planned_au"),
        ({"planned_au": [1], "convention": "both"}, "#/convention"),
    ],
)
def test_what_no_what_if_answers(team: Team, body, at):
    assert_problem(what_if(team, **body), "invalid_input", 400, at=at)


def test_a_what_if_of_who_never_logged_begins_today(team: Team):
    told = what_if(team, planned_au=[100.0]).json()
    assert [day["load_au"] for day in told["days"]] == [0.0, 100.0] and told["days_not_known"] == 1
