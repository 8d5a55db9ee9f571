"""What the tests of the programme start from."""

from __future__ import annotations

import copy
import datetime as dt
import json
from functools import cache
from typing import Any
from uuid import UUID

from drf_spectacular.generators import SchemaGenerator

from programming.actions.catalogue import install_catalogue
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import Revision, ScheduledSession
from services.changes.models import Change
from services.tenancy.models import Location
from tests.support.api import ApiClient, Document
from tests.support.cast import Cast, Member

KIT: dict[str, Any] = {
    "items": {"rings": {}, "kettlebell": {"loads_kg": [8, 12, 16]}, "box": {"heights_cm": [30, 60]}}
}
DOCUMENT: dict[str, Any] = {
    "rung": 1,
    "body_mass_fraction": 0,
    "fraction_source": "external load alone",
    "standard": "Upper arms touch the floor, then elbows straight.",
    "adjustable": ["load"],
    "load_item": "dumbbell",
}


def draft(**changes: Any) -> dict[str, Any]:
    """Sixty rows and forty squats, swapping at each break."""
    whole: dict[str, Any] = {
        "title": "Harbour sixty",
        "quality": "local_muscular_endurance",
        "blocks": [
            {
                "key": "main",
                "work": [
                    {
                        "key": "a",
                        "movement": "horizontal_row",
                        "repetitions": 60,
                        "variations": ["row_30", "row_45"],
                        "as_written": {"variation": "row_45"},
                    },
                    {
                        "key": "b",
                        "movement": "squat",
                        "repetitions": 40,
                        "as_written": {"variation": "goblet_squat", "load_kg": 16},
                    },
                ],
                "rules": {
                    "order": "swap_on_break",
                    "break": {"counts": "set_ended_early", "penalty_s": 20, "penalty": "added"},
                    "end": {"kind": "work_done", "cap_s": 1500},
                    "scored": "time",
                    "tie_break": "fewest_breaks",
                },
                "aim": {"conditions": [{"kind": "first_set", "work": "a", "lower": 12, "upper": 20}]},
            }
        ],
    }
    return copy.deepcopy({**whole, **changes})


def stocked(cast: Cast) -> Cast:
    """The organisation with the shipped catalogue."""
    with cast.inside():
        install_catalogue(org=cast.org)
    return cast


def published(cast: Cast, document: dict[str, Any] | None = None) -> Revision:
    """A revision of a new template; inside the organisation."""
    actor = cast.coach.actor
    assert actor is not None
    template = create_template(actor=actor, name="Harbour sixty", draft=document or draft())
    revision, _ = publish_revision(actor=actor, template=template, version=template.version)
    return revision


def placed(cast: Cast, revision: Revision, location: Location, starts_at: dt.datetime) -> ScheduledSession:
    actor = cast.coach.actor
    assert actor is not None
    return schedule_session(
        actor=actor, revision_id=revision.id, location_id=location.id, starts_at=starts_at
    )


def with_kit(cast: Cast, location: Location, document: dict[str, Any] | None = None) -> None:
    actor = cast.coach.actor
    assert actor is not None
    put_location_kit(actor=actor, location=location, document=document or KIT, version=None)


def change_versions(kind: str) -> dict[UUID, int]:
    """How often each subject was marked."""
    return dict(Change.objects.filter(kind=kind).values_list("subject", "version"))


@cache
def made_document() -> Document:
    """As the code makes it now; that the committed one is the same is another test."""
    return Document(SchemaGenerator().get_schema(request=None, public=True))


def client(member: Member) -> ApiClient:
    return ApiClient(member.token, made_document())


def base(cast: Cast) -> str:
    return f"/api/v1/organisations/{cast.org.id}"


def body(response: Any, status: int = 200) -> Any:
    assert response.status_code == status, response.content
    return json.loads(response.content)
