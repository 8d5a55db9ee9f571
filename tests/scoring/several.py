"""Sessions of several blocks, placed in the past so that nothing is prescribed for them any more."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

from django.utils import timezone

from programming.actions.sessions import schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import ScheduledSession
from tests.support.api import ApiClient
from tests.support.world import World, drain, url

EFFORT = {"conditions": [{"kind": "effort", "lower": 5, "upper": 9}]}
NO_BREAKS = {"counts": "none"}


def _item(
    key: str, movement: str, unit: str, amount: float | None, variation: str, load: float | None
) -> dict:
    return {
        "key": key,
        "movement": movement,
        unit: amount,
        "as_written": {"variation": variation, "load_kg": load},
    }


HEAVY = {
    "key": "heavy",
    "work": [_item("lift", "back_squat", "repetitions", 1, "back_squat_barbell", 60)],
    "rules": {
        "order": "attempts", "attempts": 3, "break": NO_BREAKS, "end": {"kind": "work_done"},
        "scored": "load", "tie_break": "fewest_misses",
    },
    "aim": EFFORT,
}  # fmt: skip
ROUNDS = {
    "key": "rounds",
    "work": [
        _item("machine", "row_machine", "energy_kcal", 15, "row_machine", None),
        _item("swing", "kettlebell_swing", "repetitions", 10, "kettlebell_swing", 16),
    ],
    "rules": {
        "order": "rounds", "break": NO_BREAKS, "end": {"kind": "fixed_time", "time_s": 600},
        "scored": "rounds", "tie_break": "none",
    },
    "aim": EFFORT,
}  # fmt: skip
EVERY = {
    "key": "every",
    "work": [_item("row", "horizontal_row", "repetitions", 8, "row_45", None)],
    "rules": {
        "order": "intervals", "intervals": {"every_s": 60, "count": 4}, "break": NO_BREAKS,
        "end": {"kind": "work_done"}, "scored": "intervals", "tie_break": "fewest_misses",
    },
    "aim": EFFORT,
}  # fmt: skip
HOLD = {
    "key": "hold",
    "work": [_item("plank", "plank", "hold_s", None, "plank", None)],
    "rules": {
        "order": "in_sequence", "break": NO_BREAKS, "end": {"kind": "fixed_time", "time_s": 180},
        "scored": "held_time", "tie_break": "none",
    },
    "aim": EFFORT,
}  # fmt: skip
TABLES = {
    "heavy": {"a": 10, "b": 0, "c": 1},
    "rounds": {"a": 200, "b": 0, "c": 1.5},
    "every": {"a": 100, "b": 0, "c": 1},
}


def document(*blocks: dict, **overall: Any) -> dict:
    """A session of these blocks."""
    made = {"title": "Made for a test", "quality": "aerobic_power", "blocks": copy.deepcopy(list(blocks))}
    return {**made, "overall": overall} if overall else made


def place(world: World, doc: dict, *, days_ago: float = 2.0) -> ScheduledSession:
    """Publish and schedule at the harbour."""
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        template = create_template(actor=actor, name=doc["title"], draft=doc)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        return schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() - dt.timedelta(days=days_ago),
        )


def send(
    world: World, session: ScheduledSession, name: str, *, client: ApiClient | None = None, **report: Any
) -> Any:
    """POST a result performed ten minutes ago; the response."""
    body = {
        "session": str(session.id),
        "athlete": str(world.athletes[name].id),
        "performed_at": (timezone.now() - dt.timedelta(minutes=10)).isoformat(),
        **report,
    }
    return (client or ApiClient(world.cast.coach.token)).post(url(world, "attempts"), body)


def correct(coach: ApiClient, world: World, attempt: Any, sets: list[dict]) -> None:
    """Put another log in the place of a result's, of the same time and session."""
    changed = {
        "set_log": {"sets": sets, "elapsed_s": 900},
        "performed_at": (timezone.now() - dt.timedelta(hours=29)).isoformat(),
        "reason": "Wrong sheet.",
    }
    answer = coach.post(url(world, f"attempts/{attempt}/corrections"), changed)
    assert answer.status_code == 201, answer.content
    drain(world.cast)


def a_set(work: str, variation: str, ended_by: str = "planned", **more: Any) -> dict:
    return {"work": work, "variation": variation, "ended_by": ended_by, **more}


def lifts(*attempts: tuple[float, str]) -> dict:
    """A log of single attempts (kg, ended by); one that failed has no repetition."""
    sets = [
        a_set("lift", "back_squat_barbell", ended, load_kg=load, repetitions=int(ended == "planned"))
        for load, ended in attempts
    ]
    return {"block": "heavy", "set_log": {"sets": sets}}


def rounds(kilocalories: float, swings: int) -> dict:
    """Totals of the rounds."""
    work = [{"work": "machine", "energy_kcal": kilocalories}, {"work": "swing", "repetitions": swings}]
    return {"block": "rounds", "totals": {"elapsed_s": 600, "work": work}}


def every(*repetitions: int) -> dict:
    """A log of the intervals, one set each."""
    sets = [
        a_set("row", "row_45", "planned" if n == 8 else "failure", repetitions=n, interval=number)
        for number, n in enumerate(repetitions, start=1)
    ]
    return {"block": "every", "set_log": {"sets": sets}}
