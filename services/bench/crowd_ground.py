"""An organisation of thousands for the pages: one gym that has gone the whole way, and copies of it by one statement
a table.

The rows of the copies are those of the first gym with other ids, so that tables, indexes and documents have the size
that they would have; nothing is left for the worker to do.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID, uuid4

from django.db import connection, connections
from django.db.models import Field, ForeignKey, Model
from django.utils import timezone

from athletes.actions.athletes import update_athlete
from athletes.actions.imports import import_athletes
from athletes.actions.reports import create_report
from athletes.models import (
    Assessment,
    Athlete,
    BodyMass,
    Capacity,
    LoadDay,
    LoadSummary,
    Observation,
    Report,
    ReportReview,
    Tempo,
    Tiring,
)
from athletes.reported import Told
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import LocationKit, ScheduledSession
from scoring.actions import attempts
from scoring.models import (
    Attempt,
    ForecastCheck,
    OfficialScore,
    Prescription,
    Review,
    SessionWork,
    SetLog,
)
from services.access.actions import create_location, create_token, find_or_make_person
from services.bench.ground import KIT, SESSION, result_body
from services.bench.waiting import wait_until_done
from services.pipeline.founding import found_ready_organisation
from services.tenancy.actor import Actor, Role
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Location, Membership, Person

GYM_SIZE: Final = 60
GYMS: Final = 84
TESTED_DAYS_AGO: Final = (72, 51, 30, 9)
UNWEIGHED: Final = (7, 31)
"""Places on the roster of those of whom nothing is known, for whom no version is found."""
UNBELIEVABLE: Final = 20
REPORTING: Final = 30
"""Every so many of the results do not add up, and every so many athletes report pain."""
COPIED: Final[tuple[type[Model], ...]] = (
    *(
        Location,
        LocationKit,
        ScheduledSession,
        Athlete,
        BodyMass,
        Assessment,
        Observation,
        Capacity,
        Tiring,
        Tempo,
    ),
    *(Prescription, Attempt, SetLog, OfficialScore, Review, ForecastCheck, SessionWork, LoadDay, LoadSummary),
    *(Report, ReportReview),
)
"""In an order in which references are there before they are referred to."""


@dataclass(frozen=True)
class Crowd:
    """What the pages are asked for; athlete: somebody of the first gym with a sign-in. Tokens by who reads."""

    org_id: UUID
    location: UUID
    session: UUID
    day: dt.date
    athlete: UUID
    movement: UUID
    tokens: dict[str, str]
    athletes: int


def make_crowd(gyms: int = GYMS) -> Crowd:
    """Found it, while the service runs; returns when all is prescribed, scored and copied."""
    org = found_ready_organisation(
        name="Measured by the page",
        owner_email="pages@example.org",
        owner_name="Maren Tillack",
        password=None,
    )
    with tenant_transaction(org.id):
        membership = Membership.objects.get()
        actor = Actor(membership.person_id, org.id, membership.id, Role.OWNER)
    location, athletes = _first_gym(actor)
    sessions = _place(actor, location)
    wait_until_done(org.id)
    _train(actor, sessions[0], athletes)
    wait_until_done(org.id)
    copy_first_gym(org.id, gyms - 1)
    return Crowd(
        org.id, location, sessions[0], _day_of(org.id, sessions[0]), athletes[0],
        _movement_of(org.id, athletes[0]), _readers(actor, location, athletes[0]), gyms * GYM_SIZE,
    )  # fmt: skip


def _first_gym(actor: Actor) -> tuple[UUID, list[UUID]]:
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        location = create_location(actor=actor, fields={"name": "Hall", "zone": "Europe/Lisbon"})
        put_location_kit(actor=actor, location=location, document=KIT, version=None)
        for turn, days in enumerate(TESTED_DAYS_AGO):
            text = roster_of(turn, now.date() - dt.timedelta(days=days))
            taken = import_athletes(
                actor=actor, text=text, mapping={}, location_id=location.id, now=now, dry_run=False
            )
            if taken.count("invalid"):
                raise RuntimeError(f"not all rows of a roster were taken: {taken.rows}")
        return location.id, list(Athlete.objects.order_by("name").values_list("id", flat=True))


def roster_of(turn: int, day: dt.date) -> str:
    """Tests of everybody else that grow a little from turn to turn."""
    lines = ["name,client_id,date,body_mass_kg,to_failure:row_45,to_failure:goblet_squat:16kg"]
    for place in range(GYM_SIZE):
        told = [55 + 7 * place % 40, 8 + place % 12 + turn, 15 + place % 15 + turn]
        known = ["", "", ""] if place in UNWEIGHED else [str(value) for value in told]
        lines.append(",".join([f"Athlete {place:02}", f"p{place}", str(day), *known]))
    return "\n".join(lines)


def _place(actor: Actor, location: UUID) -> list[UUID]:
    """Today's session, and one in three days."""
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        template = create_template(actor=actor, name=SESSION["title"], draft=SESSION)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        return [
            schedule_session(
                actor=actor, revision_id=revision.id, location_id=location, starts_at=now + offset
            ).id
            for offset in (dt.timedelta(minutes=30), dt.timedelta(days=3))
        ]


