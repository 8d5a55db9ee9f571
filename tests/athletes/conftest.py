"""An organisation with the shipped catalogue and three athletes in two places."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import pytest
import time_machine

from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.athletes import create_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.models import Assessment, Athlete
from athletes.performed import Settings
from programming.actions.catalogue import install_catalogue
from programming.models import Movement, Variation
from tests.athletes.urls import document
from tests.support.api import ApiClient
from tests.support.cast import Cast, Member

NOW = dt.datetime(2030, 3, 20, 18, 0, tzinfo=dt.UTC)
TODAY = NOW.date()


def days_ago(days: int) -> dt.datetime:
    return NOW - dt.timedelta(days=days)


@dataclass
class Team:
    """noor trains at the harbour, bram at the mill; ayo, the member with the role athlete, at the harbour."""

    cast: Cast
    noor: Athlete
    bram: Athlete
    ayo: Athlete

    def variation(self, key: str) -> UUID:
        found: UUID = Variation.objects.get(key=key).id
        return found

    def movement(self, key: str) -> UUID:
        found: UUID = Movement.objects.get(key=key).id
        return found

    def weigh(self, athlete: Athlete, kg: float, days: int = 30, **more: Any) -> Any:
        actor = self.cast.coach.actor
        return record_body_mass(
            actor=actor, athlete=athlete, body_mass_kg=kg, measured_at=days_ago(days), now=NOW, **more
        )[0]

    def test(
        self,
        athlete: Athlete,
        key: str,
        repetitions: int,
        *,
        kind: str = "to_failure",
        days: int = 10,
        load_kg: float | None = None,
        **more: Any,
    ) -> Assessment:
        performance = Performance(
            kind=kind,
            repetitions=repetitions,
            performed_at=days_ago(days),
            settings=Settings(load_kg, more.pop("assistance_kg", None), more.pop("height_cm", None)),
            rir=more.pop("rir", None),
            ended_by=more.pop("ended_by", None),
        )
        return record_assessment(
            actor=self.cast.coach.actor,
            athlete=athlete,
            variation_id=self.variation(key),
            tested=performance,
            now=NOW,
            **more,
        )[0]

    def client(self, member: Member) -> ApiClient:
        return ApiClient(member.token, document())

    def path(self, rest: str) -> str:
        return f"/api/v1/organisations/{self.cast.org.id}/{rest}"


def make_team(cast: Cast) -> Team:
    """Inside the organisation."""
    if not Movement.objects.exists():
        install_catalogue(org=cast.org)
    actor = cast.coach.actor
    made = [
        create_athlete(actor=actor, name=name, location_id=place.id)[0]
        for name, place in (
            ("Noor Castell", cast.harbour),
            ("Bram Okoye", cast.mill),
            ("Ayo Lindqvist", cast.harbour),
        )
    ]
    made[2].person_id = cast.athlete.person.id
    made[2].save(update_fields=["person"])
    return Team(cast, *made)


@pytest.fixture
def at_now() -> Iterator[None]:
    """The clock stands at NOW: what is told over HTTP is held against it."""
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def team(cast: Cast) -> Team:
    """To be used through HTTP: nobody is inside the organisation."""
    with cast.inside():
        return make_team(cast)


@pytest.fixture
def weighed(team: Team) -> Team:
    """The team, of 68 kg each for more than a year."""
    with team.cast.inside():
        for athlete in (team.noor, team.bram, team.ayo):
            team.weigh(athlete, 68.0, days=400)
    return team


@pytest.fixture
def inside(team: Team) -> Iterator[Team]:
    """To be used directly: the test runs inside the organisation."""
    with team.cast.inside():
        yield team
