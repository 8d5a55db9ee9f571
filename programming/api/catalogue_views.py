"""Movements and their variations."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions import catalogue as actions
from programming.api import catalogue_serializers as s
from programming.api import examples
from programming.api.filters import MovementFilter, VariationFilter
from programming.errors import KeyTaken, unknown_reference
from programming.models import Movement, Variation
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import COACHES, EVERYONE, Scope

READ = Access(EVERYONE, Scope.PROGRAMME_READ)
WRITE = Access(COACHES, Scope.PROGRAMME_WRITE)


class MovementsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_movements",
            output=s.MovementOutput,
            paged=True,
            filters=MovementFilter,
            response_example=examples.MOVEMENT,
        ),
        "POST": Operation(
            id="create_movement",
            input=s.MovementInput,
            output=s.MovementOutput,
            status=201,
            etag=True,
            errors=(KeyTaken,),
            request_example=examples.NEW_MOVEMENT,
            response_example=examples.MOVEMENT,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """The organisation's movements by key."""
        return self.page(queries.movements_visible_to(self.actor), order=("key", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Add a movement of the organisation's own."""
        data = self.read_input()
        row = actions.create_movement(actor=self.actor, new=actions.NewMovement(**{"prior": None, **data}))
        return self.reply(row, location=reverse("movement", args=[organisation, row.id]))


class MovementView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_movement", output=s.MovementOutput, etag=True, response_example=examples.MOVEMENT
        )
    }
    access = {"GET": READ}

    def prepare(self, **kwargs: Any) -> None:
        self.movement: Movement = self.get_object_or_404(
            queries.movements_visible_to(self.actor), kwargs["movement"]
        )

    def get(self, request: Request, organisation: UUID, movement: UUID) -> Response:
        """One movement."""
        return self.reply(self.movement)


class VariationsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_variations",
            output=s.VariationOutput,
            paged=True,
            filters=VariationFilter,
            response_example=examples.VARIATION,
        ),
        "POST": Operation(
            id="create_variation",
            input=s.VariationInput,
            output=s.VariationOutput,
            status=201,
            etag=True,
            errors=(KeyTaken,),
            request_example=examples.NEW_VARIATION,
            response_example=examples.VARIATION,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Variations with their present version, by key."""
        return self.page(queries.variations_visible_to(self.actor), order=("key", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Add a variation to a movement, with its first version."""
        data = self.read_input()
        movement = queries.movements_visible_to(self.actor).filter(id=data["movement"]).first()
        if movement is None:
            raise unknown_reference("movement", "movement")
        row = actions.create_variation(
            actor=self.actor,
            movement=movement,
            key=data["key"],
            name=data["name"],
            document=data["document"],
        )
        stored = queries.variations_visible_to(self.actor).get(id=row.id)
        return self.reply(stored, location=reverse("variation", args=[organisation, row.id]))


class _OneVariation(OrganisationView):
    """A route below a variation."""

    def prepare(self, **kwargs: Any) -> None:
        rows = queries.variations_visible_to(self.actor).select_related("movement")
        self.variation: Variation = self.get_object_or_404(rows, kwargs["variation"])


class VariationView(_OneVariation):
    operation = {
        "GET": Operation(
            id="read_variation", output=s.VariationOutput, etag=True, response_example=examples.VARIATION
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, variation: UUID) -> Response:
        """One variation with its present version."""
        return self.reply(self.variation)


class VariationVersionsView(_OneVariation):
    operation = {
        "GET": Operation(
            id="list_variation_versions",
            output=s.VariationVersionOutput,
            paged=True,
            response_example=examples.VERSION,
        ),
        "POST": Operation(
            id="create_variation_version",
            input=s.VariationVersionInput,
            output=s.VariationOutput,
            status=201,
            stored_before=True,
            etag=True,
            if_match=True,
            request_example={"document": examples.VARIATION_DOCUMENT},
            response_example=examples.VARIATION,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, variation: UUID) -> Response:
        """All versions, newest first; what was prescribed or logged names one of them."""
        rows = queries.variation_versions_visible_to(self.actor).filter(variation=self.variation)
        return self.page(rows, order=("-number", "-id"))

    def post(self, request: Request, organisation: UUID, variation: UUID) -> Response:
        """Give the variation a new version; `If-Match` is the variation's ETag.

        Answers 200 and changes nothing when the present version has the same document.
        """
        before = self.variation.current
        actions.add_variation_version(
            actor=self.actor,
            variation=self.variation,
            version=self.expected_version(self.variation),
            document=self.read_input()["document"],
        )
        stored = queries.variations_visible_to(self.actor).get(id=variation)
        address = reverse("variation", args=[organisation, variation])
        return self.reply(stored, created=stored.current != before, location=address)
