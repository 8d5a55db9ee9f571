"""Of a result that is not believed the aim check concludes nothing, until somebody has looked at it."""

from __future__ import annotations

import pytest

from scoring.actions.reviews import resolve_review
from scoring.believed import CONTRADICTED, WITHHELD
from scoring.calc.finding import CODES
from scoring.models import Attempt, OfficialScore, Review
from tests.scoring.test_main_job import log, submit
from tests.support.world import World, add_athlete, drain, make_world


def aim(world: World) -> list[dict[str, object]]:
    with world.cast.inside():
        found: list[dict[str, object]] = OfficialScore.objects.get().aim
    return found


def resolve(world: World, attempt: Attempt, *, accepted: bool) -> None:
    with world.cast.inside():
        review = Review.objects.get(attempt=attempt)
        resolve_review(
            actor=world.cast.coach.actor,
            review=review,
            version=review.version,
            accepted=accepted,
            resolution="Seen.",
        )
    drain(world.cast)


@pytest.mark.django_db
@pytest.mark.parametrize("accepted", [True, False])
def test_what_does_not_add_up_is_judged_once_somebody_has_looked(accepted: bool) -> None:
    """Rests of ten minutes in a session of five: the sets are believable, the clock is not."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    sets = [("a", "row_45", 60, "planned"), ("b", "goblet_squat", 80, "planned")]
    data = log(*sets, elapsed_s=300.0)
    data["sets"][1]["rest_before_s"] = 600.0
    attempt: Attempt = submit(world, "Bruna Keel", data)
    drain(world.cast)
    with world.cast.inside():
        assert "rests_exceed_elapsed" in {one["code"] for one in Review.objects.get().findings}
    assert {one["state"] for one in aim(world)} == {"unknown"}
    assert "under_review" in {one["cause"] for one in aim(world)}
    resolve(world, attempt, accepted=accepted)
    assert "under_review" not in {one["cause"] for one in aim(world)}
    assert ({one["cause"] for one in aim(world)} == {"not_believed"}) is not accepted


def test_every_finding_is_of_one_kind() -> None:
    """What cannot be, what contradicts itself, what lacks something, and what people are only asked about."""
    lacking = {code for code in CODES if code.endswith("_missing") or code.startswith("missing_")}
    asked = {
        "before_the_session", "ended_by_pain", "intervals_unnamed", "long_after_session", "long_before_session",
        "reserve_at_failure", "session_cancelled",
    }  # fmt: skip
    kinds = [WITHHELD, CONTRADICTED, lacking, asked]
    assert sorted(code for kind in kinds for code in kind) == sorted(CODES)


@pytest.mark.django_db
def test_a_set_beyond_belief_is_no_good_day() -> None:
    """Unknown while it waits; judged once it is accepted; nothing again of one that is refused."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    data = log(("a", "row_45", 60, "planned"), ("b", "goblet_squat", 80, "failure"), elapsed_s=600.0)
    data["sets"][1]["load_kg"] = 500.0
    attempt: Attempt = submit(world, "Bruna Keel", data)
    drain(world.cast)
    waiting = aim(world)
    assert waiting and all((one["state"], one["cause"]) == ("unknown", "not_believed") for one in waiting)
    assert all(one["missed_by"] is None and one["low"] is None for one in waiting)

    resolve(world, attempt, accepted=True)
    assert not any(one["cause"] == "not_believed" for one in aim(world))
