"""Groups of athletes that train to one plan; their members are among the athletes' routes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions import groups as actions
from programming.api import calendar_serializers as s
from programming.api import examples
from programming.api.filters import GroupFilter
from programming.errors import GroupNameTaken
from programming.models import Group
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import COACHES, EVERYONE, Scope

READ = Access(EVERYONE, Scope.PROGRAMME_READ)
WRITE = Access(COACHES, Scope.PROGRAMME_WRITE)


class GroupsView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_groups",
            output=s.GroupOutput,
            paged=True,
            filters=GroupFilter,
            response_example=examples.GROUP,
        ),
        "POST": Operation(
            id="create_group",
            input=s.GroupInput,
            output=s.GroupOutput,
            status=201,
            etag=True,
            errors=(GroupNameTaken,),
            request_example=examples.NEW_GROUP,
            response_example=examples.GROUP,
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Groups by name."""
        return self.page(queries.groups_visible_to(self.actor), order=("name", "id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Make a group; athletes are put into it afterwards."""
        row = actions.create_group(actor=self.actor, **self.read_input())
        return self.reply(row, location=reverse("group", args=[organisation, row.id]))


class GroupView(OrganisationView):
    operation = {
        "GET": Operation(id="read_group", output=s.GroupOutput, etag=True, response_example=examples.GROUP),
        "PATCH": Operation(
            id="update_group",
            input=s.GroupChange,
            output=s.GroupOutput,
            etag=True,
            if_match=True,
            errors=(GroupNameTaken,),
            request_example={"is_active": False},
            response_example={**examples.GROUP, "version": 2, "is_active": False},
        ),
    }
    access = {"GET": READ, "PATCH": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        self.group: Group = self.get_object_or_404(queries.groups_visible_to(self.actor), kwargs["group"])

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """One group."""
        return self.reply(self.group)

    def patch(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Change a group; sessions that are placed stay where they are."""
        version = self.expected_version(self.group)
        return self.reply(
            actions.update_group(actor=self.actor, group=self.group, version=version, **self.read_input())
        )
