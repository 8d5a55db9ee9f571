"""One row of a table on its way in, by the same doors as a request: its body is read by the same serializers, and
stored by the same actions. So nothing can come in by a file that could not be sent.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from uuid import UUID
from zoneinfo import ZoneInfo

from rest_framework.serializers import BaseSerializer

from athletes.actions.assessments import record_assessment
from athletes.actions.athletes import create_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.actions.tested import Performance
from athletes.api.assessment_serializers import AssessmentInput
from athletes.api.serializers import AthleteInput, BodyMassInput
from athletes.models import Assessment, Athlete, BodyMass
from athletes.performed import Settings
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession, Variation
from programming.queries import scheduled_sessions_visible_to
from scoring.actions.attempts import submit_attempt
from scoring.api.report_inputs import AttemptInput
from scoring.api.result_views import report_of
from scoring.models import Attempt
from scoring.sent import SETTINGS
from services.changes.actions import LOW_PRIORITY
from services.exchange.kinds import ATHLETES, RESULTS, TESTS, WEIGHINGS, Written
from services.exchange.known import OTHER, key_of_content, refuse_other, refuse_other_result, stored
from services.exchange.table import Row
from services.exchange.told import Cells, RowFaultError, report_told
from services.tenancy.actor import Actor
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to

NOON: Final = dt.time(12)
# By the name of a field in a body, the meaning of the column that it comes from, where they differ.
FROM_COLUMN: Final[Mapping[str, str]] = {
    "body_mass_kg": "body_mass",
    "load_kg": "load",
    "assistance_kg": "assistance",
    "hold_s": "hold",
    "distance_m": "distance",
    "elapsed_s": "elapsed",
    "totals": "report",
}


@dataclass(frozen=True)
class Taken:
    """What a row became: the record, of whom, and whether it is new."""

    record: UUID
    athlete: UUID
    is_new: bool


@dataclass
class Taker:
    """Takes rows of one table for one actor; what they may refer to is read once."""

    kind: str
    written: Written
    actor: Actor
    location_id: UUID | None
    now: dt.datetime
    _athletes: dict[str, list[Athlete]] = field(default_factory=lambda: defaultdict(list))
    _locations: dict[str, Location] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for athlete in athletes_visible_to(self.actor).order_by("id"):
            for key in {athlete.client_id or "", str(athlete.id), athlete.name.casefold()} - {""}:
                self._athletes[key].append(athlete)
        for location in locations_visible_to(self.actor):
            self._locations[location.name.casefold()] = location

    def take(self, row: Row) -> Taken:
        """Store the row, or find what it made before. Raises RowFaultError, and what the actions raise."""
        if row.fault:
            raise RowFaultError(("", row.fault))
        takers: Mapping[str, Callable[[Cells], Taken]] = {
            ATHLETES: self._athlete,
            WEIGHINGS: self._weighing,
            TESTS: self._test,
            RESULTS: self._result,
        }
        return takers[self.kind](Cells(row, self.written))

    def _athlete(self, told: Cells) -> Taken:
        location = told.text("location")
        found = self._locations.get(location.casefold()) if location else None
        if location and found is None:
            raise RowFaultError(("location", "There is no location with this name in the organisation."))
        location_id = found.id if found else self.location_id
        if location_id is None:
            raise RowFaultError(("location", "Name a location, or one for the whole file."))
        body: dict[str, Any] = {
            "name": told.text("name"),
            "location": str(location_id),
            "sex": told.text("sex").lower() or None,
            "born_on": told.day("born_on"),
            "zone": told.text("zone") or None,
            "trains_alone": told.yes_no("trains_alone"),
            "kit": told.json("kit"),
        }
        key = told.text("client_id") or key_of_content("athlete", told.text("name").casefold(), location_id)
        data = _read(AthleteInput, body)
        known = stored(Athlete, key)
        if known is not None:
            # A location for the whole file is for who comes in; of who is there the row says nothing by it.
            refuse_other(
                known, {name: value for name, value in data.items() if location or name != "location_id"}
            )
            return Taken(known.id, known.id, False)
        athlete, is_new = create_athlete(actor=self.actor, client_id=key, **data)
        return Taken(athlete.id, athlete.id, is_new)

    def _weighing(self, told: Cells) -> Taken:
        athlete = self._of(told)
        body = {
            "body_mass_kg": told.scaled("body_mass"),
            "measured_at": self._when(told, "measured_at", athlete),
        }
        key = told.text("client_id") or key_of_content(
            "weighing", athlete.id, body["body_mass_kg"], _said_when(told, "measured_at")
        )
        data = _read(BodyMassInput, body)
        known = stored(BodyMass, key)
        if known is not None:
            refuse_other(known, {"athlete_id": athlete.id, **_without_guess(data, told, "measured_at")})
            return Taken(known.id, athlete.id, False)
        row, is_new = record_body_mass(
            actor=self.actor, athlete=athlete, now=self.now, client_id=key, priority=LOW_PRIORITY, **data
        )
        return Taken(row.id, athlete.id, is_new)

    def _test(self, told: Cells) -> Taken:
        athlete = self._of(told)
        variation = Variation.objects.filter(key=told.text("variation")).values_list("id", flat=True).first()
        if variation is None:
            raise RowFaultError(("variation", "There is no variation with this key in the organisation."))
        body = {
            "variation": str(variation),
            "kind": told.text("kind"),
            "performed_at": self._when(told, "performed_at", athlete),
            "repetitions": told.whole("repetitions"),
            "rir": told.whole("rir"),
            "load_kg": told.scaled("load"),
            "assistance_kg": told.scaled("assistance"),
            "height_cm": told.number("height_cm"),
            "hold_s": told.seconds("hold"),
            "distance_m": told.scaled("distance"),
            "energy_kcal": told.number("energy_kcal"),
            "elapsed_s": told.seconds("elapsed"),
            "ended_by": told.text("ended_by") or None,
        }
        key = told.text("client_id") or key_of_content(
            "test", athlete.id, *{**body, "performed_at": _said_when(told, "performed_at")}.values()
        )
        data = _read(AssessmentInput, body)
        known = stored(Assessment, key)
        if known is not None:
            if known.variation_version.variation_id != variation:
                raise RowFaultError(("client_id", OTHER))
            content = {name: value for name, value in data.items() if name != "variation_id"}
            refuse_other(known, {"athlete_id": athlete.id, **_without_guess(content, told, "performed_at")})
            return Taken(known.id, athlete.id, False)
        settings = Settings(*(data.pop(name, None) for name in SETTINGS))
        variation_id = data.pop("variation_id")
        row, is_new = record_assessment(
            actor=self.actor,
            athlete=athlete,
            variation_id=variation_id,
            tested=Performance(settings=settings, **{"repetitions": None, **data}),
            now=self.now,
            client_id=key,
            priority=LOW_PRIORITY,
        )
        return Taken(row.id, athlete.id, is_new)

    def _result(self, told: Cells) -> Taken:
        athlete = self._of(told)
        session = self._session(told)
        body = {
            **report_told(told),
            "session": str(session.id),
            "athlete": str(athlete.id),
            "performed_at": told.instant("performed_at") or session.starts_at.isoformat(),
        }
        key = told.text("client_id") or key_of_content(
            "result", athlete.id, session.id, json.dumps(body, sort_keys=True)
        )
        known = stored(Attempt, key)
        if known is not None:
            refuse_other_result(known, body)
            return Taken(known.id, athlete.id, False)
        body["client_id"] = key
        data = _read(AttemptInput, body)
        attempt, is_new = submit_attempt(
            actor=self.actor,
            session_id=session.id,
            athlete_id=athlete.id,
            report=report_of(data, body),
            priority=LOW_PRIORITY,
        )
        return Taken(attempt.id, athlete.id, is_new)

    def _of(self, told: Cells) -> Athlete:
        """By client_id, id, or a name that only one has."""
        text = told.text("athlete")
        found = self._athletes.get(text) or self._athletes.get(text.casefold()) or []
        if len(found) == 1:
            return found[0]
        detail = (
            "Several athletes have this name; write a client_id or an id."
            if found
            else ("You see no athlete with this name, client_id or id.")
        )
        raise RowFaultError(("athlete", detail))

    def _when(self, told: Cells, meaning: str, athlete: Athlete) -> str:
        """The instant, else noon of the date in the athlete's zone, not later than now."""
        instant = told.instant(meaning)
        if instant is not None:
            return instant
        day = told.day("date")
        if day is None:
            raise RowFaultError((meaning, f"Say when: in a column that means {meaning}, or date."))
        noon = dt.datetime.combine(dt.date.fromisoformat(day), NOON, ZoneInfo(athlete.zone))
        today = self.now.astimezone(ZoneInfo(athlete.zone)).date()
        return (min(noon, self.now) if noon.date() == today else noon).astimezone(dt.UTC).isoformat()

    def _session(self, told: Cells) -> ScheduledSession:
        """By its id here, else by when it was, and where and what where that is said."""
        rows = scheduled_sessions_visible_to(self.actor)
        named, starts_at, day = (
            told.text("session"),
            told.instant("session_starts_at"),
            told.day("session_date"),
        )
        if named:
            rows = rows.filter(id=told.uuid("session"))
        elif starts_at:
            rows = rows.filter(starts_at=starts_at)
        elif day:
            rows = rows.filter(local_date=day)
        else:
            raise RowFaultError(
                ("session", "Name the session: its id, or when it was (and where, and its title).")
            )
        if told.text("location"):
            rows = rows.filter(location__name__iexact=told.text("location"))
        if told.text("title"):
            rows = rows.filter(revision__document__title=told.text("title"))
        found = list(rows.order_by("id")[:2])
        if len(found) == 1:
            return found[0]
        detail = (
            "Several sessions fit; say more of it."
            if found
            else ("There is no such session on the calendar; place it first, in the past too.")
        )
        raise RowFaultError(
            ("session" if named else "session_starts_at" if starts_at else "session_date", detail)
        )


def _read(serializer: type[BaseSerializer], body: Mapping[str, Any]) -> dict[str, Any]:
    reader = serializer(data={name: value for name, value in body.items() if value is not None})
    reader.is_valid(raise_exception=True)
    return dict(reader.validated_data)


def _said_when(told: Cells, meaning: str) -> str | None:
    """As the row says it: the instant that is made of a date of today is another one each time."""
    return told.instant(meaning) or told.day("date")


def _without_guess(data: Mapping[str, Any], told: Cells, meaning: str) -> dict[str, Any]:
    """The content without an instant that was made of a date."""
    return {name: value for name, value in data.items() if name != meaning or told.text(meaning)}
