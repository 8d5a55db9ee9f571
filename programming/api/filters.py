"""Query parameters of the lists."""

from __future__ import annotations

import datetime as dt
from typing import Any

import django_filters
from django.db.models import F, QuerySet

from programming.models import Group, LocalVersion, Movement, ScheduledSession, Template, Variation
from services.api.filters import CALENDAR, BooleanFilter

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


class GroupFilter(django_filters.FilterSet):
    active = BooleanFilter(field_name="is_active", help_text="Only, or none, that are active.")

    class Meta:
        model = Group
        fields: tuple[str, ...] = ()


class TemplateFilter(django_filters.FilterSet):
    archived = BooleanFilter(method="whether_archived", help_text="true: those that were put aside, instead.")

    class Meta:
        model = Template
        fields: tuple[str, ...] = ()

    def whether_archived(self, rows: QuerySet[Any], name: str, archived: bool) -> QuerySet[Any]:
        return rows.filter(archived_at__isnull=not archived)

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        """Without a word about it, archived ones are left out."""
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        asked = self.form.cleaned_data.get("archived")
        return rows.filter(archived_at=None) if asked is None else rows


class LocalVersionFilter(django_filters.FilterSet):
    location = django_filters.UUIDFilter(field_name="location_id", help_text="Of this location.")
    template = django_filters.UUIDFilter(field_name="template_id", help_text="Of this session.")
    in_use = BooleanFilter(method="whether_in_use", help_text="Only the latest of each location and session.")

    class Meta:
        model = LocalVersion
        fields = ("location", "template")

    def whether_in_use(self, rows: QuerySet[Any], name: str, in_use: bool) -> QuerySet[Any]:
        latest = {"number": F("number_in_use")}
        return rows.filter(**latest) if in_use else rows.exclude(**latest)


class SessionFilter(django_filters.FilterSet):
    location = django_filters.UUIDFilter(field_name="location_id", help_text="Sessions at this location.")
    group = django_filters.UUIDFilter(field_name="group_id", help_text="Sessions for this group.")
    from_date = django_filters.DateFilter(
        method="starting", validators=CALENDAR, help_text="On this local date or later."
    )
    until_date = django_filters.DateFilter(
        method="ending", validators=CALENDAR, help_text="On this local date or earlier."
    )
    cancelled = BooleanFilter(method="whether_cancelled", help_text="Only, or none, cancelled.")

    class Meta:
        model = ScheduledSession
        fields = ("location", "group")

    def starting(self, rows: QuerySet[Any], name: str, day: dt.date) -> QuerySet[Any]:
        return rows.filter(local_date__gte=day, starts_at__gte=_midnight(day) - _SLACK)

    def ending(self, rows: QuerySet[Any], name: str, day: dt.date) -> QuerySet[Any]:
        return rows.filter(local_date__lte=day, starts_at__lt=_midnight(day) + 2 * _SLACK)

    def whether_cancelled(self, rows: QuerySet[Any], name: str, cancelled: bool) -> QuerySet[Any]:
        return rows.filter(cancelled_at__isnull=not cancelled)


def _midnight(day: dt.date) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(), tzinfo=dt.UTC)
