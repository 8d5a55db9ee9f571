"""Small views over locations, with a urlconf of their own, that exercise the HTTP layer."""

from __future__ import annotations

import time
from functools import cache
from typing import Any
from uuid import UUID

import django_filters
from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from drf_spectacular.generators import SchemaGenerator
from rest_framework import serializers
from rest_framework.request import Request

from services.api import fields
from services.api.conditional import delete_versioned, update_versioned
from services.api.handler import (  # noqa: F401
    handler400,
    handler403,
    handler404,
    handler500,
    problem_response,
)
from services.api.operation import Access, Idempotency, Operation
from services.api.serializers import InputSerializer, OutputSerializer
from services.api.urls import urlpatterns as problem_patterns
from services.api.urls import v1_patterns
from services.api.views import OrganisationView, PersonView, PublicView
from services.problems import Conflict, Unprocessable
from services.tenancy.actor import COACHES, EVERYONE, STAFF
from services.tenancy.models import Location
from tests.support.api import Document

calls: list[str] = []


class PlaceInput(InputSerializer):
    name = fields.CharField(max_length=120)
    zone = fields.CharField(max_length=64)
    freeze_minutes = fields.IntegerField(min_value=0, required=False)


class PlaceOutput(OutputSerializer):
    id = serializers.UUIDField()
    name = serializers.CharField()
    zone = serializers.CharField()
    freeze_minutes = serializers.IntegerField()
    version = serializers.IntegerField()
    created_at = serializers.DateTimeField()


class PlaceFilter(django_filters.FilterSet):
    zone = django_filters.CharFilter()
    is_remote = django_filters.BooleanFilter()

    class Meta:
        model = Location
        fields = ("zone", "is_remote")


class Places(OrganisationView):
    """Locations of the organisation."""

    operation = {
        "GET": Operation("list_places", output=PlaceOutput, paged=True, filters=PlaceFilter),
        "POST": Operation(
            "create_place",
            input=PlaceInput,
            output=PlaceOutput,
            status=201,
            etag=True,
            idempotency=Idempotency.REQUIRED,
            errors=(Conflict,),
            request_example={"name": "Harbour", "zone": "Europe/Lisbon"},
        ),
    }
    access = {"GET": Access(STAFF, "programme:read"), "POST": Access(COACHES, "programme:write")}

    def get(self, request: Request, organisation: UUID) -> Any:
        return self.page(Location.objects.all(), order=("name", "id"))

    def post(self, request: Request, organisation: UUID) -> Any:
        data = self.read_input()
        calls.append(data["name"])
        if data["name"].startswith("slow"):
            time.sleep(float(data["name"].split()[1]))
        if data["name"] == "refused":
            raise Unprocessable("No place may be called so.")
        place = Location.objects.create(org_id=organisation, **data)
        if data["name"] == "returned":  # a refusal that is answered instead of raised, after a write
            return problem_response(Unprocessable("No place may be called so."), request)
        return self.reply(place, location=f"{request.path}/{place.id}")


class NewestPlaces(OrganisationView):
    """The newest first."""

    operation = {"GET": Operation("list_newest_places", output=PlaceOutput, paged=True)}
    access = {"GET": Access(EVERYONE, "programme:read")}

    def get(self, request: Request, organisation: UUID) -> Any:
        return self.page(Location.objects.all(), order=("-created_at", "-id"))


class PlaceDetail(OrganisationView):
    """One location."""

    operation = {
        "GET": Operation("read_place", output=PlaceOutput, etag=True),
        "PATCH": Operation("change_place", input=PlaceInput, output=PlaceOutput, etag=True, if_match=True),
        "DELETE": Operation("delete_place", status=204, if_match=True),
    }
    access = {
        "GET": Access(EVERYONE, "programme:read"),
        "PATCH": Access(COACHES, "programme:write"),
        "DELETE": Access(COACHES, "programme:write"),
    }

    def prepare(self, **kwargs: Any) -> None:
        self.place = self.get_object_or_404(Location.objects.all(), kwargs["place"])

    def get(self, request: Request, **kwargs: Any) -> Any:
        return self.reply(self.place)

    def patch(self, request: Request, **kwargs: Any) -> Any:
        data = self.read_input()
        return self.reply(update_versioned(self.place, self.expected_version(self.place), **data))

    def delete(self, request: Request, **kwargs: Any) -> Any:
        delete_versioned(self.place, self.expected_version(self.place))
        return self.no_content()


class PersonOutput(OutputSerializer):
    email = serializers.CharField()


class Me(PersonView):
    """The caller."""

    operation = {"GET": Operation("read_me", output=PersonOutput)}
    scope = {"GET": ""}

    def get(self, request: Request) -> Any:
        return self.reply(request.user)


class StatusOutput(OutputSerializer):
    up = serializers.BooleanField()


class Status(PublicView):
    """Whether somebody is there."""

    operation = {"GET": Operation("read_status", output=StatusOutput)}

    def get(self, request: Request) -> Any:
        return self.reply({"up": True})


class Broken(PublicView):
    """Fails in the way that the path names."""

    operation = {"GET": Operation("break_down", output=StatusOutput)}

    def get(self, request: Request, how: str) -> Any:
        if how == "nan":
            return self.reply({"up": float("nan")}, _Number)
        if how == "integrity":
            raise IntegrityError("somebody else's secret value")
        raise RuntimeError("a secret of the inside")


class _Number(OutputSerializer):
    up = serializers.FloatField()


def plain(request: HttpRequest, status: int) -> HttpResponse:
    """Not a view of ours: what a middleware or a library might answer."""
    return HttpResponse("<h1>No</h1>", status=status, headers={"Retry-After": "7"})


organisation_patterns = [
    path("places", Places.as_view()),
    path("places/newest", NewestPlaces.as_view()),
    path("places/<uuid:place>", PlaceDetail.as_view()),
]
urlpatterns = [
    *problem_patterns,
    path("api/v1/", include(v1_patterns)),
    path("api/v1/me", Me.as_view()),
    path("api/v1/status", Status.as_view()),
    path("api/v1/broken/<str:how>", Broken.as_view()),
    path("api/v1/plain/<int:status>", transaction.non_atomic_requests(plain)),
    path("api/v1/organisations/<uuid:organisation>/", include(organisation_patterns)),
]


@cache
def document() -> Document:
    """The OpenAPI document of these views alone."""
    generator = SchemaGenerator(urlconf="tests.services.api.sample")
    return Document(generator.get_schema(request=None, public=True))
