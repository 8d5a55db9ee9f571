"""Gyms whose athletes have trained and tested for two months, and a week of sessions published for all of them."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.utils import timezone

from athletes.actions.assessments import record_assessment
from athletes.actions.imports import import_athletes
from athletes.actions.tested import Performance
from athletes.models import Athlete
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import Variation
from scoring.actions.attempts import Report, submit_attempt
from services.access.actions import create_location
from services.bench.week import KIT, WEEK
from services.pipeline.founding import found_ready_organisation
from services.tenancy.actor import Actor, Role
from services.tenancy.context import tenant_transaction
from services.tenancy.models import Membership

GYM_SIZE: Final = 50
TESTED_DAYS_AGO: Final = (58, 44, 30, 16)
TRAINED_DAYS_AGO: Final = (12, 5)
TESTS: Final = {
    "row_45": 14,
    "goblet_squat:16kg": 24,
    "push_up_floor": 22,
    "sit_up": 28,
    "overhead_press_dumbbells:20kg": 14,
    "squat_to_press_dumbbells:16kg": 18,
    "kettlebell_swing:16kg": 34,
    "back_squat_barbell:60kg": 11,
    "bench_press_barbell:45kg": 10,
}
"""Repetitions to failure of somebody in the middle, as invented as the rest."""
TRIALS_KCAL: Final = {180.0: 48.0, 720.0: 152.0}
"""Kilocalories on the bicycle in so many seconds."""
LOADS_KG: Final = {"goblet_squat": 16.0}


@dataclass(frozen=True)
class Gym:
    location: UUID
    athletes: tuple[UUID, ...]


@dataclass(frozen=True)
class WeekGround:
    """The organisation, its gyms and the revisions of the week."""

    org_id: UUID
    actor: Actor
    gyms: tuple[Gym, ...]
    revisions: tuple[UUID, ...]

    @property
    def athletes(self) -> int:
        return sum(len(gym.athletes) for gym in self.gyms)


def make_week_ground(athletes: int) -> WeekGround:
    """Found it, with `athletes` (a multiple of the size of a gym) of whom about 45 observations are known each."""
    org = found_ready_organisation(
        name="Measured by the week", owner_email="week@example.org", owner_name="Ilse Marten", password=None
    )
    with tenant_transaction(org.id):
        membership = Membership.objects.get()
        actor = Actor(membership.person_id, org.id, membership.id, Role.OWNER)
        revisions = tuple(_publish(actor, draft) for draft in WEEK)
    gyms = tuple(_make_gym(actor, number) for number in range(athletes // GYM_SIZE))
    for gym in gyms:
        _train(actor, gym, revisions[0])
    return WeekGround(org.id, actor, gyms, revisions)


def publish_week(ground: WeekGround) -> list[UUID]:
    """Place each session of the week in every gym, at once; the sessions."""
    now = timezone.now()
    with tenant_transaction(ground.org_id):
        return [
            schedule_session(
                actor=ground.actor,
                revision_id=revision,
                location_id=gym.location,
                starts_at=now + dt.timedelta(days=1 + day),
            ).id
            for gym in ground.gyms
            for day, revision in enumerate(ground.revisions)
        ]


def _publish(actor: Actor, draft: dict[str, Any]) -> UUID:
    template = create_template(actor=actor, name=draft["title"], draft=draft)
    revision, _ = publish_revision(actor=actor, template=template, version=template.version)
    return revision.id


def _make_gym(actor: Actor, number: int) -> Gym:
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        location = create_location(actor=actor, fields={"name": f"Hall {number}", "zone": "Europe/Lisbon"})
        put_location_kit(actor=actor, location=location, document=KIT, version=None)
        for turn, days in enumerate(TESTED_DAYS_AGO):
            report = import_athletes(
                actor=actor,
                text=roster_of(number, turn, now.date() - dt.timedelta(days=days)),
                mapping={},
                location_id=location.id,
                now=now,
                dry_run=False,
            )
            if report.count("created") != GYM_SIZE:
                raise RuntimeError(f"not all rows of a roster were taken: {report.rows}")
        rows = list(Athlete.objects.filter(location=location).order_by("name"))
        bike = Variation.objects.values_list("id", flat=True).get(key="fan_bike")
        for place, athlete in enumerate(rows):
            _ride(actor, athlete, bike, ability_of(number, place), now - dt.timedelta(days=20))
    return Gym(location.id, tuple(athlete.id for athlete in rows))


def ability_of(gym: int, place: int) -> float:
    """From 0.7 to 1.4 of somebody in the middle."""
    return 0.7 * math.pow(2.0, (13 * place + 5 * gym) % GYM_SIZE / (GYM_SIZE - 1.0))


def roster_of(gym: int, turn: int, day: dt.date) -> str:
    head = ["name", "client_id", "date", "body_mass_kg", *(f"to_failure:{test}" for test in TESTS)]
    lines: list[list[object]] = [[*head]]
    for place in range(GYM_SIZE):
        able = ability_of(gym, place) * 1.02**turn
        done = [
            max(1, math.floor(middle * able + ((3 * place + 5 * turn + 7 * n) % 5 - 2) * 0.4))
            for n, middle in enumerate(TESTS.values())
        ]
        mass = 55 + (7 * place + gym) % 40
        lines.append([f"Athlete {gym:02} {place:02}", f"w{gym}-{place}", day, mass, *done])
    return "\n".join(",".join(str(cell) for cell in line) for line in lines)


def _ride(actor: Actor, athlete: Athlete, bike: UUID, able: float, at: dt.datetime) -> None:
    for number, (seconds, kcal) in enumerate(TRIALS_KCAL.items()):
        record_assessment(
            actor=actor,
            athlete=athlete,
            variation_id=bike,
            tested=Performance(
                kind="time_trial",
                repetitions=None,
                performed_at=at + dt.timedelta(days=3 * number),
                energy_kcal=round(kcal * able**0.5, 1),
                elapsed_s=seconds,
            ),
            now=timezone.now(),
        )


def _train(actor: Actor, gym: Gym, revision: UUID) -> None:
    """Sessions of the past, each with a result of everybody."""
    now = timezone.now()
    with tenant_transaction(actor.org_id):
        for days in TRAINED_DAYS_AGO:
            at = now - dt.timedelta(days=days)
            session = schedule_session(
                actor=actor, revision_id=revision, location_id=gym.location, starts_at=at
            )
            for place, athlete in enumerate(gym.athletes):
                data = _log(ability_of(0, place), place + days)
                done = Report("set_log", data, {"set_log": data}, at + dt.timedelta(minutes=20), None)
                submit_attempt(actor=actor, session_id=session.id, athlete_id=athlete, report=done)


def _log(able: float, number: int) -> dict[str, Any]:
    """Two sets of each item, the second of them all that was left."""
    rows, squats = min(45, round(15 * able) + number % 3), min(60, round(27 * able) + number % 4)
    sets = [
        _set("rows", "row_45", rows, 0.0, "failure"),
        _set("squats", "goblet_squat", squats, 5.0, "failure"),
        _set("rows", "row_45", round(0.8 * rows), 5.0, "planned"),
        _set("squats", "goblet_squat", round(0.8 * squats), 5.0, "planned"),
    ]
    return {"sets": sets, "elapsed_s": 500.0 + number % 100}


def _set(work: str, variation: str, repetitions: int, rest_s: float, ended_by: str) -> dict[str, Any]:
    return {
        "work": work,
        "variation": variation,
        "repetitions": repetitions,
        "load_kg": LOADS_KG.get(variation),
        "rest_before_s": rest_s,
        "ended_by": ended_by,
    }
