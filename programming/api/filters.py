"""Query parameters of the lists."""

from __future__ import annotations

import datetime as dt
from typing import Any

import django_filters
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet

from programming.models import Movement, ScheduledSession, Variation
from services.api.fields import FIRST_YEAR, LAST_YEAR
from services.api.filters import BooleanFilter

# A local date lies within a day of the instant's date in UTC (offsets run from -12 to +14 hours); the bound
# on the instant is what the index can use.
_SLACK = dt.timedelta(days=1)
# The years that an input may name: no session lies outside, and the slack would leave the calendar.
_CALENDAR = (
    MinValueValidator(dt.date(FIRST_YEAR, 1, 1), message=f"The year must be {FIRST_YEAR} or later."),
    MaxValueValidator(dt.date(LAST_YEAR, 12, 31), message=f"The year must be {LAST_YEAR} or earlier."),
)


class MovementFilter(django_filters.FilterSet):
    key = django_filters.CharFilter(help_text="The movement with this key.")
    pattern = django_filters.CharFilter(help_text="Movements of this pattern.")

    class Meta:
        model = Movement
        fields = ("key", "pattern")


class VariationFilter(django_filters.FilterSet):
    movement = django_filters.UUIDFilter(field_name="movement_id", help_text="Variations of this movement.")
    key = django_filters.CharFilter(help_text="The variation with this key.")

    class Meta:
        model = Variation
        fields = ("movement", "key")


class SessionFilter(django_filters.FilterSet):
    location = django_filters.UUIDFilter(field_name="location_id", help_text="Sessions at this location.")
    from_date = django_filters.DateFilter(
        method="starting", validators=_CALENDAR, help_text="On this local date or later."
    )
    until_date = django_filters.DateFilter(
        method="ending", validators=_CALENDAR, help_text="On this local date or earlier."
    )
    cancelled = BooleanFilter(method="whether_cancelled", help_text="Only, or none, cancelled.")

    class Meta:
        model = ScheduledSession
        fields = ("location",)

    def starting(self, rows: QuerySet[Any], name: str, day: dt.date) -> QuerySet[Any]:
        return rows.filter(local_date__gte=day, starts_at__gte=_midnight(day) - _SLACK)

    def ending(self, rows: QuerySet[Any], name: str, day: dt.date) -> QuerySet[Any]:
        return rows.filter(local_date__lte=day, starts_at__lt=_midnight(day) + 2 * _SLACK)

    def whether_cancelled(self, rows: QuerySet[Any], name: str, cancelled: bool) -> QuerySet[Any]:
        return rows.filter(cancelled_at__isnull=not cancelled)


def _midnight(day: dt.date) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), tzinfo=dt.UTC)