def _train(actor: Actor, session: UUID, athletes: list[UUID]) -> None:
    """A result of everybody; some do not add up, and some report pain."""
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        for place, athlete in enumerate(athletes):
            if place in UNWEIGHED:
                continue
            data = result_body(session, athlete, place)["set_log"]
            if place % UNBELIEVABLE == 3:
                data["elapsed_s"] = 40.0
            report = attempts.Report("set_log", data, {"set_log": data}, now, None)
            attempts.submit_attempt(actor=actor, session_id=session, athlete_id=athlete, report=report)
            if place % REPORTING == 5:
                told = Told(kind="pain", site="knee", side="left", severity=3)
                create_report(actor=actor, athlete=Athlete.objects.get(id=athlete), told=told, now=now)


def _day_of(org_id: UUID, session: UUID) -> dt.date:
    with tenant_transaction(org_id):
        return ScheduledSession.objects.get(id=session).local_date


def _movement_of(org_id: UUID, athlete: UUID) -> UUID:
    with tenant_transaction(org_id):
        found = Capacity.objects.filter(athlete=athlete).order_by("movement__key")
        return found.values_list("movement_id", flat=True)[0]


def _readers(actor: Actor, location: UUID, athlete: UUID) -> dict[str, str]:
    """A coach, one of the staff of the first gym, and the athlete: their tokens."""
    with tenant_transaction(actor.org_id):
        staff = _member(actor, "Staff", Role.LOCATION_STAFF)
        Membership.objects.get(person=staff).places.create(org_id=actor.org_id, location_id=location)
        coach, somebody = _member(actor, "Coach", Role.COACH), _member(actor, "Athlete", Role.ATHLETE)
        row = Athlete.objects.get(id=athlete)
        update_athlete(actor=actor, athlete=row, expected=row.version, person_id=somebody.id)
    people = {"coach": coach, "staff": staff, "athlete": somebody}
    return {name: create_token(person=person, label="bench")[1] for name, person in people.items()}


def _member(actor: Actor, name: str, role: Role) -> Person:
    person = find_or_make_person(email=f"pages-{role.value}@example.org", name=name, password=uuid4().hex)
    Membership.objects.create(org_id=actor.org_id, person=person, role=role)
    return person


def copy_first_gym(org_id: UUID, times: int) -> None:
    """So many more gyms with all that belongs to the first; then the planner is told how much there is."""
    _analyze()
    with tenant_transaction(org_id), connection.cursor() as cursor:
        cursor.execute("SET LOCAL statement_timeout = 0")
        for model in COPIED:
            cursor.execute(copying(model), {"org": org_id, "times": times})
    _analyze()


def _analyze() -> None:
    with connections["owner"].cursor() as cursor:
        cursor.execute("ANALYZE")


def copying(model: type[Model]) -> str:
    """INSERT … SELECT of all rows of the organisation, `times` over; every copy has ids of its own."""
    columns = [str(field.column) for field in model._meta.concrete_fields]
    return (
        f'INSERT INTO "{model._meta.db_table}" ({", ".join(_quoted(columns))}) '
        f"SELECT {', '.join(_values(model))} "
        f'FROM "{model._meta.db_table}" AS t, generate_series(1, %(times)s) AS gym WHERE t.org_id = %(org)s'
    )


def _quoted(columns: list[str]) -> list[str]:
    return [f'"{column}"' for column in columns]


def _values(model: type[Model]) -> Iterator[str]:
    for field in model._meta.concrete_fields:
        column = f't."{field.column}"'
        if _is_copied(field):
            yield f"md5(gym::text || {column}::text)::uuid"
        elif (model, field.name) == (Athlete, "person"):
            yield "NULL"  # one person, one athlete
        elif field.name == "client_id" or (model, field.name) == (Location, "name"):
            yield f"{column} || ' ' || gym"
        else:
            yield column


def _is_copied(field: Field[Any, Any]) -> bool:
    """Whether it names a row of a gym: the row itself, one that it refers to, or the one that it came from."""
    if isinstance(field, ForeignKey):
        return field.related_model in COPIED
    return field.primary_key or field.name == "source_id"
