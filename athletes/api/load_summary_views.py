"""Load days and what is told of them: of one athlete, of a location, of a group."""

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
from athletes.api import load_examples as examples
from athletes.api import load_serializers as s
from athletes.api.athlete_views import READ, AthleteScopedView
from athletes.api.load_query import DDOF, ON, RATIO, asked_day, asked_ddof, asked_ratio
from athletes.heart_rates import with_heart_rate
from athletes.load_told import DAY, newest_full_day, summary_of, summary_of_many
from athletes.loads import load_days_visible_to
from athletes.models import Athlete, LoadDay
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
        """The load of every day from the first to the last that is known, latest first, unreported days too.

        Beside it, and never added to it, load from heart rate, where the athlete's rates and a set of coefficients
        are stated.
        """
        rows = load_days_visible_to(self.actor).filter(athlete=self.athlete)
        return self.page(with_heart_rate(rows), order=("-local_date", "-id"))


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


def _of_many(identifier: str) -> dict[str, Operation]:
    return {
        "GET": Operation(
            id=identifier, output=s.GroupLoadOutput, parameters=(ON, DDOF), response_example=examples.GROUP
        )
    }


class _ManyView(OrganisationView):
    """The load of several athletes up to a day."""

    access = {"GET": STAFF_READS}

    def last_day(self, zone: str) -> dt.date:
        """The day that is asked for, else yesterday by the clock of the place."""
        today = local_date(timezone.now(), zone)
        return asked_day(self.request, today) or today - DAY

    def summary(self, athletes: QuerySet[Athlete], on: dt.date) -> Response:
        """Of active athletes whom the actor may know of."""
        seen = athletes.filter(is_active=True, id__in=athletes_visible_to(self.actor).values("id"))
        rows = list(seen.order_by("name", "id").values_list("id", "name"))
        return self.reply(summary_of_many(rows, on, asked_ddof(self.request)))


class LocationLoadSummaryView(_ManyView):
    operation = _of_many("read_location_load_summary")

    def prepare(self, **kwargs: Any) -> None:
        self.location: Location = self.get_object_or_404(locations_visible_to(self.actor), kwargs["location"])

    def get(self, request: Request, organisation: UUID, location: UUID) -> Response:
        """The athletes who train at a location, by name; up to yesterday unless another day is asked for."""
        on = self.last_day(self.location.zone)
        return self.summary(Athlete.objects.filter(location=self.location), on)


class GroupLoadSummaryView(_ManyView):
    operation = _of_many("read_group_load_summary")

    def prepare(self, **kwargs: Any) -> None:
        self.group: Group = self.get_object_or_404(
            groups_visible_to(self.actor).select_related("location"), kwargs["group"]
        )

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Who is in a group on the day, as far as the caller may know of them; up to yesterday unless asked."""
        place = self.group.location
        on = self.last_day("UTC" if place is None else place.zone)
        members = members_on(self.group.id, on).values("athlete_id")
        return self.summary(Athlete.objects.filter(id__in=members), on)
