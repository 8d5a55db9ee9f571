"""Training beside the programme, and days of rest."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.training_logs import (
    Trained,
    change_training_log,
    confirm_rest,
    log_training,
    remove_training_log,
    take_rest_back,
)
from athletes.api import load_examples as examples
from athletes.api import load_serializers as s
from athletes.api.athlete_views import READ, WRITE, AthleteScopedView
from athletes.api.health_views import HealthView
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.health_reads import HEART_RATE
from athletes.loads import rest_days_visible_to, training_logs_visible_to
from athletes.models import RestDay, TrainingLog
from services.api.operation import Operation


class TrainingLogsView(HealthView, AthleteScopedView):
    health = HEART_RATE
    operation = {
        "GET": Operation(
            id="list_training_logs",
            output=s.TrainingLogOutput,
            paged=True,
            response_example=examples.TRAINING_LOG,
        ),
        "POST": Operation(
            id="log_training",
            input=s.TrainingLogInput,
            output=s.TrainingLogOutput,
            status=201,
            stored_before=True,
            etag=True,
            errors=(ClientIdReused, NotYourLocation),
            request_example=examples.TRAINING_LOG_INPUT,
            response_example=examples.TRAINING_LOG,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Training that was no scheduled session, latest first."""
        rows = training_logs_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-started_at", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Log a run, a class, a sport: its effort times its minutes counts for the day on which it began.

        Results of scheduled sessions have their own effort and minutes; what is sent as a result is not logged here.
        """
        told = self.read_input()
        client_id = told.pop("client_id", None)
        log, created = log_training(
            actor=self.actor,
            athlete=self.athlete,
            trained=Trained(**told),
            now=timezone.now(),
            client_id=client_id,
        )
        return self.reply(log, location=f"{request.path}/{log.id}", created=created)

    def read_of(self, response: Response) -> Collection[UUID]:
        """Health is what a heart rate says; a log without one is none."""
        rates = [one["mean_heart_rate"] or one["highest_heart_rate"] for one in response.data["items"]]
        return [self.athlete.id] if any(rates) else []


class TrainingLogView(HealthView, AthleteScopedView):
    health = HEART_RATE
    operation = {
        "GET": Operation(
            id="read_training_log",
            output=s.TrainingLogOutput,
            etag=True,
            response_example=examples.TRAINING_LOG,
        ),
        "PATCH": Operation(
            id="change_training_log",
            input=s.TrainingLogChange,
            output=s.TrainingLogOutput,
            if_match=True,
            etag=True,
            errors=(NotYourLocation,),
            request_example={"minutes": 50},
            response_example=examples.TRAINING_LOG,
        ),
        "DELETE": Operation(id="remove_training_log", status=204, if_match=True, errors=(NotYourLocation,)),
    }
    access = {"GET": READ, "PATCH": WRITE, "DELETE": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = training_logs_visible_to(self.actor).filter(athlete=self.athlete).select_related("athlete")
        self.log: TrainingLog = self.get_object_or_404(rows, kwargs["training_log"])

    def get(self, request: Request, organisation: UUID, athlete: UUID, training_log: UUID) -> Response:
        """One of them."""
        return self.reply(self.log)

    def patch(self, request: Request, organisation: UUID, athlete: UUID, training_log: UUID) -> Response:
        """Correct what was logged; the load of its day, and of the days since, follows."""
        expected = self.expected_version(self.log)
        changed = change_training_log(
            actor=self.actor, log=self.log, expected=expected, now=timezone.now(), **self.read_input()
        )
        return self.reply(changed)

    def delete(self, request: Request, organisation: UUID, athlete: UUID, training_log: UUID) -> Response:
        """Remove what was logged by mistake."""
        remove_training_log(actor=self.actor, log=self.log, expected=self.expected_version(self.log))
        return self.no_content()

    def read_of(self, response: Response) -> Collection[UUID]:
        return [self.athlete.id] if self.log.mean_heart_rate or self.log.highest_heart_rate else []


class RestDaysView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_rest_days", output=s.RestDayOutput, paged=True, response_example=examples.REST_DAY
        ),
        "POST": Operation(
            id="confirm_rest_day",
            input=s.RestDayInput,
            output=s.RestDayOutput,
            status=201,
            stored_before=True,
            errors=(NotYourLocation,),
            request_example=examples.REST_DAY_INPUT,
            response_example=examples.REST_DAY,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Days of which somebody said that there was no training, latest first."""
        rows = rest_days_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-local_date", "-id"))

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Say that there was no training on a day: its load is then 0, and not unknown. Twice is once."""
        row, created = confirm_rest(
            actor=self.actor, athlete=self.athlete, day=self.read_input()["local_date"], now=timezone.now()
        )
        return self.reply(row, location=request.path, created=created)


class RestDayView(AthleteScopedView):
    operation = {"DELETE": Operation(id="take_rest_day_back", status=204, errors=(NotYourLocation,))}
    access = {"DELETE": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        super().prepare(**kwargs)
        rows = rest_days_visible_to(self.actor).filter(athlete=self.athlete).select_related("athlete")
        self.rest_day: RestDay = self.get_object_or_404(rows, kwargs["rest_day"])

    def delete(self, request: Request, organisation: UUID, athlete: UUID, rest_day: UUID) -> Response:
        """The day was none of rest, or nobody knows: without a session it is unreported again."""
        take_rest_back(actor=self.actor, rest_day=self.rest_day)
        return self.no_content()
