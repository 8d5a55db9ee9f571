"""Further sessions for the tests of prescribing: documents, and how they are placed."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from programming.actions.sessions import schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import ScheduledSession
from tests.support.world import World


def work(key: str, movement: str, variation: str, **fields: Any) -> dict[str, Any]:
    """One work item; `load_kg` and `variations` go where they belong, the rest is the amount."""
    written = {"variation": variation, "load_kg": fields.pop("load_kg", None)}
    listed = fields.pop("variations", [])
    return {"key": key, "movement": movement, "variations": listed, "as_written": written, **fields}


def block(key: str, *items: dict[str, Any], aim: list[dict[str, Any]], **rules: Any) -> dict[str, Any]:
    """For time, in sequence, without penalty, unless the rules say something else."""
    usual = {
        "order": "in_sequence",
        "break": {"counts": "none"},
        "end": {"kind": "work_done", "cap_s": 1800},
        "scored": "time",
        "tie_break": "none",
    }
    return {"key": key, "work": list(items), "rules": {**usual, **rules}, "aim": {"conditions": aim}}


def document(title: str, *blocks: dict[str, Any]) -> dict[str, Any]:
    return {"title": title, "texts": {}, "quality": "local_muscular_endurance", "blocks": list(blocks)}


def place(
    world: World, draft: dict[str, Any], starts_in: dt.timedelta = dt.timedelta(days=2)
) -> ScheduledSession:
    """Publish the document and put it on the harbour's calendar."""
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        template = create_template(actor=actor, name=draft["title"], draft=draft)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        return schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() + starts_in,
        )


SWINGS = document(
    "Swings, many",
    block(
        "main",
        work("s", "kettlebell_swing", "kettlebell_swing", load_kg=16, repetitions=150),
        aim=[{"kind": "time", "upper": 1500}],
    ),
)
EVERY_KIND = document(
    "A warm start, then everything",
    block(
        "start",
        work("p", "plank", "plank", hold_s=40),
        work("j", "box_jump", "box_jump", repetitions=10),
        aim=[],
        scored="none",
    ),
    block(
        "main",
        work("bike", "bike", "bike_stationary", energy_kcal=12),
        work("press", "dumbbell_press", "overhead_press_dumbbells", load_kg=16, repetitions=10),
        aim=[{"kind": "time", "upper": 1500}],
        order="rounds",
        rounds=3,
    ),
)
