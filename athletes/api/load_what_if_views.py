"""What a plan of loads would do by a published model."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.api.athlete_views import READ, AthleteScopedView
from athletes.api.load_examples import WHAT_IF
from athletes.calc.impulse import CONVENTIONS
from athletes.load_what_if import what_if
from services.api import fields
from services.api.operation import Idempotency, Operation
from services.api.serializers import InputSerializer, OutputSerializer

LONGEST_PLAN = 180
MOST_AU = 14_400.0


class LoadWhatIfInput(InputSerializer):
    """planned_au: the load of each day from tomorrow on. convention: whether a day's own load counts on that day."""

    planned_au = fields.ListField(
        child=fields.FloatField(min_value=0.0, max_value=MOST_AU), min_length=1, max_length=LONGEST_PLAN
    )
    convention = fields.ChoiceField(choices=CONVENTIONS, required=False)


class CourseDayOutput(OutputSerializer):
    """Of one day. difference_au: fitness less fatigue, each times its constant; no forecast of a performance."""

    local_date = serializers.DateField()
    is_planned = serializers.BooleanField()
    load_au = serializers.FloatField()
    fitness_au = serializers.FloatField()
    fatigue_au = serializers.FloatField()
    difference_au = serializers.FloatField()


class TurningOutput(OutputSerializer):
    """Days before an event: later loads than neutral_days lower it, loads at greatest_days raise it most."""

    neutral_days = serializers.FloatField()
    greatest_days = serializers.FloatField()


class ConstantsOutput(OutputSerializer):
    """Time constants in days, weights, and where the difference begins."""

    tau_fitness = serializers.FloatField()
    tau_fatigue = serializers.FloatField()
    k_fitness = serializers.FloatField()
    k_fatigue = serializers.FloatField()
    start = serializers.FloatField()


class LoadWhatIfOutput(OutputSerializer):
    """Illustrative: constants from the literature, the same for everybody. days_not_known count as no load."""

    athlete = serializers.UUIDField()
    days = CourseDayOutput(many=True)
    days_not_known = serializers.IntegerField()
    turning = TurningOutput(allow_null=True)
    constants = ConstantsOutput()
    convention = serializers.ChoiceField(choices=CONVENTIONS)
    meaning = serializers.CharField()
    published_in = serializers.CharField()
    method = serializers.CharField()
    method_version = serializers.IntegerField()


class LoadWhatIfView(AthleteScopedView):
    operation = {
        "POST": Operation(
            id="load_what_if",
            input=LoadWhatIfInput,
            output=LoadWhatIfOutput,
            idempotency=Idempotency.EXEMPT,  # nothing is stored, not even that it was asked
            request_example={"planned_au": [300.0, 0.0, 420.0], "convention": "inclusive"},
            response_example=WHAT_IF,
        )
    }
    access = {"POST": READ}

    def post(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What the recorded load and a plan come to by a published model; nothing is stored, nobody is advised."""
        told, today = self.read_input(), local_date(timezone.now(), self.athlete.zone)
        convention = told.get("convention", "inclusive")
        return self.reply(what_if(self.athlete.id, today, told["planned_au"], convention))
