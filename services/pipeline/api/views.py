"""What is not recomputed yet, for those who answer for the numbers; and another try for what was set aside."""

from __future__ import annotations

from uuid import UUID

from django.db.models import F, QuerySet
from django_filters import BooleanFilter, FilterSet
from rest_framework.request import Request
from rest_framework.response import Response

from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.changes.actions import retry
from services.changes.models import Change
from services.pipeline.api.serializers import ChangeOutput
from services.tenancy.actor import COACHES, OWNERS, Scope


def open_changes() -> QuerySet[Change]:
    """Whatever is not covered yet. The managers see the organisation of the request alone."""
    return Change.objects.filter(version__gt=F("done"))


class ChangeFilter(FilterSet):
    parked = BooleanFilter(
        field_name="parked_at",
        lookup_expr="isnull",
        exclude=True,
        help_text="true: only what was set aside after too many tries; nothing but a new write or a retry moves it",
    )

    class Meta:
        model = Change
        fields: list[str] = []


class ChangesView(OrganisationView):
    operation = {
        "GET": Operation(id="list_changes", output=ChangeOutput, paged=True, filters=ChangeFilter),
    }
    access = {"GET": Access(COACHES, Scope.RESULTS_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """What is still to be recomputed, the longest waiting first; usually nothing, for more than moments.

        With `parked=true` what has failed too often: its numbers are those from before the change.
        """
        return self.page(open_changes(), order=("marked_at", "id"))


class RetryView(OrganisationView):
    operation = {"POST": Operation(id="retry_change", output=ChangeOutput)}
    access = {"POST": Access(OWNERS, Scope.ADMIN)}

    def prepare(self, organisation: UUID, change: UUID) -> None:
        self.change: Change = self.get_object_or_404(open_changes(), change)

    def post(self, request: Request, organisation: UUID, change: UUID) -> Response:
        """Try again what was set aside, from the first try on; what is not set aside stays as it is."""
        retry(self.change.id)
        self.change.refresh_from_db()
        return self.reply(self.change)
