"""Query parameters of the checks of forecasts."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.forms import Form
from django_filters import DateFilter, FilterSet

from athletes.queries import athletes_visible_to
from programming.models import Movement
from scoring.models import ForecastCheck
from services.api.filters import CALENDAR, BooleanFilter, SeenFilter
from services.tenancy.models import Location


class _Window(Form):
    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("from_date"), data.get("until_date")
        if first is not None and last is not None and last < first:
            text = "The window ends before it begins: name a day that is not before `from_date`."
            self.add_error("until_date", ValidationError(text, code="ends_before_it_begins"))
        return data


class RowFilter(FilterSet):
    movement = SeenFilter(
        name="movement",
        visible=lambda actor: Movement.objects.all(),
        field_name="movement_id",
        help_text="First sets of this movement only, no scores.",
    )
    from_date = DateFilter(
        field_name="local_date",
        lookup_expr="gte",
        validators=CALENDAR,
        help_text="Done on this local date or later.",
    )
    until_date = DateFilter(
        field_name="local_date",
        lookup_expr="lte",
        validators=CALENDAR,
        help_text="Done on this local date or earlier.",
    )

    class Meta:
        model = ForecastCheck
        form = _Window
        fields: list[str] = []


class SummaryFilter(RowFilter):
    location = SeenFilter(
        name="location",
        visible=lambda actor: Location.objects.all(),
        field_name="athlete__location_id",
        help_text="Of athletes who train at this location.",
    )
    athlete = SeenFilter(
        name="athlete", visible=athletes_visible_to, field_name="athlete_id", help_text="Of this athlete."
    )
    overridden = BooleanFilter(
        help_text="true: of what coaches prescribed instead; false, and without it: of what was worked out."
    )

    class Meta(RowFilter.Meta):
        pass

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        """Without a word about it, what was overridden is left out."""
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("overridden") is not None else rows.filter(overridden=False)
