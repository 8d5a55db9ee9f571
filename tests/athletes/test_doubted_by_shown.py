"""A test is held against what the athlete has shown: which of it counts, and what it is good for."""

from __future__ import annotations

from typing import Any

import pytest

from tests.athletes.conftest import Team
from tests.athletes.test_doubted_tests import at, told
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

BENCH = "bench_press_barbell"
ROW = "bent_over_row_barbell"


@pytest.fixture
def weighed(team: Team) -> Team:
    """ayo is a woman of 62 kg: of ten on the bench P95 is 75 kg."""
    with team.cast.inside():
        team.ayo.sex = "female"
        team.ayo.save(update_fields=["sex"])
        team.weigh(team.ayo, 62.0)
    return team


def taken(team: Team, *test: Any, **more: Any) -> dict[str, Any]:
    sent = team.client(team.cast.coach).post(at(team), told(team, *test, **more))
    assert sent.status_code == 201, sent.content
    made: dict[str, Any] = sent.json()
    return made


def asked(team: Team, path: str, *test: Any, **more: Any) -> bool:
    """Whether the test is asked about and not stored."""
    sent = team.client(team.cast.coach).post(path, told(team, *test, **more))
    if sent.status_code == 201:
        return False
    assert_problem(sent, "implausible_test", 422, at="#/confirmed")
    return True


def test_what_is_replaced_has_shown_nothing(weighed: Team) -> None:
    """Ten with 110 kg are 1.7 times ten with 65: believed beside them, and asked about in their place."""
    first = taken(weighed, BENCH, 10, 65.0)

    assert asked(
        weighed, f"{at(weighed)}/{first['id']}/corrections", BENCH, 10, 110.0, reason="Typed wrongly."
    )
    assert not asked(weighed, at(weighed), BENCH, 10, 110.0)


def test_of_two_tests_that_were_shown_one_is_replaced(weighed: Team) -> None:
    """What else was shown is still shown."""
    taken(weighed, BENCH, 10, 65.0)
    second = taken(weighed, BENCH, 8, 66.0)

    path = f"{at(weighed)}/{second['id']}/corrections"
    assert not asked(weighed, path, BENCH, 10, 110.0, reason="Typed wrongly.")


def test_what_was_left_was_shown(weighed: Team) -> None:
    """Five with 65 kg and five left are ten: with none left they are 55 kg for ten, half of 110 (k = 0.0265)."""
    taken(weighed, BENCH, 5, 65.0, kind="with_rir", rir=0)
    assert asked(weighed, at(weighed), BENCH, 10, 110.0)
    taken(weighed, BENCH, 5, 65.0, kind="with_rir", rir=5)
    assert not asked(weighed, at(weighed), BENCH, 10, 110.0)


@pytest.mark.parametrize("order", [(65.0, 40.0), (40.0, 65.0)])
def test_it_is_held_against_the_most_that_was_shown(weighed: Team, order: tuple[float, float]) -> None:
    """65 kg, whatever lighter sets there were before or after."""
    for load_kg in order:
        taken(weighed, BENCH, 10, load_kg)
    assert not asked(weighed, at(weighed), BENCH, 10, 110.0)


def test_four_spreads_are_beyond_belief_however_much_was_shown(weighed: Team) -> None:
    """Of ten rows people of 62 kg lift 34 kg (0.55 of it), and four spreads are 34 exp(4 x 0.45) = 206 kg."""
    taken(weighed, ROW, 10, 160.0, confirmed=True)
    assert not asked(weighed, at(weighed), ROW, 10, 190.0)
    assert asked(weighed, at(weighed), ROW, 10, 220.0)


def test_of_holds_nothing_is_held_against_what_was_shown(weighed: Team) -> None:
    """A minute of plank, then five: five times as much, and no more than others hold."""
    held = {"kind": "hold_to_failure", "variation": str(told(weighed, "plank", 0, None)["variation"])}
    client, when = weighed.client(weighed.cast.coach), "2030-03-19T18:05:00Z"
    for hold_s in (60.0, 300.0):
        sent = client.post(at(weighed), {**held, "hold_s": hold_s, "performed_at": when})
        assert sent.status_code == 201, sent.content
