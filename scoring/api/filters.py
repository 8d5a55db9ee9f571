from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet, UUIDFilter

from athletes.models import DayChange
from scoring.calc.finding import CODES
from scoring.models import Attempt, Prescription, Review
from scoring.queries import corrected, holds_now
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
        return rows.filter(~corrected() if value else corrected())


class PrescriptionFilter(FilterSet):
    session = UUIDFilter(field_name="session_id")
    athlete = UUIDFilter(field_name="athlete_id")
    current = BooleanFilter(
        method="only_current",
        help_text="true: only those that hold now: not superseded, session not cancelled, athlete taking part",
    )

    class Meta:
        model = Prescription
        fields: list[str] = []

    def only_current(self, rows: QuerySet, name: str, value: bool) -> QuerySet:
        return rows.filter(holds_now() if value else ~holds_now())


class ReviewFilter(FilterSet):
    open = BooleanFilter(field_name="resolved_at", lookup_expr="isnull")
    session = UUIDFilter(field_name="attempt__session_id")
    athlete = UUIDFilter(field_name="attempt__athlete_id")
    code = ChoiceFilter(
        method="with_code",
        choices=[(code, code) for code in sorted(CODES)],
        help_text="the code of one of its findings",
    )

    class Meta:
        model = Review
        fields: list[str] = []

    def with_code(self, rows: QuerySet, name: str, value: str) -> QuerySet:
        return rows.filter(findings__contains=[{"code": value}])


class DayChangeFilter(FilterSet):
    athlete = UUIDFilter(field_name="athlete_id")
    ended = BooleanFilter(field_name="ended", help_text="false: only what holds now")

    class Meta:
        model = DayChange
        fields: list[str] = []
