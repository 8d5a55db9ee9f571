"""A small organisation at work: catalogue, kit, a published session on the calendar, athletes with tests.

Also `drain`: what relay and worker would do, inside the test's own transaction.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.athletes import create_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.models import Athlete
from athletes.performed import Settings
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import Revision, ScheduledSession, Variation
from services.changes.models import Change
from services.pipeline.recompute import recompute_change
from tests.support.cast import Cast
from tests.support.ready import AT_WORK

KIT = {
    "items": {
        "bar_floor": {},
        "rings": {},
        "pull_up_bar": {},
        "bench": {},
        "box": {"heights_cm": [30, 45, 60]},
        "barbell": {"loads_kg": [20 + 2.5 * step for step in range(49)]},
        "dumbbell": {"loads_kg": [4.0 * step for step in range(1, 16)]},
        "kettlebell": {"loads_kg": [8, 12, 16, 20, 24, 28, 32]},
        "vest": {"loads_kg": [5, 10]},
        "band": {"assistances_kg": [8, 16, 24]},
    }
}

SESSION: dict[str, Any] = {
    "title": "Rows and goblet squats, turn about",
    "texts": {"why": "Local endurance of the back and the legs."},
    "quality": "local_muscular_endurance",
    "blocks": [
        {
            "key": "main",
            "work": [
                {
                    "key": "a",
                    "movement": "horizontal_row",
                    "repetitions": 60,
                    "variations": [],
                    "as_written": {
                        "variation": "row_45",
                        "load_kg": None,
                        "assistance_kg": None,
                        "height_cm": None,
                    },
                },
                {
                    "key": "b",
                    "movement": "squat",
                    "repetitions": 80,
                    "variations": ["body_weight_squat", "goblet_squat"],
                    "as_written": {
                        "variation": "goblet_squat",
                        "load_kg": 16,
                        "assistance_kg": None,
                        "height_cm": None,
                    },
                },
            ],
            "rules": {
                "order": "swap_on_break",
                "break": {"counts": "set_ended_early", "penalty_s": 20, "penalty": "added"},
                "end": {"kind": "work_done", "cap_s": 1800},
                "scored": "time",
                "tie_break": "fewest_breaks",
            },
            "aim": {
                "conditions": [
                    {"kind": "first_set", "work": "a", "lower": 12, "upper": 22},
                    {"kind": "first_set", "work": "b", "lower": 15, "upper": 35},
                    {"kind": "time", "lower": 240, "upper": 1500},
                ]
            },
        }
    ],
}


@dataclass
class World:
    cast: Cast
    revision: Revision
    session: ScheduledSession
    athletes: dict[str, Athlete] = field(default_factory=dict)

    def variation(self, key: str) -> UUID:
        with self.cast.inside():
            return Variation.objects.values_list("id", flat=True).get(key=key)


def make_world(*, starts_in: dt.timedelta = dt.timedelta(days=2)) -> World:
    cast = AT_WORK.take()
    actor = cast.coach.actor
    assert actor is not None
    with cast.inside():
        put_location_kit(actor=actor, location=cast.harbour, document=KIT, version=None)
        template = create_template(actor=actor, name="Turn about", draft=SESSION)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        session = schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=cast.harbour.id,
            starts_at=timezone.now() + starts_in,
        )
    return World(cast, revision, session)


def world_of(name: str, body_mass_kg: float) -> World:
    """With one athlete of the harbour, of whom no test is known."""
    world = make_world()
    add_athlete(world, name, body_mass_kg)
    return world


def add_athlete(
    world: World, name: str, body_mass_kg: float | None = None, tests: dict[str, int] | None = None
) -> Athlete:
    """An athlete of the harbour; `tests` maps a variation to repetitions to failure a week ago."""
    actor = world.cast.coach.actor
    assert actor is not None
    now = timezone.now()
    with world.cast.inside():
        athlete, _ = create_athlete(actor=actor, name=name, location_id=world.cast.harbour.id)
        if body_mass_kg is not None:
            when = now - dt.timedelta(days=8)
            record_body_mass(
                actor=actor, athlete=athlete, body_mass_kg=body_mass_kg, measured_at=when, now=now
            )
        for variation, repetitions in (tests or {}).items():
            settings = Settings(load_kg=16.0) if variation == "goblet_squat" else Settings()
            tested = Performance(
                kind="to_failure",
                repetitions=repetitions,
                performed_at=now - dt.timedelta(days=7),
                settings=settings,
            )
            key = Variation.objects.values_list("id", flat=True).get(key=variation)
            record_assessment(actor=actor, athlete=athlete, variation_id=key, tested=tested, now=now)
    world.athletes[name] = athlete
    return athlete


def url(world: World, path: str) -> str:
    """The address of something of the organisation's."""
    return f"/api/v1/organisations/{world.cast.org.id}/{path}"


def drain(cast: Cast, *, rounds: int = 20) -> int:
    """Recompute until nothing is due, as relay and worker would; returns the number of recomputes.

    Raises AssertionError when a recompute fails or the queue does not run dry.
    """
    count = 0
    for _ in range(rounds):
        with cast.inside():
            due = Change.objects.filter(version__gt=F("done"), parked_at=None).order_by("priority", "id")
            ids = list(due.values_list("id", flat=True))
        if not ids:
            return count
        for change_id in ids:
            outcome = recompute_change(org_id=cast.org.id, change_id=change_id)
            assert outcome in {"done", "nothing"}, outcome
            count += 1
    raise AssertionError("changes keep coming: a recompute asks for itself")
