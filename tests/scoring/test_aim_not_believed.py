"""Of a result that is not believed the aim check concludes nothing, until somebody has looked at it."""

from __future__ import annotations

import pytest

from scoring.actions.reviews import resolve_review
from scoring.models import Attempt, OfficialScore, Review
from tests.scoring.test_main_job import log, submit
from tests.support.world import World, add_athlete, drain, make_world


def aim(world: World) -> list[dict[str, object]]:
    with world.cast.inside():
        found: list[dict[str, object]] = OfficialScore.objects.get().aim
    return found


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

    with world.cast.inside():
        review = Review.objects.get(attempt=attempt)
        resolve_review(
            actor=world.cast.coach.actor,
            review=review,
            version=review.version,
            accepted=True,
            resolution="Seen.",
        )
    drain(world.cast)
    assert not any(one["cause"] == "not_believed" for one in aim(world))
