"""Progression over HTTP: trend, change, bests, tests that are due; of one athlete and of a group."""

from __future__ import annotations

import statistics
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.calc.capacity import carried, repetitions_at
from athletes.models import Capacity, Observation
from athletes.progress_error import repeated
from athletes.states import read_state
from tests.athletes.conftest import TODAY, Team, days_ago
from tests.athletes.progress_support import ago, given, only, read, recompute
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


def test_push_ups_in_repetitions(weighed: Team) -> None:
    """Twelve, then seventeen: told in repetitions, as the capacity tells them today, and better for real."""
    given(weighed, "push_up_floor", [(70, 12), (66, 12), (8, 17), (3, 17)])

    row = only(weighed, since=ago(66))

    assert (row["movement_key"], row["measure"], row["unit"]) == (
        "push_up",
        "repetitions_to_failure",
        "repetitions",
    )
    assert [point["local_date"] for point in row["points"]] == [ago(70), ago(66), ago(8), ago(3), ago(0)]
    medians = [point["value"]["median"] for point in row["points"]]
    assert medians[1] == pytest.approx(12.8, abs=1.0)
    assert medians[-1] == pytest.approx(16.6, abs=1.2)
    with weighed.cast.inside():
        state = carried(read_state(Capacity.objects.get().state), TODAY.toordinal())
    today = repetitions_at(state, 0.64 * 68.0)
    last = row["points"][-1]["value"]
    assert last["median"] == pytest.approx(today.p50, abs=0.05)
    assert (last["lower"], last["upper"]) == pytest.approx((today.p10, today.p90), abs=0.05)
    change = row["change"]
    assert (change["counted_from"], change["counted_until"]) == (ago(66), ago(0))
    assert change["amount"]["lower"] < medians[-1] - medians[1] < change["amount"]["upper"]
    assert change["amount"]["lower"] > 1.5
    assert change["improved"] > 0.4
    assert change["declined"] < 1e-4
    assert change["improved"] + change["neither"] + change["declined"] == pytest.approx(1.0)
    assert change["smallest_worthwhile_from"] == "fifth_of_spread_between_people"
    assert (row["test_due"], row["test_due_reason"]) == (False, None)
    assert row["spread"]["percent"] < row["spread"]["limit_percent"]
    error = row["detectable"]["typical_error"]
    assert error == pytest.approx(0.5 + 0.043 * medians[-1])
    assert row["detectable"]["change"] == pytest.approx(1.959964 * 2**0.5 * error)


def test_what_is_worth_a_word_may_be_asked(weighed: Team) -> None:
    """A change of which 5 % are worth a word is likelier to be worth it than where 30 % are."""
    given(weighed, "push_up_floor", [(60, 20), (5, 27)])

    easy, hard = (
        only(weighed, since=ago(60), worthwhile_percent=percent)["change"] for percent in ("2", "30")
    )

    assert easy["improved"] > 0.8 > 0.1 > hard["improved"]
    assert easy["smallest_worthwhile_percent"] == pytest.approx(2.0)
    assert easy["smallest_worthwhile_from"] == "asked"


def test_a_heavier_body_has_fewer_push_ups(weighed: Team) -> None:
    """The same strength, eight kilograms more: the change is told against the body that has to be moved."""
    given(weighed, "push_up_floor", [(60, 30)])
    with weighed.cast.inside():
        weighed.weigh(weighed.noor, 76.0, days=20)
    recompute(weighed)

    change = only(weighed, since=ago(60))["change"]

    assert change["percent"]["median"] == pytest.approx(100.0 * (68.0 / 76.0 - 1.0), abs=0.5)
    assert change["amount"]["median"] < -3.0
    assert change["declined"] > 0.6


def test_a_barbell_in_kilograms(weighed: Team) -> None:
    """Its one-repetition maximum; what nobody has tested since long is due."""
    given(weighed, "bench_press_barbell", [(300, 8), (290, 8)], load_kg=40.0)

    row = only(weighed)

    assert (row["measure"], row["unit"]) == ("one_repetition_maximum", "kg")
    last = row["points"][-1]["value"]
    assert last["lower"] < 49.0 < last["upper"]
    assert row["detectable"]["typical_error"] == pytest.approx(0.04 * last["median"])
    assert (row["test_due"], row["test_due_reason"]) == (True, "interval_grown")
    assert row["spread"]["percent"] > row["spread"]["limit_percent"] == pytest.approx(8.0, abs=0.1)
    # Nothing was seen in these twelve weeks: as likely up as down, and the interval grows with the time.
    assert row["change"]["amount"]["median"] == pytest.approx(0.0, abs=0.3)
    assert row["change"]["improved"] == pytest.approx(row["change"]["declined"], abs=0.02)


