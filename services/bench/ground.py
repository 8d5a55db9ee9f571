"""The invented organisation that the measurements run on: gyms with classes, today and in some days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.utils import timezone

from athletes.actions.imports import import_athletes
from athletes.models import Athlete
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import Revision
from services.access.actions import create_location, create_token
from services.pipeline.founding import found_ready_organisation
from services.tenancy.actor import Actor, Role
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Membership, Person

CLASS_SIZE: Final = 30

KIT: Final[dict[str, Any]] = {
    "items": {
        "rings": {},
        "kettlebell": {"loads_kg": [8, 12, 16, 20, 24, 28, 32]},
        "vest": {"loads_kg": [5, 10]},
    }
}


def _item(key: str, movement: str, repetitions: int, variation: str, load_kg: float | None) -> dict[str, Any]:
    settings = {"load_kg": load_kg, "assistance_kg": None, "height_cm": None}
    written = {"variation": variation, **settings}
    return {"key": key, "movement": movement, "repetitions": repetitions, "as_written": written}


SESSION: Final[dict[str, Any]] = {
    "title": "Rows against goblet squats",
    "texts": {},
    "quality": "local_muscular_endurance",
    "blocks": [
        {
            "key": "main",
            "work": [
                {**_item("rows", "horizontal_row", 60, "row_45", None), "variations": []},
                {
                    **_item("squats", "squat", 80, "goblet_squat", 16.0),
                    "variations": ["body_weight_squat", "goblet_squat"],
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
                    {"kind": "first_set", "work": "rows", "lower": 12, "upper": 22},
                    {"kind": "first_set", "work": "squats", "lower": 15, "upper": 35},
                    {"kind": "time", "lower": 240, "upper": 1500},
                ]
            },
        }
    ],
}


@dataclass(frozen=True)
class Place:
    """A gym: its athletes, today's session, an earlier one, and the one in three days."""

    athletes: tuple[UUID, ...]
    today: UUID
    earlier: UUID
    coming: UUID


@dataclass(frozen=True)
class Ground:
    """What the clients need: the organisation, a coach's token, the gyms."""

    org_id: UUID
    token: str
    places: tuple[Place, ...]

    def pairs(self, session: str) -> list[tuple[UUID, UUID]]:
        """(session, athlete), four classes of as many gyms side by side, then the next four."""
        found = []
        for first in range(0, len(self.places), 4):
            classes = self.places[first : first + 4]
            for number in range(CLASS_SIZE):
                found += [(getattr(place, session), place.athletes[number]) for place in classes]
        return found


def make_ground(athletes: int) -> Ground:
    """Found it, with `athletes` (a multiple of the class size) who have been weighed and tested."""
    org = found_ready_organisation(
        name="Measured", owner_email="owner@example.org", owner_name="Odile Brandt", password=None
    )
    with tenant_transaction(org.id):
        membership = Membership.objects.get()
        owner = Person.objects.get(id=membership.person_id)
        actor = Actor(owner.id, org.id, membership.id, Role.OWNER)
        template = create_template(actor=actor, name="Turn about", draft=SESSION)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
    _, token = create_token(person=owner, label="bench")
    places = tuple(_make_place(actor, revision, number) for number in range(athletes // CLASS_SIZE))
    return Ground(org.id, token, places)


def _make_place(actor: Actor, revision: Revision, number: int) -> Place:
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        location = create_location(actor=actor, fields={"name": f"Gym {number}", "zone": "Europe/Lisbon"})
        put_location_kit(actor=actor, location=location, document=KIT, version=None)
        sessions = [
            schedule_session(
                actor=actor, revision_id=revision.id, location_id=location.id, starts_at=now + offset
            ).id
            for offset in (dt.timedelta(hours=2), dt.timedelta(hours=-2), dt.timedelta(days=3))
        ]
        import_athletes(
            actor=actor,
            text=_roster(number, now.date() - dt.timedelta(days=7)),
            mapping={},
            location_id=location.id,
            now=now,
            dry_run=False,
        )
        ids = Athlete.objects.filter(location=location).order_by("name").values_list("id", flat=True)
        return Place(tuple(ids), *sessions)


def _roster(place: int, day: dt.date) -> str:
    head = "name,client_id,date,body_mass_kg,to_failure:row_45,to_failure:goblet_squat:16kg"
    lines = [
        f"Athlete {place:02} {n:02},r{place}-{n},{day},{55 + (7 * n + place) % 40},{8 + n % 12},{15 + n % 15}"
        for n in range(CLASS_SIZE)
    ]
    return "\n".join([head, *lines])


def result_body(session: UUID, athlete: UUID, number: int) -> dict[str, Any]:
    """A result far better than the tests foretold, so that the next prescription has to change."""
    rows, squats = 34 + number % 12, 55 + number % 20
    sets = [
        _set("rows", "row_45", rows, "failure"),
        _set("squats", "goblet_squat", squats, "failure"),
        _set("rows", "row_45", 60 - rows, "planned"),
        _set("squats", "goblet_squat", 80 - squats, "planned"),
    ]
    return {
        "session": str(session),
        "athlete": str(athlete),
        "performed_at": timezone.now().isoformat(),
        "set_log": {"sets": sets, "elapsed_s": 400.0 + number % 300},
    }


def _set(work: str, variation: str, repetitions: int, ended_by: str) -> dict[str, Any]:
    load_kg = 16.0 if variation == "goblet_squat" else None
    return {
        "work": work,
        "variation": variation,
        "repetitions": repetitions,
        "load_kg": load_kg,
        "ended_by": ended_by,
    }
