"""Which stored results tell how quickly somebody tires, and what makes it be worked out again."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.body_masses import record_body_mass
from athletes.actions.learned import drop_tiring
from athletes.models import Athlete, Capacity, Tiring
from scoring.actions import tiring
from scoring.actions.attempts import Report, submit_attempt
from scoring.believed import WITHHELD
from scoring.models import Attempt, Review
from tests.scoring.sessions import block, document, place, work
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

WHO = "Nia Moor"
FADING = (20, 9, 6, 5, 4, 4, 4, 4, 4)
LASTING = (20, 16, 13, 11)


@pytest.fixture
def world(db: None) -> World:
    """Somebody of 68 kg who faded after a minute's rest yesterday."""
    world = make_world()
    add_athlete(world, WHO, 68.0, {"row_45": 20})
    send(world, FADING, hours_ago=30)
    drain(world.cast)
    return world


def send(world: World, counts: tuple[int, ...], *, hours_ago: int) -> Attempt:
    rows = work("r", "horizontal_row", "row_45", variations=["row_45"], repetitions=60)
    written = document(
        f"Rows of {hours_ago} h ago", block("main", rows, aim=[{"kind": "time", "upper": 1500}])
    )
    session = place(world, written, -dt.timedelta(hours=hours_ago))
    sets = [
        {"work": "r", "variation": "row_45", "repetitions": count, "ended_by": "failure", "rest_before_s": 60}
        for count in counts
    ]
    data = {"sets": sets, "elapsed_s": 900.0}
    when = timezone.now() - dt.timedelta(hours=hours_ago)
    with world.cast.inside():
        return submit_attempt(
            actor=world.cast.coach.actor,
            session_id=session.id,
            athlete_id=world.athletes[WHO].id,
            report=Report("set_log", data, {"set_log": data}, when, None),
        )[0]


def relearned(world: World, *, days: int = 0) -> tuple[bool, Tiring | None]:
    """(whether there was something to do, the row) so many days from now; inside the organisation."""
    athlete = world.athletes[WHO].id
    today = timezone.now().date() + dt.timedelta(days=days)
    moved = tiring.learn_tiring(athlete_id=athlete, today=today)
    return moved, Tiring.objects.filter(athlete=athlete).first()


@pytest.mark.parametrize(
    ("code", "accepted", "tells"),
    [
        (None, None, True),  # asked about, and in no doubt
        (None, False, False),
        (min(WITHHELD), None, False),
        (min(WITHHELD), True, True),
    ],
)
def test_what_nobody_believes_or_has_yet_looked_at_tells_nothing(
    world: World, code: str | None, accepted: bool | None, tells: bool
) -> None:
    with world.cast.inside():
        findings = [{"code": code or "before_the_session", "detail": "Ask."}]
        Review.objects.update_or_create(
            attempt=Attempt.objects.get(),
            defaults={"org_id": world.cast.org.id, "findings": findings, "accepted": accepted},
        )
        moved, row = relearned(world)
        assert (moved, row is not None) == (not tells, tells)


def test_the_newest_are_taken_and_no_more_than_so_many(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tiring, "MOST_SESSIONS", 1)
    monkeypatch.setattr(tiring._newest, "_made", None)  # the number stands in the statement
    send(world, LASTING, hours_ago=6)
    with world.cast.inside():
        _, row = relearned(world)
    assert row is not None
    assert (row.sessions, row.sets) == (1, len(LASTING))
    assert row.median < 0.5


def test_a_result_tells_for_a_year(world: World) -> None:
    with world.cast.inside():
        _, row = relearned(world, days=360)
        assert row is not None
        assert relearned(world, days=370) == (True, None)


def test_another_sex_is_another_beginning(world: World) -> None:
    """Women tire less: the same sets, and another number."""
    with world.cast.inside():
        _, before = relearned(world)
        Athlete.objects.filter(id=world.athletes[WHO].id).update(sex="female")
        moved, after = relearned(world)
    assert moved
    assert before is not None and after is not None
    assert after.median < before.median


def test_another_capacity_is_worked_out_again(world: World) -> None:
    with world.cast.inside():
        assert not relearned(world)[0]
        Capacity.objects.filter(athlete=world.athletes[WHO]).update(inputs="0" * 64)
        assert relearned(world)[0]


def test_what_another_method_learned_is_worked_out_again(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    with world.cast.inside():
        assert not relearned(world)[0]
        monkeypatch.setattr(tiring, "METHOD_VERSION", 10_000)
        assert relearned(world)[0]


def test_the_body_mass_is_that_of_the_day(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Weighed a week before with 68 kg, and today with 75."""
    well, masses = tiring.session_of, []

    def noted(logged: Any, states: Any, body_mass_kg: float | None) -> Any:
        masses.append(body_mass_kg)
        return well(logged, states, body_mass_kg)

    monkeypatch.setattr(tiring, "session_of", noted)
    now, athlete = timezone.now(), world.athletes[WHO]
    with world.cast.inside():
        record_body_mass(
            actor=world.cast.coach.actor, athlete=athlete, body_mass_kg=75.0, measured_at=now, now=now
        )
        drop_tiring(athlete_id=athlete.id)
        relearned(world)
    assert masses == [68.0]
