"""The summary of the checks: against plain counting, whose it is, and what it says."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from scipy import stats

from athletes.models import Athlete
from programming.models import Movement
from scoring.calc.trust import trust_of
from scoring.models import Attempt, ForecastCheck
from scoring.trusted import Subject, tallies_of
from services.tenancy.context import required_org
from tests.oracles.naive_trust import tally_of
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, make_world, url

pytestmark = pytest.mark.django_db
TODAY = dt.date(2026, 11, 20)


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel")
    return world


def attempt_of(world: World, athlete: Athlete) -> Attempt:
    """One to hang rows on: nothing of it is computed."""
    return Attempt.objects.create(
        org_id=required_org(), session=world.session, athlete=athlete, kind="totals", as_sent={},
        performed_at=timezone.now(), zone="Europe/Lisbon", local_date=TODAY, sent_by=world.cast.coach.person,
    )  # fmt: skip


def fill(
    world: World,
    positions: Any,
    *,
    name: str = "Bruna Keel",
    shown: Any = None,
    differences: Any = None,
    movement: str = "horizontal_row",
    scored: str = "",
    **fields: Any,
) -> list[ForecastCheck]:
    """Rows at these positions, of first sets of a movement, or of scores."""
    count = len(positions)
    shown = [True] * count if shown is None else shown
    differences = [None] * count if differences is None else differences
    with world.cast.inside():
        athlete = world.athletes[name]
        attempt = Attempt.objects.filter(athlete=athlete).first() or attempt_of(world, athlete)
        of = None if scored else Movement.objects.get(key=movement).id
        before = ForecastCheck.objects.count()
        return ForecastCheck.objects.bulk_create(
            ForecastCheck(
                **{
                    "org_id": required_org(), "attempt": attempt, "session": world.session, "athlete": athlete,
                    "block": f"block{before + number}", "work": "" if scored else "a", "movement_id": of,
                    "scored": scored, "local_date": TODAY, "unit": "s" if scored else "repetitions",
                    "kind": "shown" if shown[number] else "at_least", "low": float(position),
                    "high": float(position) if shown[number] else 1.0, "position": float(position),
                    "difference": differences[number], "forecast_version": 3, **fields,
                }
            )
            for number, position in enumerate(positions)
        )  # fmt: skip


def forecasts(seed: int, count: int, *, spread: float = 1.0, shift: float = 0.0) -> Any:
    """Positions of results N(shift, spread) in forecasts N(0, 1)."""
    return stats.norm.cdf(np.random.default_rng(seed).normal(shift, spread, count))


def read(world: World, who: str = "coach", **query: Any) -> Any:
    token = getattr(world.cast, who).token
    answer = ApiClient(token).get(url(world, "forecast-checks"), query=query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_the_statement_counts_as_one_counts_row_by_row(world: World) -> None:
    """Three subjects with lower bounds among them, ties too, against pandas."""
    rng = np.random.default_rng(4)
    asked = {"horizontal_row": 57, "squat": 23}
    wanted = {}
    for movement, count in asked.items():
        positions = np.round(rng.random(count), 2)
        shown = rng.random(count) < 0.7
        differences = [
            float(one) if there else None for one, there in zip(rng.normal(size=count), shown, strict=True)
        ]
        fill(world, positions, shown=shown, differences=differences, movement=movement)
        wanted[movement] = tally_of(positions.tolist(), shown.tolist(), differences)
    fill(world, [0.3], scored="time")
    wanted["time"] = tally_of([0.3], [True], [None])
    with world.cast.inside():
        with CaptureQueriesContext(connection) as queries:
            found = tallies_of(ForecastCheck.objects.all())
        keys = dict(Movement.objects.values_list("id", "key"))
    assert len(queries) == 1
    named = {subject.scored or keys[subject.movement_id]: one for subject, one in found.items()}
    assert set(named) == set(wanted)
    for key, tally in wanted.items():
        assert named[key].number == tally.number
        assert (named[key].at_least, named[key].differences) == (tally.at_least, tally.differences)
        assert named[key].position == pytest.approx(tally.position)
        assert named[key].position_sd == pytest.approx(tally.position_sd)
        assert named[key].difference == pytest.approx(tally.difference)
        assert named[key].difference_sd == pytest.approx(tally.difference_sd)
        for ours, theirs in zip(named[key].bounds, tally.bounds, strict=True):
            assert (ours.last, ours.past) == (theirs.last, theirs.past)
            assert ours.log_left == pytest.approx(theirs.log_left, abs=1e-9)
            assert ours.spent == pytest.approx(theirs.spent, abs=1e-9)
    assert Subject(None, "time", "s") in found


def test_true_forecasts_are_said_to_be_as_sure_as_they_say(world: World) -> None:
    """120 first sets: the number, the share and its interval, in plain words; and the same as numbers."""
    positions = forecasts(4, 120)
    differences = [float(one) for one in np.random.default_rng(2).normal(0.0, 2.0, 120)]
    fill(world, positions, differences=differences)
    (found,) = read(world)["movements"]

    inside = int(((positions > 0.1) & (positions <= 0.9)).sum())
    told = trust_of(tally_of(positions.tolist(), [True] * 120, differences))
    begins = "120 first sets held against forecasts of Suspension row:"
    assert found["sentence"].startswith(f"{begins} {round(100 * inside / 120)} % lay where 80 % should (")
    assert "about as sure as they say" in found["sentence"]
    assert (found["sureness"], found["side"], found["results"]) == ("as_said", None, 120)
    assert [one["intended"] for one in found["coverage"]] == [0.5, 0.8, 0.95]
    assert found["coverage"][1]["held"]["share"] == pytest.approx(inside / 120, abs=0.0006)
    assert found["coverage"][1]["as_many_as"] == 120
    assert told.bias is not None
    assert found["bias"]["lower"] == pytest.approx(told.bias.lower, abs=0.006)
    assert found["position"]["mean"] == pytest.approx(positions.mean(), abs=0.0006)


def test_forecasts_that_are_too_sure_are_told_so(world: World) -> None:
    """Half as much spread again as foreseen, and three repetitions more."""
    positions = forecasts(3, 150, spread=1.5, shift=0.8)
    fill(world, positions, differences=[3.0 + 0.1 * (number % 3) for number in range(150)])
    (found,) = read(world)["movements"]
    assert (found["sureness"], found["side"]) == ("too_narrow", "too_low")
    assert "surer than they should be" in found["sentence"]
    assert "On the whole it was more than foreseen, by 3.1 repetitions on average" in found["sentence"]


def test_times_are_slower_or_faster_and_wide_forecasts_are_told_so(world: World) -> None:
    fill(world, forecasts(3, 200, spread=0.5, shift=-0.3), scored="time", differences=[-75.0, -65.0] * 100)
    found = read(world)
    (score,) = found["scores"]
    assert (found["movements"], score["scored"], score["unit"]) == ([], "time", "s")
    assert (score["sureness"], score["side"]) == ("too_wide", "too_high")
    assert "nearer to the middle than they say" in score["sentence"]
    assert "On the whole it was faster than foreseen, by 70 s on average (69 to 71)." in score["sentence"]


def test_a_mean_on_the_other_side_is_not_told(world: World) -> None:
    """Most results lie high, and a few far below: how much is not said, for it would say the opposite."""
    fill(world, [0.7, 0.8] * 40, differences=[0.5] * 70 + [-40.0] * 10)
    (found,) = read(world)["movements"]
    assert found["side"] == "too_low"
    assert "On the whole it was more than foreseen." in found["sentence"]


def test_few_and_stopped_sets_are_said_to_tell_little(world: World) -> None:
    """Of forty sets 35 were stopped early: no interval of 80 %, no bias; one result alone has no mean either."""
    fill(world, [0.1] * 5 + [0.2] * 35, shown=[True] * 5 + [False] * 35, differences=[-2.0] * 5 + [None] * 35)
    fill(world, [0.4], scored="load", unit="kg")
    found = read(world)
    (row,) = found["movements"]
    assert row["sentence"] == (
        "40 first sets (35 of them stopped, which show a least only) held against forecasts of Suspension row:"
        " too few that show it to say how far to trust them."
    )
    assert (row["results"], row["at_least"], row["sureness"]) == (40, 35, "too_few")
    assert row["coverage"][1]["held"] is None
    assert row["coverage"][1]["held_reason"] == "too_few_go_so_far"
    assert (row["bias"], row["bias_reason"]) == (None, "stopped_sets_hide_it")
    (one,) = found["scores"]
    assert one["sentence"].startswith("1 result held against forecasts of the heaviest load: too few")
    assert (one["position"], one["position_reason"]) == (None, "too_few")


def test_what_does_not_count_is_told_by_its_reason(world: World) -> None:
    fill(world, [0.5, 0.6], left_out="pain")
    fill(world, [0.5], left_out="other_version")
    fill(world, [0.5], overridden=True)
    found = read(world)
    assert (found["movements"], found["scores"]) == ([], [])
    assert [(one["reason"], one["number"]) for one in found["left_out"]] == [
        ("other_version", 1),
        ("pain", 2),
    ]
    assert found["left_out"][1]["sentence"] == "2 first sets and scores of 1 result: pain ended a set."
    assert [one["results"] for one in found["left_out"]] == [1, 1]
    assert [one["results"] for one in read(world, overridden="true")["movements"]] == [1]
    assert read(world, overridden="true")["left_out"] == []


def test_it_is_told_of_a_part(world: World) -> None:
    """By movement, athlete, location and window; both ends of the window count."""
    add_athlete(world, "Idris Vane")
    fill(world, [0.5] * 3)
    fill(world, [0.5] * 2, movement="squat")
    fill(world, [0.5], name="Idris Vane")
    fill(world, [0.5] * 4, local_date=TODAY + dt.timedelta(days=1))
    fill(world, [0.5], scored="time")

    def told(**query: Any) -> dict[str, int]:
        found = read(world, **query)
        return {
            one.get("name", one.get("scored")): one["results"] for one in found["movements"] + found["scores"]
        }

    with world.cast.inside():
        squat = Movement.objects.get(key="squat").id
    everything = {"Suspension row": 8, "Squat": 2, "time": 1}
    assert told() == everything
    assert told(movement=squat) == {"Squat": 2}
    assert told(athlete=world.athletes["Idris Vane"].id) == {"Suspension row": 1}
    assert told(location=world.cast.harbour.id) == everything
    assert told(location=world.cast.mill.id) == {}
    assert told(from_date=TODAY + dt.timedelta(days=1)) == {"Suspension row": 4}
    assert told(until_date=TODAY, from_date=TODAY) == {"Suspension row": 4, "Squat": 2, "time": 1}


@pytest.mark.parametrize(
    ("query", "parameter"),
    [({"movement": "row"}, "movement"), ({"athlete": "1"}, "athlete"), ({"location": "here"}, "location"),
     ({"from_date": "yesterday"}, "from_date"), ({"until_date": "1999-01-01"}, "until_date"),
     ({"from_date": "2026-11-02", "until_date": "2026-11-01"}, "until_date"), ({"overridden": "maybe"}, "overridden"),
     ({"by": "week"}, "by")],
)  # fmt: skip
def test_bad_parameters_are_refused_by_name(world: World, query: dict[str, str], parameter: str) -> None:
    answer = ApiClient(world.cast.coach.token).get(url(world, "forecast-checks"), query=query)
    problem = assert_problem(answer, "invalid_input", 400)
    assert [one["parameter"] for one in problem["errors"]] == [parameter]
    framework = ("Enter a", "Select a", "not one of the available")
    assert not any(words in one["detail"] for one in problem["errors"] for words in framework), problem


@pytest.mark.parametrize("parameter", ["movement", "athlete", "location"])
def test_what_nobody_sees_is_no_empty_summary(world: World, parameter: str) -> None:
    """A mistyped id, and one of another organisation, alike: that nothing is known would be said of neither."""
    other = make_world()
    add_athlete(other, "Nia Moor")
    with other.cast.inside():
        theirs = {
            "movement": Movement.objects.get(key="squat").id,
            "athlete": other.athletes["Nia Moor"].id,
            "location": other.cast.harbour.id,
        }
    for identifier in (uuid4(), theirs[parameter]):
        answer = ApiClient(world.cast.coach.token).get(
            url(world, "forecast-checks"), query={parameter: identifier}
        )
        problem = assert_problem(answer, "invalid_input", 400)
        assert [(one["parameter"], one["code"]) for one in problem["errors"]] == [
            (parameter, "unknown_reference")
        ]
        assert f"no {parameter} with this id" in problem["errors"][0]["detail"]


def test_nobody_sees_more_than_their_athletes(world: World) -> None:
    """Another organisation nothing, other staff nothing, an athlete what is their own."""
    other = make_world()
    add_athlete(other, "Bruna Keel")
    fill(other, [0.5])
    fill(world, [0.5] * 3)
    assert read(world)["movements"][0]["results"] == 3
    assert read(other)["movements"][0]["results"] == 1
    assert ApiClient(other.cast.coach.token).get(url(world, "forecast-checks")).status_code == 404
    path = f"athletes/{world.athletes['Bruna Keel'].id}/forecast-checks"
    assert ApiClient(other.cast.coach.token).get(url(other, path)).status_code == 404
    assert read(world, "athlete")["movements"] == []
    with world.cast.inside():
        Athlete.objects.filter(id=world.athletes["Bruna Keel"].id).update(person=world.cast.athlete.person)
    assert read(world, "athlete")["movements"][0]["results"] == 3


def test_the_rows_of_an_athlete_are_a_page(world: World) -> None:
    """Newest first, also what does not count."""
    fill(world, [0.51239], differences=[1.23456], done=15.0, median=14.25)
    later = TODAY + dt.timedelta(days=1)
    fill(world, [0.25], shown=[False], local_date=later)
    fill(world, [0.9], scored="time", left_out="pain", local_date=later + dt.timedelta(days=1))
    path = url(world, f"athletes/{world.athletes['Bruna Keel'].id}/forecast-checks")
    coach = ApiClient(world.cast.coach.token)
    body = coach.get(path, query={"limit": 2}).json()
    assert [(one["position"], one["left_out"], one["work"], one["scored"]) for one in body["items"]] == [
        (0.9, "pain", None, "time"), (0.25, None, "a", None),
    ]  # fmt: skip
    assert body["items"][1]["difference_reason"] == "shows_a_least_only"
    (last,) = coach.get(body["next"].removeprefix("http://testserver")).json()["items"]
    assert (last["position"], last["difference"], last["done"], last["foreseen"]) == (
        0.512,
        1.23,
        15.0,
        14.25,
    )
    assert [one["position"] for one in coach.get(path, query={"from_date": later}).json()["items"]] == [
        0.9,
        0.25,
    ]


def test_both_cost_the_same_for_three_rows_and_thirty(world: World) -> None:
    """forecast-checks of an athlete, and the summary of all."""
    path = f"athletes/{world.athletes['Bruna Keel'].id}/forecast-checks"
    counts = []
    read(world)  # the first request of a token notes that it was used
    for more in (3, 27):
        fill(world, [0.5] * more)
        found = []
        for address in (path, "forecast-checks"):
            with CaptureQueriesContext(connection) as queries:
                answer = ApiClient(world.cast.coach.token).get(url(world, address))
            assert answer.status_code == 200
            found.append(len(queries))
        counts.append(found)
    assert counts[0] == counts[1]
    assert len(answer.json()["movements"]) == 1
    assert answer.json()["movements"][0]["results"] == 30


def test_units_of_one_movement_are_judged_apart(world: World) -> None:
    """Held seconds and repetitions of the same movement: each ranks its own results only."""
    fill(world, [0.2, 0.8])
    fill(world, [0.3, 0.6, 0.95], unit="hold_s")
    with world.cast.inside():
        found = {subject.unit: one for subject, one in tallies_of(ForecastCheck.objects.all()).items()}
    for unit, positions in (("repetitions", [0.2, 0.8]), ("hold_s", [0.3, 0.6, 0.95])):
        wanted = tally_of(positions, [True] * len(positions), [None] * len(positions))
        assert found[unit].number == wanted.number
        assert [one.log_left for one in found[unit].bounds] == pytest.approx(
            [one.log_left for one in wanted.bounds]
        )


@pytest.mark.parametrize("shown", [[True, False], [False, True]])
def test_a_lower_bound_is_at_risk_where_it_begins(world: World, shown: list[bool]) -> None:
    """At the same position as a result that is shown: that is one of two then, whichever was stored first."""
    fill(world, [0.2, 0.2], shown=shown)
    with world.cast.inside():
        (found,) = tallies_of(ForecastCheck.objects.all()).values()
    at_quarter = found.bounds[2]
    assert at_quarter.log_left == pytest.approx(np.log(0.5)) and not at_quarter.last


def test_without_a_word_and_with_false_what_was_overridden_is_left_out(world: World) -> None:
    fill(world, [0.5] * 2)
    fill(world, [0.5] * 3, overridden=True)

    def told(**query: str) -> list[int]:
        return [one["results"] for one in read(world, **query)["movements"]]

    assert (told(), told(overridden="false"), told(overridden="true")) == ([2], [2], [3])
