"""Who is limited or sore reads what the session offers instead, by name."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from athletes.actions.limitations import add_limitation
from athletes.safety_words import SAFE_ALTERNATIVES
from scoring.models import Prescription
from scoring.names import Names
from scoring.substitutes import substitutes_told
from tests.scoring.sessions import block, document, place, work
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world

WHO = "Bruna Keel"
AIM = [{"kind": "time", "upper": 1700}]
SQUAT = work("s", "squat", "goblet_squat", load_kg=16, repetitions=30)
ROW = work("r", "horizontal_row", "row_45", variations=["row_45"], repetitions=30)


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, WHO, 62.0, {"row_45": 16, "goblet_squat": 24})
    return world


def told(world: World, session: Any) -> str:
    """All sentences of the explanation, as the interface gives them."""
    drain(world.cast)
    with world.cast.inside():
        given = Prescription.objects.filter(athlete=world.athletes[WHO], session=session).latest("number")
    path = f"/api/v1/organisations/{world.cast.org.id}/prescriptions/{given.id}/explanation"
    return " ".join(ApiClient(world.cast.coach.token).get(path).json()["sentences"])


def limit(world: World, hazard: str) -> None:
    with world.cast.inside():
        actor, today = world.cast.coach.actor, timezone.now().date()
        assert actor is not None
        add_limitation(actor=actor, athlete=world.athletes[WHO], hazard=hazard, from_date=today)


def test_another_version_is_named(world: World) -> None:
    """The version as written has the hazard, the other one of the session has not."""
    session = place(world, document("Squats", block("main", SQUAT, aim=AIM)))
    assert "Sparing" not in told(world, session)
    limit(world, "lower_back")
    said = told(world, session)
    with world.cast.inside():
        content = Prescription.objects.filter(session=session).latest("number").content
    (chosen,) = content["work"]
    assert chosen["variation"] != "goblet_squat"
    assert f"Sparing lower back, Squat is done as {chosen['variation_name']}" in said


def test_the_other_work_of_the_session_is_named(world: World) -> None:
    """The block cannot be done at all; what is left of it is named with its setting, and who decides how much."""
    only = {**SQUAT, "variations": ["goblet_squat"]}
    session = place(world, document("Squats and rows", block("main", only, ROW, aim=AIM)))
    drain(world.cast)
    limit(world, "knee")
    said = told(world, session)
    assert "Nothing that the session allows for Squat spares knee." in said
    assert "What else is in the session spares it: Suspension row as " in said


def test_with_nothing_left_the_words_of_a_hold_for_pain_are_said(world: World) -> None:
    """No answer without a safe alternative."""
    only = {**SQUAT, "variations": ["goblet_squat"]}
    session = place(world, document("Squats alone", block("main", only, aim=AIM)))
    drain(world.cast)
    limit(world, "knee")
    assert SAFE_ALTERNATIVES["pain"] in told(world, session)


CONTENT: dict[str, Any] = {
    "hold": None,
    "overridden_by": None,
    "reasons": [{"code": "no_options", "work": "s"}],
    "ruled_out": [{"work": "s", "variation": "goblet_squat", "reason": "sore:quadriceps"}],
    "work": [],
}


NAMES = Names({"s": "Squat", "p": "Press"}, variations={"old_press": "Old press"})


def candidate(work: str, variation: str, loss: float, *, is_novel: bool = False) -> dict[str, Any]:
    option = {"variation_key": variation, "load_kg": 8.0, "assistance_kg": None, "height_cm": None}
    return {"work": work, "option": option, "loss": loss, "is_novel": is_novel}


def test_the_best_that_is_not_new_is_named() -> None:
    """What was compared for other work only: never a version that the athlete has not done."""
    compared = [
        candidate("p", "new_press", 0.1, is_novel=True),
        candidate("p", "floor_press", 0.5),
        candidate("p", "old_press", 0.3),
    ]
    (said,) = substitutes_told(CONTENT, {"candidates": compared}, NAMES)
    assert "Press as Old press, 8 kg." in said
    (said,) = substitutes_told(CONTENT, {"candidates": compared[:1]}, NAMES)
    assert SAFE_ALTERNATIVES["pain"] in said


@pytest.mark.parametrize("by", ["hold", "overridden_by"])
def test_nothing_is_added_to_a_hold_or_an_override(by: str) -> None:
    """A hold names its own alternative; what a person chose is not called safe here."""
    assert list(substitutes_told({**CONTENT, by: {"code": "pain"}}, {}, NAMES)) == []


def test_what_is_missing_in_the_kit_is_no_reason_to_spare_anything() -> None:
    """Only limits and soreness."""
    missing = [{"work": "s", "variation": "goblet_squat", "reason": "equipment_missing"}]
    assert list(substitutes_told({**CONTENT, "ruled_out": missing}, {}, NAMES)) == []
