"""What pain in a check set spares, and for how long: the set is not always done on the day of its session."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest

from athletes.day import days_of
from athletes.models import DayChange, DayChangeEnd
from programming.calc.variation import Variation
from scoring.actions.check_pain import spare_after_pain, spare_no_longer
from scoring.models import CheckSet
from tests.support.world import World, add_athlete, make_world

pytestmark = pytest.mark.django_db

LUNGE = Variation(
    key="lunge",
    movement="lunge",
    rung=1,
    body_mass_fraction=0.8,
    hazards=frozenset({"knee"}),
    muscle_groups=(("glutes", 1.0),),
)
CARRY = Variation(key="carry", movement="carry", rung=1, body_mass_fraction=0.0, hazards=frozenset({"neck"}))


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Nia Moor", 70.0)
    return world


def hurt(world: World, *, days_before: int = 0, ended_by: str = "pain") -> CheckSet:
    """A check set so many days before the session that it was asked for."""
    return CheckSet(
        id=uuid4(),
        session=world.session,
        athlete=world.athletes["Nia Moor"],
        ended_by=ended_by,
        local_date=world.session.local_date - dt.timedelta(days=days_before),
    )


def spared(world: World, row: CheckSet, variation: Variation = LUNGE) -> list[dict[str, Any]]:
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        spare_after_pain(actor=actor, row=row, variation=variation)
        return list(DayChange.objects.values("until", "hazards", "muscle_groups"))


@pytest.mark.parametrize(("days_before", "after_the_session"), [(0, 1), (1, 0), (2, 0)])
def test_it_lasts_until_the_day_after_the_set_and_over_the_session(
    world: World, days_before: int, after_the_session: int
) -> None:
    (found,) = spared(world, hurt(world, days_before=days_before))
    assert found["until"] == world.session.local_date + dt.timedelta(days=after_the_session)


def test_what_it_may_hurt_by_is_spared_only_where_no_muscles_are_named(world: World) -> None:
    assert spared(world, hurt(world, ended_by="planned")) == []
    (by_muscle,) = spared(world, hurt(world))
    assert (by_muscle["hazards"], by_muscle["muscle_groups"]) == ([], ["glutes"])
    by_hazard = next(one for one in spared(world, hurt(world), CARRY) if not one["muscle_groups"])
    assert by_hazard["hazards"] == ["neck"]


def test_what_somebody_has_ended_is_not_ended_again(world: World) -> None:
    row, actor = hurt(world), world.cast.coach.actor
    assert actor is not None
    spared(world, row)
    with world.cast.inside():
        spare_no_longer(actor=actor, replaced=row)
        spare_no_longer(actor=actor, replaced=row)
        assert DayChangeEnd.objects.count() == 1


def test_a_change_that_still_lasts_for_the_first_of_several_sessions_is_found(world: World) -> None:
    """Made for a session that is not asked about; the others begin before and after it ends."""
    athlete = world.athletes["Nia Moor"]
    earlier, later = uuid4(), uuid4()
    spared(world, hurt(world, days_before=1))
    dates = {later: world.session.local_date + dt.timedelta(days=1), earlier: world.session.local_date}
    with world.cast.inside():
        assert set(days_of(athlete.id, dates)) == {earlier}
        assert days_of(athlete.id, {later: dates[later]}) == {}
        assert days_of(athlete.id, {}) == {}
