"""Profiles over HTTP: the plan before the session, the log after it."""

from typing import Any

import pytest

from scoring.profiled import profile_of_prescription
from tests.scoring.known import NAME, given, known_world
from tests.scoring.several import a_set, send
from tests.support.api import ApiClient
from tests.support.world import World, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return known_world()


def profile_of_log(world: World, coach: ApiClient, *sets: dict[str, Any]) -> dict[str, Any]:
    sent = send(world, world.session, NAME, client=coach, set_log={"sets": list(sets), "elapsed_s": 600.0})
    assert sent.status_code == 201
    found: dict[str, Any] = coach.get(url(world, f"attempts/{sent.json()['id']}/profile")).json()
    return found


def test_the_plan_of_a_prescription(world: World, coach: ApiClient) -> None:
    """Every set of the plan is counted, and its rests are those of the plan."""
    content = given(world).content
    found = coach.get(url(world, f"prescriptions/{given(world).id}/profile")).json()
    whole, plan = found["whole"], content["plan"]
    assert plan
    assert (found["counted_from"], found["reason"], whole["sets"]) == ("plan", None, len(plan))
    assert whole["rest_s"] == sum(one["rest_before_s"] for one in plan[1:])
    assert sum(one["amount"] for one in whole["patterns"]) == sum(one["repetitions"] for one in plan)
    assert whole["meant_for"] == content["quality"]
    # Every set's reserve is known from what is available before it, also of those that do all that is left.
    assert whole["reserve_known_share"] == 1.0
    stored = given(world).forecast["plan"]
    near = sum(min(max(3.0 - (one["available"] - one["amount"]), 0.0), one["amount"]) for one in stored)
    assert whole["near_failure_repetitions"] == pytest.approx(near, abs=0.06)
    assert 0.0 < found["energy"]["from_kcal"] < found["energy"]["to_kcal"]


def test_what_was_done_is_told_as_it_was(world: World, coach: ApiClient) -> None:
    """Sixty rows in sets of five, half a minute apart: strength, not the endurance that the session is for."""
    first, later = ({"repetitions": 5, "rest_before_s": rest} for rest in (0.0, 30.0))
    found = profile_of_log(
        world, coach, *(a_set("a", "row_45", "failure", **(later if n else first)) for n in range(12))
    )
    whole = found["whole"]
    assert (whole["sets"], whole["rest_s"], whole["lengths"]["short_sets"]) == (12, 330.0, 12)
    # To failure: of each set the last three had fewer than three left.
    assert (whole["near_failure_repetitions"], whole["reserve_known_share"]) == (36.0, 1.0)
    assert (whole["trains"], whole["differs"]) == ("maximal_strength", True)
    assert whole["sentence"] == (
        "100 % of the repetitions are in sets of six and fewer: this trains strength, not local muscular endurance as"
        " the session is meant to."
    )


def test_the_share_of_what_was_available(world: World, coach: ApiClient) -> None:
    """A set to failure took all there was; one of five took less."""
    one, other = ({"repetitions": 16, "rest_before_s": 0.0}, {"repetitions": 5, "rest_before_s": 120.0})
    found = profile_of_log(
        world, coach, a_set("a", "row_45", "failure", **one), a_set("a", "row_45", "planned", **other)
    )
    first, second = found["shares"]
    assert (first["number"], first["available_reason"]) == (1, None)
    assert (first["share_percent"], first["available"]) == (100.0, {"p10": 16.0, "p50": 16.0, "p90": 16.0})
    assert second["available"]["p10"] < second["available"]["p50"] < second["available"]["p90"]
    assert 5.0 < second["available"]["p50"] < first["available"]["p50"]
    assert second["share_percent"] == pytest.approx(100.0 * 5 / second["available"]["p50"], abs=0.5)


def test_a_reserve_that_was_told_bounds_what_was_available(world: World, coach: ApiClient) -> None:
    """Twelve with three left: fifteen, or two more, since people say about one too few (Halperin et al. 2022)."""
    told = {"repetitions": 12, "rest_before_s": 0.0, "rir": 3}
    (only,) = profile_of_log(world, coach, a_set("a", "row_45", "planned", **told))["shares"]
    assert 15.0 <= only["available"]["p10"] <= only["available"]["p90"] <= 17.0


def test_rests_that_nobody_noted_are_not_guessed(world: World, coach: ApiClient) -> None:
    squats = a_set("b", "goblet_squat", repetitions=20, load_kg=16.0)
    found = profile_of_log(world, coach, a_set("a", "row_45", repetitions=20), squats)
    whole = found["whole"]
    assert (whole["rest_s"], whole["rest_s_reason"]) == (None, "rests_not_known")
    assert (whole["density"], whole["density_reason"]) == (None, "times_not_known")
    assert (found["energy"]["from_kcal"], found["energy"]["from_kcal_reason"]) == (None, "times_not_known")
    assert (whole["trains"], whole["differs"]) == ("local_muscular_endurance", False)
    assert whole["reserve_known_share"] == 0.0
    assert {one["available_reason"] for one in found["shares"]} == {"rests_not_known"}


def test_what_was_stored_before_tells_no_reserve(world: World) -> None:
    """A forecast without what was available, and a content of the first version, whose sets name no block."""
    one = given(world)
    old = [{key: value for key, value in each.items() if key != "block"} for each in one.content["plan"]]
    one.content = {**one.content, "plan": old}
    one.forecast["plan"] = [{**each, "available": None} for each in one.forecast["plan"]]
    with world.cast.inside():
        found = profile_of_prescription(one)
    assert found.whole.profile.sets == len(old)
    assert (found.whole.profile.reserve_known, found.whole.profile.near_failure) == (0.0, 0.0)


def test_totals_tell_no_sets(world: World, coach: ApiClient) -> None:
    totals = {"elapsed_s": 600.0, "breaks": 3, "work": [{"work": "a", "repetitions": 60}]}
    sent = send(world, world.session, NAME, client=coach, totals=totals)
    assert sent.status_code == 201, sent.json()
    found = coach.get(url(world, f"attempts/{sent.json()['id']}/profile")).json()
    assert (found["reason"], found["whole"]["trains_reason"]) == ("totals_tell_no_sets", "no_sets")
    assert found["energy"]["from_kcal_reason"] == "no_sets"


def test_who_is_held_has_no_sets_to_profile(world: World) -> None:
    one = given(world)
    one.content = {**one.content, "plan": [], "plan_reason": "held"}
    with world.cast.inside():
        found = profile_of_prescription(one)
    assert (found.reason, found.whole.profile.trains_reason, found.energy.reason) == (
        "held",
        "no_sets",
        "no_sets",
    )