def test_own_repeated_tests_tell_their_error(weighed: Team) -> None:
    """Ten pairs a fortnight apart at most, of differences 0 and 2 in turn: their SD over the root of 2."""
    told = []
    for n in range(10):
        told += [(380 - 30 * n, 20), (375 - 30 * n, 20 + 2 * (n % 2))]
    given(weighed, "push_up_floor", told[:-1])
    assert only(weighed)["detectable"]["typical_error_from"] == "usual_error_of_such_tests"

    given(weighed, "push_up_floor", told[-1:])
    found = only(weighed)["detectable"]

    differences = [0.0, 2.0] * 5
    assert found["typical_error_from"] == "own_repeated_tests"
    assert found["typical_error"] == pytest.approx(statistics.stdev(differences) / 2**0.5)


@pytest.mark.parametrize(
    ("tests", "expected"),
    [
        ([(1, 5.0), (15, 6.0)], [(5.0, 6.0)]),
        ([(1, 5.0), (16, 6.0)], []),
        ([(9, 3.0), (1, 5.0), (5, 6.0)], [(5.0, 6.0)]),  # each test is in one pair
        ([(1, 5.0), (1, 6.0), (3, 7.0)], [(6.0, 7.0)]),  # of one day they are one test
        ([], []),
    ],
)
def test_which_tests_were_repeated(tests: list[tuple[int, float]], expected: list[Any]) -> None:
    assert repeated(tests) == expected


def send(team: Team, key: str, days: int, **told: Any) -> None:
    with team.cast.inside():
        variation = str(team.variation(key))
    when = days_ago(days).isoformat().replace("+00:00", "Z")
    path = team.path(f"athletes/{team.noor.id}/assessments")
    sent = {"variation": variation, "performed_at": when, **told}
    assert team.client(team.cast.coach).post(path, sent).status_code == 201


def test_holds_and_cyclical_work(weighed: Team) -> None:
    """Seconds of a hold, watts of what can be kept up; a critical power is of no single test."""
    send(weighed, "plank", 60, kind="hold_to_failure", hold_s=100)
    send(weighed, "plank", 2, kind="hold_to_failure", hold_s=170)
    for days, metres, seconds in ((70, 500, 118), (68, 2000, 520), (3, 500, 108), (1, 2000, 470)):
        send(
            weighed,
            "row_machine",
            days,
            kind="time_trial",
            distance_m=metres,
            elapsed_s=seconds,
        )
    recompute(weighed)

    rows = {row["measure"]: row for row in read(weighed)["movements"]}

    hold, power = rows["seconds_held"], rows["critical_power"]
    assert hold["points"][-1]["value"]["median"] == pytest.approx(150.0, rel=0.12)
    # Between two single holds most of it may be the day: what is believed is a fraction of 70 % more seconds.
    assert 5.0 < hold["change"]["amount"]["median"] < 40.0
    assert hold["change"]["improved"] > 20.0 * hold["change"]["declined"]
    assert [(best["done"]["amount"], best["before"]["amount"]) for best in hold["bests"]] == [(170.0, 100.0)]
    assert hold["detectable"]["typical_error"] == pytest.approx(0.15 * hold["points"][-1]["value"]["median"])
    assert (power["unit"], power["detectable"], power["detectable_reason"]) == ("W", None, "not_one_test")
    assert power["change"]["amount"]["median"] > 10.0
    assert [(best["done"]["amount"], best["done"]["seconds"]) for best in power["bests"]] == [
        (500.0, 108.0),
        (2000.0, 470.0),
    ]
    assert [best["before"]["seconds"] for best in power["bests"]] == [118.0, 520.0]


def test_bests_are_of_what_counts(weighed: Team) -> None:
    """The most at a load, without what a judge or pain ended, and what each bettered."""
    with weighed.cast.inside():
        for days, count, ended, load in (
            (40, 22, "failure", None),
            (30, 31, "no_rep", None),
            (20, 24, "failure", None),
            (15, 12, "failure", 10.0),
            (10, 40, "pain", None),
        ):
            weighed.test(
                weighed.noor, "push_up_floor", count, days=days, load_kg=load, ended_by=ended, confirmed=True
            )
    recompute(weighed)

    row = only(weighed)

    told = [(b["done"]["added_kg"], b["done"]["amount"], b["done"]["local_date"]) for b in row["bests"]]
    assert told == [(0.0, 24.0, ago(20)), (10.0, 12.0, ago(15))]
    assert row["bests"][0]["before"] == {
        "local_date": ago(40), "amount": 22.0, "added_kg": 0.0, "seconds": None
    }  # fmt: skip
    assert row["bests"][1]["before"] is None
    assert row["bests_left_out"] == 0


