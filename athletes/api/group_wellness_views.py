"""Wellness of a group: whose answers are unusual of themselves."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Final
from uuid import UUID

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.api.health_views import HealthView
from athletes.api.load_query import ON, asked_day
from athletes.api.wellness_views import FORM, asked_form
from athletes.group_wellness import group_wellness
from athletes.health_reads import WELLNESS
from athletes.participation import members_on
from athletes.queries import athletes_visible_to
from athletes.wellness import MEANING, METHOD
from programming.models import Group
from programming.queries import groups_visible_to
from services.api.operation import Access, Operation
from services.api.serializers import OutputSerializer
from services.tenancy.actor import COACHES, Scope

EXAMPLE: Final[dict[str, Any]] = {
    "form": "morning",
    "form_number": 1,
    "on": "2030-01-13",
    "athletes": [
        {
            "athlete": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11",
            "name": "Ruta Penn",
            "newest_answer_on": "2030-01-13",
            "items_compared": 2,
            "unusually_bad": ["sleep"],
        }
    ],
    "athletes_left_out": 0,
    "items": [
        {
            "item": "sleep",
            "text": "How did you sleep?",
            "athletes_compared": 1,
            "unusually_bad": None,
            "unusually_bad_reason": "fewer_than_5_athletes",
        }
    ],
    "false_flags_per_week": 0.3,
    "method": METHOD,
    "method_version": 1,
    "meaning": MEANING,
}


class AthleteUnusualOutput(OutputSerializer):
    """Items of which the latest answers are unusually bad for this athlete; a question to them, and no more."""

    athlete = serializers.UUIDField()
    name = serializers.CharField()
    newest_answer_on = serializers.DateField(allow_null=True)
    items_compared = serializers.IntegerField(help_text="Of which enough answers tell what is usual.")
    unusually_bad = serializers.ListField(child=serializers.CharField())


class ItemUnusualOutput(OutputSerializer):
    """In how many athletes; null of fewer than five, since it would tell of single people."""

    item = serializers.CharField()
    text = serializers.CharField()
    athletes_compared = serializers.IntegerField()
    unusually_bad = serializers.IntegerField(allow_null=True)
    unusually_bad_reason = serializers.CharField(allow_null=True)


class GroupWellnessOutput(OutputSerializer):
    form = serializers.CharField()
    form_number = serializers.IntegerField()
    on = serializers.DateField()
    athletes = AthleteUnusualOutput(many=True)
    athletes_left_out = serializers.IntegerField(help_text="Beyond the first sixty by name.")
    items = ItemUnusualOutput(many=True)
    false_flags_per_week = serializers.FloatField(help_text="To be expected of nothing, over all of them.")
    method = serializers.CharField()
    method_version = serializers.IntegerField()
    meaning = serializers.CharField()


class GroupWellnessView(HealthView):
    health = WELLNESS
    operation = {
        "GET": Operation(
            id="read_group_wellness",
            output=GroupWellnessOutput,
            parameters=(ON, FORM),
            response_example=EXAMPLE,
        )
    }
    access = {"GET": Access(COACHES, Scope.ATHLETES_READ)}

    def prepare(self, **kwargs: Any) -> None:
        rows = groups_visible_to(self.actor).select_related("location")
        self.group: Group = self.get_object_or_404(rows, kwargs["group"])

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Whose latest answers are unusual of themselves, among those who are in a group on the day; nobody is
        compared with anybody else, and who does not answer is not in question.
        """
        place = self.group.location
        today = local_date(timezone.now(), "UTC" if place is None else place.zone)
        form, on = asked_form(request), asked_day(request, today) or today
        members = members_on(self.group.id, on).values("athlete_id")
        rows = athletes_visible_to(self.actor).filter(is_active=True, id__in=members)
        athletes = list(rows.order_by("name", "id").values_list("id", "name"))
        return self.reply(group_wellness(athletes, form, on))

    def read_of(self, response: Response) -> Collection[UUID]:
        return {UUID(str(one["athlete"])) for one in response.data["athletes"]}
