"""The shipped catalogue against the organisation's copy, and the equipment that the copy asks for."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from programming.actions import catalogue_updates as updates
from programming.api import supply_examples as examples
from programming.api import supply_serializers as s
from programming.equipment import equipment_visible_to
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import COACHES, EVERYONE, Scope


class CatalogueUpdatesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_catalogue_updates", output=s.CatalogueUpdatesOutput, response_example=examples.UPDATES
        ),
        "POST": Operation(
            id="take_up_catalogue",
            input=s.TakeUpInput,
            output=s.TakenUpOutput,
            request_example=examples.TAKE_UP,
            response_example=examples.TAKEN_UP,
        ),
    }
    access = {
        "GET": Access(COACHES, Scope.PROGRAMME_READ),
        "POST": Access(COACHES, Scope.PROGRAMME_WRITE),
    }

    def get(self, request: Request, organisation: UUID) -> Response:
        """What is shipped otherwise than the organisation has it by now, or new, by movement."""
        return self.reply({"items": updates.catalogue_updates(actor=self.actor)})

    def post(self, request: Request, organisation: UUID) -> Response:
        """Bring the chosen movements to what is shipped; old versions of variations stay.

        What was prescribed or logged does not change; the sessions of the coming week follow in their own time.
        """
        chosen = self.read_input()["movements"]
        return self.reply(updates.take_up_catalogue(actor=self.actor, movements=chosen))


class EquipmentView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_equipment", output=s.EquipmentListOutput, response_example=examples.EQUIPMENT
        )
    }
    access = {"GET": Access(EVERYONE, Scope.PROGRAMME_READ)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """The items that a kit may name, with the variations that need or can use each."""
        return self.reply({"items": equipment_visible_to(self.actor)})
