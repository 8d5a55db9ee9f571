from django.db.models import F, Q, QuerySet
from django_filters import FilterSet, UUIDFilter

from scoring.models import Attempt, Prescription, Review
from services.api.filters import BooleanFilter


class AttemptFilter(FilterSet):
    session = UUIDFilter(field_name="session_id")
    athlete = UUIDFilter(field_name="athlete_id")
    current = BooleanFilter(
        method="only_current", help_text="true: only the version of each result that counts"
    )

    class Meta:
        model = Attempt
        fields: list[str] = []

    def only_current(self, rows: QuerySet, name: str, value: bool) -> QuerySet:
        return rows.filter(replaced_by__isnull=value)


class PrescriptionFilter(FilterSet):
    session = UUIDFilter(field_name="session_id")
    athlete = UUIDFilter(field_name="athlete_id")
    current = BooleanFilter(
        method="only_current",
        help_text="true: only those that hold now: not superseded, the session not cancelled, the athlete there",
    )

    class Meta:
        model = Prescription
        fields: list[str] = []

    def only_current(self, rows: QuerySet, name: str, value: bool) -> QuerySet:
        holds = Q(
            superseded_by__isnull=True,
            session__cancelled_at__isnull=True,
            session__location=F("athlete__location"),
            athlete__is_active=True,
        )
        return rows.filter(holds if value else ~holds)


class ReviewFilter(FilterSet):
    open = BooleanFilter(field_name="resolved_at", lookup_expr="isnull")

    class Meta:
        model = Review
        fields: list[str] = []
