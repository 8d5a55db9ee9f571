"""What a what-if says of what it made of a list of sets, or of a pacing: nothing is changed without a word."""

from typing import Any

import pytest

from programming.calc.document import parse_revision
from scoring.brief_words import FITTED
from scoring.calc.explicit import ListedSet, read_list
from scoring.calc.listed_forecast import DOUBTFUL, FAILS, PROBABLE, SetThere
from scoring.calc.spread import Spread
from scoring.listed import _first_failing
from scoring.listed_notes import _of_a_list
from scoring.names import Names
from tests.scoring.known import NAME, given, known_world
from tests.scoring.sessions import block, document, work
from tests.scoring.test_what_if import ask, day, told
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, drain, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def a_set(work: str, repetitions: int, rest_s: float) -> dict[str, Any]:
    return {"work": work, "repetitions": repetitions, "rest_before_s": rest_s}


def codes(found: dict[str, Any]) -> list[str]:
    return [one["code"] for one in found["notes"]]


def test_nothing_is_noted_where_nothing_is_changed(world: World, coach: ApiClient) -> None:
    assert told(world, coach)["notes"] == []
    assert told(world, coach, pacing=[{"share": 0.5, "rest_s": 60}])["notes"] == []


def test_rests_of_none_are_said_to_last_as_long_as_going_over(world: World, coach: ApiClient) -> None:
    """The first set has no rest before it to lengthen; 5 s are what the rules of movement take."""
    plan = [a_set("a", 10, 0), a_set("b", 10, 0), a_set("a", 5, 5), a_set("b", 5, 4)]
    found = told(world, coach, plan=plan)
    notes = [one["sentence"] for one in found["notes"] if one["code"] == "rest_longer"]
    assert notes == [
        "The rest before sets 2, 4 was taken as 5 s: going over to a set takes that long, or the rules want it."
    ]


def test_work_that_a_list_leaves_out_is_said_to_be_put_in(world: World, coach: ApiClient) -> None:
    """The squats have no set in it: all eighty of them are in the plan of the answer, and the note says so."""
    found = told(world, coach, plan=[a_set("a", 12, 0)])
    assert codes(found) == ["done_as_written", "set_put_in", "made_up"]
    assert "Squat" in found["notes"][1]["sentence"] and "in one go" in found["notes"][1]["sentence"]
    assert found["notes"][2]["sentence"].startswith("The list leaves 48 repetitions of Suspension row open")
    assert any(one["work"] == "b" for one in found["content"]["plan"])


def test_rounds_that_are_done_as_the_last_one_are_said() -> None:
    """Three rounds of ten, of which a list has the first."""
    rounds = block("r", work("a", "row", "row_w", repetitions=10), aim=[], order="rounds", rounds=3)
    one = parse_revision(document("Rounds", rounds)).blocks[0]
    notes = list(_of_a_list(one, read_list(one, [ListedSet(0, 10.0, 0.0)]), Names()))
    assert [note.code for note in notes] == ["done_as_written", "rounds_repeated"]
    assert "behind round 1" in notes[1].sentence


def test_which_range_it_is_stands_in_both(world: World, coach: ApiClient) -> None:
    """The brief is of somebody who fits the sets to the day, a list is done to the letter."""
    found = told(world, coach, plan=[a_set("a", 12, 0)])
    assert "whatever the day is like" in found["notes"][0]["sentence"]
    brief = coach.get(url(world, f"prescriptions/{given(world).id}/brief")).json()
    (expected,) = [one["lines"] for one in brief["parts"] if one["key"] == "expect"]
    assert expected[-1] == FITTED


def test_a_share_that_is_cut_is_said(world: World, coach: ApiClient) -> None:
    body = {"from_date": day(40), "to_date": day(1)}
    sent = coach.post(url(world, f"athletes/{world.athletes[NAME].id}/absences"), body)
    assert sent.status_code == 201, sent.json()
    drain(world.cast)
    found = told(world, coach, pacing=[{"share": 1.0, "rest_s": 60}])
    assert [one["sentence"] for one in found["notes"]] == [
        "No set of this athlete goes to failure now: the share was taken as 0.8 instead of 1."
    ]


def test_a_missing_rest_and_rests_that_are_too_long_say_what_to_send(world: World, coach: ApiClient) -> None:
    problem = assert_problem(
        ask(world, coach, plan=[{"work": "a", "repetitions": 10}]),
        "invalid_input",
        400,
        at="#/plan/0/rest_before_s",
    )
    assert problem["errors"][0]["detail"].startswith(
        "Send the seconds of rest since the end of the set before"
    )
    plan = [a_set("a", 5, 0), a_set("b", 5, 1000), a_set("a", 5, 900)]
    problem = assert_problem(ask(world, coach, plan=plan), "invalid_input", 400, at="#/plan/2")
    assert "come to 1900 s, but the block lasts 1800 s at most" in problem["errors"][0]["detail"]


def there(number: int, likely: str, share: float) -> SetThere:
    return SetThere(number, "a", 10.0, "repetitions", 1.0, share, Spread(8.0, 9.0, 10.0), likely)


def test_the_set_that_fails_comes_before_one_that_is_in_doubt() -> None:
    """Set 2 is in doubt, set 4 surely not there, set 5 hangs on it; a doubt alone is told as one."""
    names = Names(works={"a": "Row"})
    sets = [there(1, PROBABLE, 0.95), there(2, DOUBTFUL, 0.7), there(3, PROBABLE, 0.9), there(4, FAILS, 0.1)]
    said = _first_failing([*sets, there(5, DOUBTFUL, 0.6)], "main", names)
    assert said.startswith("Set 4 (Row, 10) is probably not there: as it is written in 10 of 100 cases;")
    assert " Set 2 (Row, 10) is in doubt: as it is written in 70 of 100 cases;" in said
    assert "Set 5" not in said
    assert _first_failing(sets[:3], "main", names).startswith("Set 2 (Row, 10) is in doubt")
    assert _first_failing(sets[:1], "main", names) == "Every set is probably there as it is written."
