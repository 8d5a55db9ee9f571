"""Results that cannot be true, and results that hurt, wait for a person; what is merely good does not."""

import math

import pytest

from athletes.calc.capacity import Capacity, Observation, Prior, estimate_capacity
from athletes.models import Observation as Seen
from athletes.plausible import repetitions_beyond as beyond_belief
from scoring.models import Ranking, Review
from tests.scoring.test_main_job import log, submit
from tests.support.world import World, add_athlete, drain, make_world

PRIOR = Prior(math.log(40.0), 0.4, math.log(0.025), 0.19)


def known(repetitions: int, asymptote_share: float = 0.0) -> Capacity:
    prior = Prior(PRIOR.log_l10, PRIOR.log_l10_sd, PRIOR.log_k, PRIOR.log_k_sd, asymptote_share)
    return estimate_capacity(prior, [Observation(1, 40.0, repetitions, "to_failure")], day=8)


@pytest.mark.parametrize(
    ("load_kg", "repetitions", "expected"),
    [
        (40.0, 12, False),
        (40.0, 25, False),  # twice the test and more: a bad test, a good day
        (40.0, 60, True),
        (44.0, 10, False),
        (90.0, 12, True),  # pounds entered as kilograms, and more
        (500.0, 1, True),
        (40.0, 0, False),
        (10.0, 3, False),
    ],
)
def test_what_is_beyond_belief(load_kg: float, repetitions: int, expected: bool) -> None:
    """Of somebody who did ten at 40 kg last week: double strength is, double repetitions are not."""
    assert beyond_belief(known(10), load_kg, repetitions) is expected


def test_little_known_leaves_room() -> None:
    """A newcomer may be three times as strong as people in general, not ten times."""
    newcomer = estimate_capacity(PRIOR, [], day=1)
    assert not beyond_belief(newcomer, 120.0, 10)
    assert beyond_belief(newcomer, 400.0, 10)


def test_light_work_is_judged_by_its_load() -> None:
    """Where the curve has an asymptote, two hundred repetitions are endurance, not a lie."""
    assert not beyond_belief(known(40, asymptote_share=0.5), 40.0, 250)


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Idris Vane", 84.0, {"row_45": 18, "goblet_squat": 26})
    drain(world.cast)
    return world


@pytest.mark.django_db
def test_an_impossible_load_teaches_nothing_yet(world: World) -> None:
    """Stored and scored, but unranked and unlearnt until somebody has looked."""
    data = log(
        ("a", "row_45", 60, "planned"),
        ("b", "goblet_squat", 80, "failure"),
        elapsed_s=600.0,
    )
    data["sets"][1]["load_kg"] = 500.0
    attempt = submit(world, "Bruna Keel", data)
    drain(world.cast)
    with world.cast.inside():
        codes = {found["code"] for found in Review.objects.get(attempt=attempt).findings}
        assert codes == {"implausible_performance"}
        assert not Seen.objects.filter(source="attempt").exists()
        assert Ranking.objects.get(session=world.session).official[0]["rank"] is None


@pytest.mark.django_db
@pytest.mark.parametrize("wrong", [0, 1, 2, 3])
def test_a_typing_error_is_seen_wherever_it_stands(world: World, wrong: int) -> None:
    """First, between right ones and last: nothing of the result is learnt before somebody looked."""
    sets = [("a", "row_45", 60, "planned"), *[("b", "goblet_squat", 20, "planned")] * 4]
    data = log(*sets, elapsed_s=900.0)
    data["sets"][1 + wrong]["load_kg"] = 500.0
    attempt = submit(world, "Bruna Keel", data)
    drain(world.cast)
    with world.cast.inside():
        found = Review.objects.get(attempt=attempt).findings
        assert [one["code"] for one in found].count("implausible_performance") == 1
        said = next(one for one in found if one["code"] == "implausible_performance")["detail"]
        assert "500 kg" in said and "goblet_squat" not in said
        assert not Seen.objects.filter(source="attempt").exists()


@pytest.mark.django_db
def test_pain_is_seen_by_somebody(world: World) -> None:
    """The result counts as it is, and a review says that somebody has to talk to the athlete."""
    data = log(
        ("a", "row_45", 12, "pain"),
        ("b", "goblet_squat", 80, "planned"),
        ("a", "row_45", 48, "planned"),
        elapsed_s=700.0,
    )
    attempt = submit(world, "Idris Vane", data)
    drain(world.cast)
    with world.cast.inside():
        assert [found["code"] for found in Review.objects.get(attempt=attempt).findings] == ["ended_by_pain"]
        assert Ranking.objects.get(session=world.session).official[0]["rank"] == 1


@pytest.mark.django_db
def test_what_nobody_can_hold_waits_for_a_person_too(world: World) -> None:
    """Forty squats with 160 kg at the chest: with the body mass no wonder for the legs, and impossible to hold."""
    data = log(("a", "row_45", 60, "planned"), ("b", "goblet_squat", 40, "planned"), elapsed_s=600.0)
    data["sets"][1]["load_kg"] = 160.0
    attempt = submit(world, "Bruna Keel", data)
    drain(world.cast)
    with world.cast.inside():
        found = Review.objects.get(attempt=attempt).findings
        assert "implausible_performance" in {one["code"] for one in found}
        assert "160 kg" in next(one["detail"] for one in found if one["code"] == "implausible_performance")
        assert not Seen.objects.filter(source="attempt").exists()
