"""One row of a table on its way in, by the same doors as a request: its body is read by the same serializers, and
stored by the same actions. So nothing can come in by a file that could not be sent.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from rest_framework.serializers import BaseSerializer

from athletes.actions.assessments import record_assessment
from athletes.actions.athletes import create_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.actions.tested import Performance
from athletes.actions.training_logs import Trained, log_training
from athletes.api.assessment_serializers import AssessmentInput
from athletes.api.load_serializers import TrainingLogInput
from athletes.api.serializers import AthleteInput, BodyMassInput
from athletes.models import Assessment, Athlete, BodyMass, TrainingLog
from athletes.performed import Settings
from programming.models import Variation
from scoring.actions.attempts import submit_attempt
from scoring.api.report_inputs import AttemptInput
from scoring.api.result_views import report_of
from scoring.models import Attempt
from scoring.sent import SETTINGS
from services.changes.actions import LOW_PRIORITY
from services.exchange.actions.named import Named
from services.exchange.kinds import ATHLETES, RESULTS, TESTS, TRAINING, WEIGHINGS, Written
from services.exchange.known import OTHER, key_of_content, refuse_other, refuse_other_result, stored
from services.exchange.table import Row
from services.exchange.told import Cells, RowFaultError, report_told
from services.tenancy.actor import Actor

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
INSTANTS: Final = frozenset({"measured_at", "performed_at", "started_at"})
LONGEST_KEY: Final = 80
"""Of a client_id, as over HTTP: it is handed past the serializers, and a longer one no column holds."""


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

    def __post_init__(self) -> None:
        self.named = Named(self.actor, self.now)

    def take(self, row: Row) -> Taken:
        """Store the row, or find what it made before. Raises RowFaultError, and what the actions raise."""
        if row.fault:
            raise RowFaultError(("", row.fault))
        if len(row.cells.get("client_id", "")) > LONGEST_KEY:
            raise RowFaultError(("client_id", f"A client_id has at most {LONGEST_KEY} characters."))
        takers: Mapping[str, Callable[[Cells], Taken]] = {
            ATHLETES: self._athlete,
            WEIGHINGS: self._weighing,
            TESTS: self._test,
            RESULTS: self._result,
            TRAINING: self._training,
        }
        return takers[self.kind](Cells(row, self.written))

    def _athlete(self, told: Cells) -> Taken:
        location = told.text("location")
        found = self.named.location(location)
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
        athlete = self.named.athlete(told)
        body = {
            "body_mass_kg": told.scaled("body_mass"),
            "measured_at": self.named.when(told, "measured_at", athlete),
        }
        key = told.text("client_id") or key_of_content(
            "weighing", athlete.id, body["body_mass_kg"], _said_when(told, "measured_at")
        )
        data = _read(BodyMassInput, body)
        known = stored(BodyMass, key)
        if known is not None:
            return _again(known, athlete, _without_guess(data, told, "measured_at"))
        row, is_new = record_body_mass(
            actor=self.actor, athlete=athlete, now=self.now, client_id=key, priority=LOW_PRIORITY, **data
        )
        return Taken(row.id, athlete.id, is_new)

    def _test(self, told: Cells) -> Taken:
        athlete = self.named.athlete(told)
        variation = Variation.objects.filter(key=told.text("variation")).values_list("id", flat=True).first()
        if variation is None:
            raise RowFaultError(("variation", "There is no variation with this key in the organisation."))
        body = {
            "variation": str(variation),
            "kind": told.text("kind"),
            "performed_at": self.named.when(told, "performed_at", athlete),
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
            return _again(known, athlete, _without_guess(content, told, "performed_at"))
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
        athlete = self.named.athlete(told)
        session = self.named.session(told)
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

    def _training(self, told: Cells) -> Taken:
        athlete = self.named.athlete(told)
        body = {
            "modality": told.text("modality").lower() or None,
            "effort": told.number("effort"),
            "minutes": told.minutes("minutes"),
            "started_at": self.named.when(told, "started_at", athlete),
            "distance_m": told.scaled("distance"),
            "mean_heart_rate": told.number("mean_heart_rate"),
            "highest_heart_rate": told.number("highest_heart_rate"),
            "note": told.text("note") or None,
        }
        key = told.text("client_id") or key_of_content(
            "training", athlete.id, *{**body, "started_at": _said_when(told, "started_at")}.values()
        )
        data = _read(TrainingLogInput, body)
        known = stored(TrainingLog, key)
        if known is not None:
            return _again(known, athlete, _without_guess(data, told, "started_at"))
        row, is_new = log_training(
            actor=self.actor,
            athlete=athlete,
            trained=Trained(**data),
            now=self.now,
            client_id=key,
            priority=LOW_PRIORITY,
        )
        return Taken(row.id, athlete.id, is_new)


def _again(known: Any, athlete: Athlete, content: Mapping[str, Any]) -> Taken:
    """What a row made before. Raises RowFaultError where the row says something else now."""
    refuse_other(known, {"athlete_id": athlete.id, **content})
    return Taken(known.id, athlete.id, False)


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
