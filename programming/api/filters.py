"""Query parameters of the lists."""

from __future__ import annotations

import datetime as dt
from typing import Any

import django_filters
from django.db.models import QuerySet

from programming.models import Movement, ScheduledSession, Variation

# A local date lies within a day of the instant's date in UTC (offsets run from -12 to +14 hours); the bound
# on the instant is what the index can use.
_SLACK = dt.timedelta(days=1)


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
    from_date = django_filters.DateFilter(method="starting", help_text="On this local date or later.")
    until_date = django_filters.DateFilter(method="ending", help_text="On this local date or earlier.")
    cancelled = django_filters.BooleanFilter(
        method="whether_cancelled", help_text="Only, or none, cancelled."
    )

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
