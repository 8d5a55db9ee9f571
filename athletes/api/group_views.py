"""Who is in a group: each caller sees those whom they may know of."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet
from django.urls import reverse
from django_filters import DateFilter, FilterSet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions import group_members as actions
from athletes.errors import AlreadyInGroup, NotYourLocation
from athletes.models import GroupMember
from athletes.queries import group_members_visible_to
from programming.models import Group
from programming.queries import groups_visible_to
from services.api import fields
from services.api.operation import Access, Operation
from services.api.serializers import InputSerializer, OutputSerializer
from services.api.views import OrganisationView
from services.tenancy.actor import EVERYONE, STAFF, Scope

READ = Access(EVERYONE, Scope.ATHLETES_READ)
WRITE = Access(STAFF, Scope.ATHLETES_WRITE)
MOST_AT_ONCE = 200

MEMBER: dict[str, Any] = {
    "id": "3a4f3b55-8a52-4f0f-9a3f-0d3f6c1b2a10",
    "version": 1,
    "group": "0f6f7a0c-3a60-4d1e-8f2b-2f6f0a7b9c22",
    "athlete": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
    "from_date": "2030-03-04",
    "until_date": None,
    "set_by": "f1b9b9f0-4d1f-4df0-8a58-9a4d4f2e1c33",
}
NEW_MEMBERS = {"athletes": [MEMBER["athlete"]], "from_date": "2030-03-04"}


class GroupMembersInput(InputSerializer):
    athletes = fields.ListField(child=fields.UUIDField(), min_length=1, max_length=MOST_AT_ONCE)
    from_date = fields.DateField()
    until_date = fields.DateField(required=False, allow_null=True, help_text="Null: until further notice.")


class GroupMemberChange(InputSerializer):
    from_date = fields.DateField()
    until_date = fields.DateField(allow_null=True)


class GroupMemberOutput(OutputSerializer):
    """From the first day to the last, both included."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    group = serializers.UUIDField(source="group_id")
    athlete = serializers.UUIDField(source="athlete_id")
    from_date = serializers.DateField()
    until_date = serializers.DateField(allow_null=True)
    set_by = serializers.UUIDField(source="set_by_id")


class GroupMembersOutput(OutputSerializer):
    items = GroupMemberOutput(many=True)


class GroupMemberFilter(FilterSet):
    on_date = DateFilter(method="being_in", help_text="Who is in the group on this day.")

    class Meta:
        model = GroupMember
        fields: list[str] = []

    def being_in(self, rows: QuerySet, name: str, day: dt.date) -> QuerySet:
        return rows.filter(Q(until_date=None) | Q(until_date__gte=day), from_date__lte=day)


class GroupMembersView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_group_members",
            output=GroupMemberOutput,
            paged=True,
            filters=GroupMemberFilter,
            response_example=MEMBER,
        ),
        "POST": Operation(
            id="add_group_members",
            input=GroupMembersInput,
            output=GroupMembersOutput,
            status=201,
            errors=(AlreadyInGroup, NotYourLocation),
            request_example=NEW_MEMBERS,
            response_example={"items": [MEMBER]},
        ),
    }
    access = {"GET": READ, "POST": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        self.group: Group = self.get_object_or_404(groups_visible_to(self.actor), kwargs["group"])

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Memberships by their first day, past and future ones too."""
        rows = group_members_visible_to(self.actor).filter(group=self.group)
        return self.page(rows, order=("from_date", "id"))

    def post(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Put athletes into the group, all of them or none; its coming sessions are theirs then."""
        data = self.read_input()
        rows = actions.add_group_members(
            actor=self.actor,
            group=self.group,
            athlete_ids=data["athletes"],
            from_date=data["from_date"],
            until_date=data.get("until_date"),
        )
        return self.reply({"items": rows}, location=reverse("group-members", args=[organisation, group]))


class GroupMemberView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_group_member", output=GroupMemberOutput, etag=True, response_example=MEMBER
        ),
        "PATCH": Operation(
            id="change_group_member",
            input=GroupMemberChange,
            output=GroupMemberOutput,
            if_match=True,
            etag=True,
            errors=(AlreadyInGroup, NotYourLocation),
            request_example={"until_date": "2030-04-30"},
            response_example={**MEMBER, "version": 2, "until_date": "2030-04-30"},
        ),
        "DELETE": Operation(id="remove_group_member", status=204, if_match=True, errors=(NotYourLocation,)),
    }
    access = {"GET": READ, "PATCH": WRITE, "DELETE": WRITE}

    def prepare(self, **kwargs: Any) -> None:
        rows = group_members_visible_to(self.actor).filter(group=kwargs["group"])
        self.member: GroupMember = self.get_object_or_404(rows, kwargs["group_member"])

    def get(self, request: Request, organisation: UUID, group: UUID, group_member: UUID) -> Response:
        """One membership."""
        return self.reply(self.member)

    def patch(self, request: Request, organisation: UUID, group: UUID, group_member: UUID) -> Response:
        """Change the days; who leaves a group gets a last day."""
        changed = actions.change_group_member(
            actor=self.actor,
            member=self.member,
            expected=self.expected_version(self.member),
            **self.read_input(),
        )
        return self.reply(changed)

    def delete(self, request: Request, organisation: UUID, group: UUID, group_member: UUID) -> Response:
        """Take back a membership that was a mistake; one that is over gets an `until_date` instead."""
        expected = self.expected_version(self.member)
        actions.remove_group_member(actor=self.actor, member=self.member, expected=expected)
        return self.no_content()
