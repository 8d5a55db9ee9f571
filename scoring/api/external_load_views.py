"""External load of an athlete."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.models import Athlete
from athletes.queries import athletes_visible_to
from scoring.api.balance_views import DAYS, days_asked
from scoring.api.external_load_serializers import EXAMPLE, ExternalLoadOutput
from scoring.external import external_load
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, Scope


class ExternalLoadView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_external_load", output=ExternalLoadOutput, parameters=DAYS, response_example=EXAMPLE
        )
    }
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, athlete: UUID) -> None:
        self.athlete: Athlete = self.get_object_or_404(athletes_visible_to(self.actor), athlete)

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """Kilograms by pattern, hard sets by muscle group, metres and minutes by movement and by kind of training, as
        the sets of results and the training logs of these days tell them. Check sets are not in it.
        """
        first, last = days_asked(request.query_params, local_date(timezone.now(), self.athlete.zone))
        told = external_load(self.athlete.id, first, last)
        return self.reply({"from_date": first, "until_date": last, "told": told})
