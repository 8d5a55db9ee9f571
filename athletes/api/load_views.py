"""Training beside the programme, days of rest, load days and summaries."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
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
from athletes.api.load_query import DDOF, ON, RATIO, asked_day, asked_ddof, asked_ratio
from athletes.errors import ClientIdReused, NotYourLocation
from athletes.load_told import DAY, newest_full_day, summary_of, summary_of_many
from athletes.loads import load_days_visible_to, rest_days_visible_to, training_logs_visible_to
from athletes.models import Athlete, LoadDay, RestDay, TrainingLog
from athletes.participation import members_on
from athletes.queries import athletes_visible_to
from programming.models import Group
from programming.queries import groups_visible_to
from services.api.filters import CALENDAR
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import STAFF, Scope
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to

STAFF_READS = Access(STAFF, Scope.ATHLETES_READ)


class LoadDayFilter(django_filters.FilterSet):
    from_date = django_filters.DateFilter(
        field_name="local_date", lookup_expr="gte", validators=CALENDAR, help_text="From this day on."
    )
    to_date = django_filters.DateFilter(
        field_name="local_date", lookup_expr="lte", validators=CALENDAR, help_text="Up to this day."
    )

    class Meta:
        model = LoadDay
        fields: list[str] = []


class TrainingLogsView(AthleteScopedView):
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


class TrainingLogView(AthleteScopedView):
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


class LoadDaysView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="list_load_days",
            output=s.LoadDayOutput,
            paged=True,
            filters=LoadDayFilter,
            response_example=examples.LOAD_DAY,
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """The load of every day from the first to the last that is known, latest first, unreported days too."""
        rows = load_days_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(rows, order=("-local_date", "-id"))


class AthleteLoadSummaryView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="read_load_summary",
            output=s.LoadSummaryOutput,
            parameters=(ON, DDOF, RATIO),
            response_example=examples.SUMMARY,
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Week, monotony, strain, change, recent and usual load up to a day; no figure is made up for days that
        nobody reported, and none estimates a risk.
        """
        today = local_date(timezone.now(), self.athlete.zone)
        ddof, ratio = asked_ddof(request), asked_ratio(request)
        on = asked_day(request, today) or newest_full_day(self.athlete.id, today)
        return self.reply(summary_of(self.athlete.id, on, ddof, ratio))


class _ManyView(OrganisationView):
    """The load of several athletes up to a day."""

    def summary(self, request: Request, athletes: QuerySet[Athlete], on: dt.date) -> Response:
        """Of active athletes whom the actor may know of."""
        seen = athletes.filter(is_active=True, id__in=athletes_visible_to(self.actor).values("id"))
        rows = list(seen.order_by("name", "id").values_list("id", "name"))
        return self.reply(summary_of_many(rows, on, asked_ddof(request)))


class LocationLoadSummaryView(_ManyView):
    operation = {
        "GET": Operation(
            id="read_location_load_summary",
            output=s.GroupLoadOutput,
            parameters=(ON, DDOF),
            response_example=examples.GROUP,
        )
    }
    access = {"GET": STAFF_READS}

    def prepare(self, **kwargs: Any) -> None:
        self.location: Location = self.get_object_or_404(locations_visible_to(self.actor), kwargs["location"])

    def get(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """The athletes who train at a location, by name; up to yesterday unless another day is asked for."""
        today = local_date(timezone.now(), self.location.zone)
        on = asked_day(request, today) or today - DAY
        return self.summary(request, Athlete.objects.filter(location=self.location), on)


class GroupLoadSummaryView(_ManyView):
    operation = {
        "GET": Operation(
            id="read_group_load_summary",
            output=s.GroupLoadOutput,
            parameters=(ON, DDOF),
            response_example=examples.GROUP,
        )
    }
    access = {"GET": STAFF_READS}

    def prepare(self, **kwargs: Any) -> None:
        self.group: Group = self.get_object_or_404(
            groups_visible_to(self.actor).select_related("location"), kwargs["group"]
        )

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Who is in a group on the day, as far as the caller may know of them; up to yesterday unless asked."""
        place = self.group.location
        today = local_date(timezone.now(), "UTC" if place is None else place.zone)
        on = asked_day(request, today) or today - DAY
        members = members_on(self.group.id, on).values("athlete_id")
        return self.summary(request, Athlete.objects.filter(id__in=members), on)
