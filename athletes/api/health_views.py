"""The base of views that answer with what is kept of health; and who read it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, ClassVar, Final, cast
from uuid import UUID

import django_filters
from django.http.response import HttpResponseBase
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.health_reads import note_health_read
from athletes.health_reads import KINDS, health_reads_visible_to
from athletes.models import Athlete, HealthRead
from services.api.operation import Access, Operation
from services.api.serializers import OutputSerializer
from services.api.views import OrganisationView
from services.tenancy.actor import OWNERS, Scope

EXAMPLE: Final[dict[str, Any]] = {
    "id": "0f1c2d3e-4b5a-4968-8776-655443322110",
    "read_at": "2030-01-13T17:20:00Z",
    "athlete": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
    "kind": "wellness",
    "reader": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
    "request_id": "7c0f9d8e-2b1a-4c3d-9e8f-1a2b3c4d5e6f",
}


READS: Final = ("GET", "PATCH")
"""A PATCH answers with all that is stored, also one that changes nothing."""


class HealthView(OrganisationView):
    """Of one kind of statement about health: whoever reads it, but the athlete, is written down with the request."""

    health: ClassVar[str] = ""
    athlete: Athlete

    @classmethod
    def undeclared(cls) -> list[str]:
        missing = [] if not cls.operation or cls.health in KINDS else ["health is no kind of statement"]
        return super().undeclared() + missing

    def run(self, *args: Any, **kwargs: Any) -> HttpResponseBase:
        response = super().run(*args, **kwargs)
        if self.method in READS:
            note_health_read(
                actor=self.actor,
                kind=self.health,
                athlete_ids=self.read_of(cast(Response, response)),
                request_id=self.request._request.request_id,  # type: ignore[attr-defined]
            )
        return response

    def read_of(self, response: Response) -> Collection[UUID]:
        """Whom the answer is about."""
        return [self.athlete.id]


class HealthReadFilter(django_filters.FilterSet):
    athlete = django_filters.UUIDFilter(field_name="athlete_id", help_text="Of this athlete.")
    reader = django_filters.UUIDFilter(field_name="reader_id", help_text="By this person.")
    kind = django_filters.ChoiceFilter(choices=[(one, one) for one in KINDS])

    class Meta:
        model = HealthRead
        fields: list[str] = []


class HealthReadOutput(OutputSerializer):
    """That something was read, never what."""

    id = serializers.UUIDField()
    read_at = serializers.DateTimeField(source="created_at")
    athlete = serializers.UUIDField(source="athlete_id")
    kind = serializers.ChoiceField(choices=KINDS)
    reader = serializers.UUIDField(source="reader_id")
    request_id = serializers.UUIDField(help_text="As in the header Request-Id of that answer.")


class HealthReadsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_health_reads",
            output=HealthReadOutput,
            paged=True,
            filters=HealthReadFilter,
            response_example=EXAMPLE,
        )
    }
    access = {"GET": Access(OWNERS, Scope.ADMIN)}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Who read what is kept of whose health, newest first: answers about wellness, reports of pain and warning
        signs, limitations, screenings, heart rates. What athletes read of themselves is not in it.
        """
        return self.page(health_reads_visible_to(self.actor), order=("-created_at", "-id"))
