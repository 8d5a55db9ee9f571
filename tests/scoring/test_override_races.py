"""An override is worked out while nobody waits for it, and still rests on what is true when it is stored."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from athletes.actions.limitations import add_limitation
from athletes.actions.support import hold_athlete
from scoring.actions import override_cost
from scoring.actions.override_work import Wish
from scoring.actions.overrides import make_override
from scoring.errors import NeedsAcknowledgement
from scoring.models import Override, Prescription
from scoring.overriding import Named
from tests.scoring.test_submitted_at_once import elsewhere
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.usefixtures("committed")

LIGHT = Wish([Named("b", "goblet_squat", load_kg=12.0, amount=60.0)], [], "Two hard days; less today.")


@pytest.fixture
def world() -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    return world


def overrides(world: World) -> bool:
    with world.cast.inside():
        given = Prescription.objects.get(athlete=world.athletes["Bruna Keel"], session=world.session)
        actor = world.cast.coach.actor
        assert actor is not None
        _, stored = make_override(actor=actor, prescription=given, wish=LIGHT, now=timezone.now())
        return stored


def meanwhile(monkeypatch: pytest.MonkeyPatch, act: Callable[[], Any]) -> list[tuple[Any, ...]]:
    """Let somebody else act, to the commit, when the first calculation begins; what each calculation followed."""
    calculate = override_cost.work_out
    seen: list[tuple[Any, ...]] = []

    def interrupted(*args: Any, **named: Any) -> Any:
        if not seen:
            elsewhere(act)
        seen.append(args)
        return calculate(*args, **named)

    monkeypatch.setattr(override_cost, "work_out", interrupted)
    return seen


def hold_and(world: World, act: Callable[[], Any]) -> Callable[[], bool]:
    """Hold the athlete for a moment, as whoever stores a result; an error when somebody else does for long."""

    def run() -> bool:
        with world.cast.inside():
            with connection.cursor() as cursor:
                cursor.execute("SET LOCAL lock_timeout = '2s'")
            hold_athlete(world.athletes["Bruna Keel"].id)
            act()
        return True

    return run


def test_nobody_waits_for_the_calculation(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who holds the athlete meanwhile gets through; where nothing moved it is worked out once."""
    seen = meanwhile(monkeypatch, hold_and(world, lambda: None))
    assert overrides(world)
    assert len(seen) == 2, "with the override and without"
    with world.cast.inside():
        assert Prescription.objects.filter(athlete=world.athletes["Bruna Keel"]).count() == 2


def test_a_limit_that_comes_during_the_calculation_is_asked_about(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The override would break a limit that nobody has acknowledged: refused, and nothing is stored."""
    actor = world.cast.coach.actor
    assert actor is not None
    athlete, today = world.athletes["Bruna Keel"], timezone.now().date()

    def limit() -> None:
        add_limitation(actor=actor, athlete=athlete, hazard="knee", from_date=today)

    meanwhile(monkeypatch, hold_and(world, limit))
    with pytest.raises(NeedsAcknowledgement):
        overrides(world)
    with world.cast.inside():
        assert not Override.objects.exists()


def test_what_moved_during_the_calculation_is_in_the_prescription(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody begins to train alone meanwhile: worked out again, from what holds now."""
    athlete = world.athletes["Bruna Keel"]
    rows = type(athlete).objects

    def told() -> None:
        rows.filter(id=athlete.id).update(trains_alone=True)

    seen = meanwhile(monkeypatch, hold_and(world, told))
    assert overrides(world)
    assert len(seen) == 4
    with world.cast.inside():
        last = Prescription.objects.filter(athlete=athlete).order_by("number").last()
        assert last is not None
        assert "training_alone" in {one["code"] for one in last.content["caution_details"]}
