from django.db.models import QuerySet
from django_filters import FilterSet, UUIDFilter

from scoring.models import Override
from services.api.filters import BooleanFilter


class OverrideFilter(FilterSet):
    session = UUIDFilter(field_name="session_id")
    athlete = UUIDFilter(field_name="athlete_id")
    standing = BooleanFilter(method="only_standing", help_text="true: only what nobody and nothing has ended")

    class Meta:
        model = Override
        fields: list[str] = []

    def only_standing(self, rows: QuerySet, name: str, value: bool) -> QuerySet:
        return rows.filter(ends__isnull=value)