def test_a_change_counts_from_the_first_sight(weighed: Team) -> None:
    """Before it there is the prior alone; a first sight today has nothing to be compared with."""
    given(weighed, "push_up_floor", [(9, 20), (2, 20)])
    assert only(weighed)["change"]["counted_from"] == ago(9)

    given(weighed, "pull_up", [(0, 5)])
    rows = {row["movement_key"]: row for row in read(weighed)["movements"]}
    assert (rows["pull_up"]["change"], rows["pull_up"]["change_reason"]) == (None, "same_day")
    with weighed.cast.inside():
        movement = str(weighed.movement("pull_up"))
    assert [row["movement_key"] for row in read(weighed, movement=movement)["movements"]] == ["pull_up"]


def test_what_says_nothing_of_a_curve(weighed: Team) -> None:
    """A set of none, which bounds nothing from below, and sets that were withdrawn after the capacity was written."""
    given(weighed, "push_up_floor", [(9, 20)])
    with weighed.cast.inside():
        Observation.objects.all().delete()

    row = only(weighed)

    for name in ("points", "change", "detectable", "spread"):
        assert not row[name]
        assert row[f"{name}_reason"] == "never_observed"
    assert (row["measure"], row["bests"], row["test_due_reason"]) == (None, [], "never_observed")


def test_help_that_would_carry_the_whole_body_now(weighed: Team) -> None:
    """Sixty kilograms of assistance left something of 68 kg to pull, and nothing of 58: today there is no load."""
    given(weighed, "pull_up", [(40, 10)], assistance_kg=60.0)
    with weighed.cast.inside():
        weighed.weigh(weighed.noor, 58.0, days=5)
    recompute(weighed)

    row = only(weighed, since=ago(40))

    first, last = row["points"][0], row["points"][-1]
    assert first["value"]["median"] > 5.0
    assert (last["value"], last["value_reason"]) == (None, "not_a_load")
    for name in ("change", "detectable"):
        assert (row[name], row[f"{name}_reason"]) == (None, "not_a_load")


def test_nothing_is_known_of_a_newcomer(weighed: Team) -> None:
    assert read(weighed)["movements"] == []


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ({"since": "soon"}, "invalid"),
        ({"since": "2030-02-30"}, "invalid"),
        ({"since": "1999-12-31"}, "out_of_range"),
        ({"since": TODAY.isoformat()}, "out_of_range"),
        ({"worthwhile_percent": "much"}, "invalid"),
        ({"worthwhile_percent": "nan"}, "invalid"),
        ({"worthwhile_percent": "0"}, "out_of_range"),
        ({"movement": "push"}, "invalid"),
        ({"movement": "00000000-0000-4000-8000-000000000000"}, "unknown_reference"),
        ({"page": "2"}, "unknown_parameter"),
    ],
)
def test_what_cannot_be_asked(weighed: Team, query: dict[str, str], code: str) -> None:
    path = weighed.path(f"athletes/{weighed.noor.id}/progression")
    problem = assert_problem(weighed.client(weighed.cast.coach).get(path, query=query), "invalid_input", 400)

    assert [(one["parameter"], one["code"]) for one in problem["errors"]] == [(*query, code)]


def test_who_reads_it(weighed: Team) -> None:
    """As a capacity: coaches, staff of the athlete's place, and the athlete; for others there is no such athlete."""
    given(weighed, "push_up_floor", [(9, 20)], athlete=weighed.ayo)
    cast = weighed.cast

    for member in (cast.coach, cast.staff, cast.athlete):
        assert read(weighed, member, athlete=weighed.ayo)["movements"]
    read(weighed, cast.athlete, status=404, athlete=weighed.bram)
    read(weighed, cast.staff, status=404, athlete=weighed.bram)


def test_it_costs_the_same_for_three_movements_as_for_all(weighed: Team) -> None:
    from programming.models import Movement

    counts = []
    read(weighed)  # the first use of a token is written down
    with weighed.cast.inside():
        movements = list(Movement.objects.filter(capacity_kind="load_repetition").order_by("key"))
    for chosen in (movements[:3], movements[3:]):
        for movement in chosen:
            with weighed.cast.inside():
                variation = movement.variations.order_by("key").first()
                needs = variation.versions.get().document
                required = needs.get("required") or []
                settings = {
                    "load_kg": 20.0 if "load" in required else None,
                    "height_cm": needs["height_fractions"][0][0] if "height" in required else None,
                }
                for days in (30, 3):
                    weighed.test(weighed.noor, variation.key, 8, days=days, confirmed=True, **settings)
        recompute(weighed)
        with CaptureQueriesContext(connection) as queries:
            found = read(weighed)["movements"]
        counts.append((len(queries), len(found)))
    assert [found for _, found in counts] == [3, len(movements)]
    assert counts[0][0] == counts[1][0]
