"""How quickly somebody tires for long: learned from logged sets, told in the basis, used for what is prescribed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from django.utils import timezone

from athletes.calc.capacity import Capacity, Observation, Prior, estimate_capacity
from athletes.models import Tiring
from athletes.queries import prescribing_inputs
from programming.plans import variations_of_movements
from scoring.actions.tiring import MOST_SESSIONS, learn_tiring
from scoring.calc.attempt import SetEntry
from scoring.models import Prescription
from scoring.observed import Logged
from scoring.tiring import session_of
from tests.scoring.sessions import block, document, place, work
from tests.scoring.several import a_set, correct, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

WHO = "Nia Moor"
JUMPS = document(
    "Jumps, thirty",
    block("main", work("j", "box_jump", "box_jump", repetitions=30), aim=[{"kind": "time", "upper": 600}]),
)
ROWS = document(
    "Rows, sixty",
    block(
        "main",
        work("r", "horizontal_row", "row_45", variations=["row_45"], repetitions=60),
        aim=[{"kind": "time", "upper": 1500}],
    ),
)
FADING = [(20, None), (9, 60), (6, 60), (5, 60), (4, 60), (4, 60), (4, 60), (4, 60), (4, 60)]
LASTING = [(20, None), (16, 60), (13, 60), (11, 60)]


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, WHO, 68.0, {"row_45": 20})
    drain(world.cast)
    return world


def send_rows(
    world: World, coach: ApiClient, sets: Sequence[tuple[int, float | None]], plan: dict[str, Any] = ROWS
) -> str:
    """A result of the plan's one piece of work; its id."""
    session = place(world, plan, -dt.timedelta(hours=30))
    piece = plan["blocks"][0]["work"][0]
    told = (piece["key"], piece["as_written"]["variation"], "failure")
    rows = [a_set(*told, repetitions=count, rest_before_s=rest) for count, rest in sets]
    performed_at = (timezone.now() - dt.timedelta(hours=29)).isoformat()
    log = {"sets": rows, "elapsed_s": 900}
    answer = send(world, session, WHO, client=coach, performed_at=performed_at, set_log=log)
    assert answer.status_code == 201, answer.content
    return str(answer.json()["id"])


def learned(world: World) -> Tiring | None:
    with world.cast.inside():
        return Tiring.objects.filter(athlete=world.athletes[WHO]).first()


def foreseen(world: World, session: Any) -> tuple[float, Any]:
    """(seconds that are foreseen, what the basis says)."""
    with world.cast.inside():
        row = Prescription.objects.filter(athlete=world.athletes[WHO], session=session).latest("number")
    assert row.forecast is not None
    quantiles = row.forecast["score_quantiles"]
    return quantiles[len(quantiles) // 2], row.basis["tiring"]


def test_later_sets_tell_how_quickly_somebody_tires(world: World, coach: ApiClient) -> None:
    """Who fades after a minute's rest is told to, and a session takes longer than for who lasts."""
    coming = place(world, ROWS)
    drain(world.cast)
    before, basis = foreseen(world, coming)
    assert basis is None
    assert learned(world) is None

    send_rows(world, coach, FADING)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    assert (row.sets, row.sessions) == (len(FADING), 1)
    assert row.median > 0.5
    assert row.log_sd < 0.4
    after, basis = foreseen(world, coming)
    assert basis == {"median": row.median, "log_sd": row.log_sd, "sets": row.sets}
    assert after > before


def test_who_lasts_has_a_smaller_multiplier(world: World, coach: ApiClient) -> None:
    send_rows(world, coach, LASTING)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    assert row.median < 0.5


def test_a_missing_rest_tells_nothing(world: World, coach: ApiClient) -> None:
    send_rows(world, coach, [(20, None), (9, None), (6, 60)])
    drain(world.cast)
    assert learned(world) is None


def test_what_tells_nothing_takes_no_place_of_what_tells(world: World, coach: ApiClient) -> None:
    """Eight newer logs without rests do not hide the one with rests, nor does a newer one with a set of nothing."""
    send_rows(world, coach, FADING)
    for _ in range(MOST_SESSIONS):
        send_rows(world, coach, [(20, None), (9, None)])
    drain(world.cast)
    row = learned(world)
    assert row is not None
    assert (row.sets, row.sessions) == (len(FADING), 1)

    send_rows(world, coach, [*FADING, (0, None)])
    drain(world.cast)
    row = learned(world)
    assert row is not None
    assert row.sessions == 2


def test_a_correction_takes_back_what_was_learned(world: World, coach: ApiClient) -> None:
    """The corrected log has one set, which is fresh."""
    sent = send_rows(world, coach, FADING)
    drain(world.cast)
    assert learned(world) is not None
    correct(coach, world, sent, [a_set("r", "row_45", "failure", repetitions=20)])
    assert learned(world) is None


def test_nothing_new_is_nothing_to_do(world: World, coach: ApiClient, django_assert_num_queries: Any) -> None:
    """Three queries, and the row stays as it was."""
    send_rows(world, coach, FADING)
    drain(world.cast)
    before = learned(world)
    assert before is not None
    with world.cast.inside(), django_assert_num_queries(3):
        assert not learn_tiring(athlete_id=world.athletes[WHO].id, today=timezone.now().date())
    after = learned(world)
    assert after is not None
    assert after.computed_at == before.computed_at


def test_what_told_nothing_is_not_read_again(
    world: World, coach: ApiClient, django_assert_num_queries: Any
) -> None:
    """Of jumps no capacity is kept: the row says that nobody's sets told anything, and nothing is taken from it."""
    send_rows(world, coach, [(10, None), (9, 60), (8, 60)], JUMPS)
    drain(world.cast)
    row = learned(world)
    assert row is not None
    assert (row.sets, row.sessions) == (0, 0)
    athlete, today = world.athletes[WHO].id, timezone.now().date()
    with world.cast.inside(), django_assert_num_queries(3):
        assert not learn_tiring(athlete_id=athlete, today=today)
    with world.cast.inside():
        assert prescribing_inputs([athlete], today)[athlete].tiring is None


def test_without_a_later_set_there_are_two_queries(world: World, django_assert_num_queries: Any) -> None:
    with world.cast.inside(), django_assert_num_queries(2):
        assert not learn_tiring(athlete_id=world.athletes[WHO].id, today=timezone.now().date())


def test_what_hardly_anybody_could_have_done_tells_nothing(world: World) -> None:
    """A load that hardly anybody of the capacity lifts fresh is stored, and tells nothing of fatigue."""
    with world.cast.inside():
        log = [heavy(3, 200.0, None), heavy(2, 200.0, 60.0)]
    assert session_of(log, {log[0].done.movement.id: known()}, 68.0) is None


def known() -> Capacity:
    prior = Prior(float(np.log(60.0)), 0.05, float(np.log(0.03)), 0.1)
    return estimate_capacity(prior, [Observation(1, 60.0, 10.0, "to_failure")], day=2)


def heavy(count: int, load_kg: float, rest_s: float | None) -> Logged:
    found = variations_of_movements(["bench_press"])["bench_press_barbell"]
    return Logged(SetEntry("b", float(count), "failure", rest_s, load_kg=load_kg), found)
