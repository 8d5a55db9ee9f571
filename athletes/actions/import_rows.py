"""One row of a roster on its way in: what is stored of it, what is new, what is wrong."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from athletes.actions.assessments import assessment_row
from athletes.actions.body_masses import HEAVIEST_KG, LIGHTEST_KG
from athletes.actions.doubted_tests import Doubter
from athletes.actions.support import local_date
from athletes.actions.tested import Performance, count_problems, unit_problems
from athletes.catalogue import CatalogueVersion
from athletes.models import Assessment, Athlete, BodyMass
from athletes.performed import (
    MassHistory,
    Settings,
    effective_kg,
    fraction_of,
    setting_problems,
)
from athletes.roster import RosterRow, TestCell
from services.tenancy.actor import Actor, Role
from services.tenancy.models import Location

Outcome = Literal["created", "duplicate", "invalid"]
NOON: Final = dt.time(12)
SAME_MASS_KG: Final = 1e-6


@dataclass(frozen=True)
class RowReport:
    """What became of a row; `created` says what was (or would be) stored, once for each."""

    number: int
    name: str
    outcome: Outcome
    athlete_id: UUID | None
    created: tuple[str, ...]
    problems: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Known:
    """What is stored already, by client_id, and what rows may refer to."""

    locations: Mapping[str, Location]
    default_location: Location | None
    versions: Mapping[str, CatalogueVersion]
    athletes: Mapping[str, Athlete]
    weighings: Mapping[str, BodyMass]
    assessments: Mapping[str, Assessment]
    masses: Mapping[UUID, MassHistory]
    doubter: Doubter


@dataclass
class Made:
    """The rows to insert, in the order of their references."""

    athletes: list[Athlete] = field(default_factory=list)
    weighings: list[BodyMass] = field(default_factory=list)
    assessments: list[tuple[Assessment, CatalogueVersion]] = field(default_factory=list)


def weighing_key(row: RosterRow) -> str:
    return row.sub_key("body_mass", row.date or "")


class RowImport:
    """One row on its way in: faults are collected, and what is new is added only when there are none."""

    def __init__(self, actor: Actor, row: RosterRow, known: Known, now: dt.datetime) -> None:
        self.actor, self.row, self.known, self.now = actor, row, known, now
        self.faults = row.faults

    def take(self, made: Made) -> RowReport:
        stored = self.known.athletes.get(self.row.client_key)
        athlete = self._stored(stored) if stored is not None else self._new()
        weighing, tests = None, []
        if athlete is not None:
            when = self._when(athlete)
            weighing = self._weighing(athlete, when)
            tests = [found for test in self.row.tests if (found := self._test(athlete, test, when, weighing))]
        if self.faults or athlete is None:
            return self._report("invalid", None, ())
        created = ["athlete"] if stored is None else []
        if stored is None:
            made.athletes.append(athlete)
        if weighing is not None and weighing.client_id not in self.known.weighings:
            made.weighings.append(weighing)
            created.append("body_mass")
        made.assessments += tests
        created += ["assessment"] * len(tests)
        return self._report("created" if created else "duplicate", athlete.id, tuple(created))

    def _report(self, outcome: Outcome, athlete_id: UUID | None, created: tuple[str, ...]) -> RowReport:
        row = self.row
        return RowReport(row.number, row.name, outcome, athlete_id, created, tuple(self.faults))

    def _fault(self, column: str, detail: str) -> None:
        self.faults.append((column, detail))

    def _stored(self, athlete: Athlete) -> Athlete | None:
        if athlete.name != self.row.name:
            self._fault("client_id", "It already belongs to an athlete with another name.")
        if not self._may(athlete.location_id):
            self._fault("name", "This athlete trains at a location that is not yours.")
        return athlete

    def _may(self, location_id: UUID) -> bool:
        return self.actor.role != Role.LOCATION_STAFF or location_id in self.actor.location_ids

    def _new(self) -> Athlete | None:
        location = self.known.default_location
        if self.row.location:
            location = self.known.locations.get(self.row.location.casefold())
        if location is None:
            self._fault("location", "Name one of the organisation's locations, or one for the whole file.")
            return None
        if not self._may(location.id):
            self._fault("location", "This location is not yours.")
        return Athlete(
            org_id=self.actor.org_id,
            name=self.row.name,
            location_id=location.id,
            zone=location.zone,
            client_id=self.row.client_key,
        )

    def _when(self, athlete: Athlete) -> dt.datetime:
        """Noon of the row's date in the athlete's zone, not later than now; now without a date."""
        day = self.row.date
        if day is None:
            return self.now
        if day > local_date(self.now, athlete.zone):
            self._fault("date", "This day lies in the future; check it.")
        return min(dt.datetime.combine(day, NOON, ZoneInfo(athlete.zone)), self.now)

    def _weighing(self, athlete: Athlete, when: dt.datetime) -> BodyMass | None:
        mass = self.row.body_mass_kg
        if mass is None:
            return None
        if not LIGHTEST_KG <= mass <= HEAVIEST_KG:
            self._fault("body_mass", f"A body mass lies between {LIGHTEST_KG:g} and {HEAVIEST_KG:g} kg.")
            return None
        key = weighing_key(self.row)
        stored = self.known.weighings.get(key)
        if stored is not None:
            if abs(stored.body_mass_kg - mass) > SAME_MASS_KG:
                self._fault("body_mass", f"{stored.body_mass_kg:g} kg is stored already; add a date column.")
            return stored
        return BodyMass(
            org_id=self.actor.org_id,
            athlete=athlete,
            body_mass_kg=mass,
            measured_at=when,
            zone=athlete.zone,
            local_date=local_date(when, athlete.zone),
            client_id=key,
            recorded_by_id=self.actor.person_id,
        )

    def _test(
        self, athlete: Athlete, test: TestCell, when: dt.datetime, weighing: BodyMass | None
    ) -> tuple[Assessment, CatalogueVersion] | None:
        version, name = self.known.versions[test.column.variation], test.column.name
        stored = self.known.assessments.get(test.client_key)
        if stored is not None:
            if (stored.repetitions, stored.load_kg) != (test.repetitions, test.load_kg):
                self._fault(name, "Another result is stored already; correct it, or add a date column.")
            return None
        settings = Settings(load_kg=test.load_kg)
        performance = Performance(test.column.kind, test.repetitions, when, settings)
        problems = count_problems(performance) + setting_problems(version.variation, settings)
        problems += unit_problems(version, performance)
        for problem in problems:
            self._fault(name, problem.detail)
        if problems:
            return None
        mass = self._mass(athlete, when, weighing)
        if mass is None and fraction_of(version.variation, None) > 0.0:
            self._fault(name, "Body weight is part of the load; give a body mass as well.")
        elif effective_kg(version.variation, settings, mass) is None:
            self._fault(name, "Nothing is left to move with these settings.")
        else:
            self._doubt(athlete, version, performance, mass, name)
        row = assessment_row(
            actor=self.actor, athlete=athlete, version=version, tested=performance, client_id=test.client_key
        )
        return row, version

    def _doubt(
        self,
        athlete: Athlete,
        version: CatalogueVersion,
        performance: Performance,
        mass: float | None,
        name: str,
    ) -> None:
        """Nobody confirms a cell of a table: what is beyond belief is recorded as a test by itself."""
        day = local_date(performance.performed_at, athlete.zone)
        doubt = self.known.doubter.doubt(athlete.id, version, performance, mass, day)
        if doubt is not None:
            self._fault(
                name, f"{doubt.detail} Check load, unit and count; if it is true, record it by itself."
            )

    def _mass(self, athlete: Athlete, when: dt.datetime, weighing: BodyMass | None) -> float | None:
        if weighing is not None:
            return weighing.body_mass_kg
        history = self.known.masses.get(athlete.id)
        return None if history is None else history.on(local_date(when, athlete.zone))
