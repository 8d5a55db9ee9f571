"""Many sessions at once: a week copied, a revision placed at several locations."""

from __future__ import annotations

from uuid import UUID

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from programming.actions.placements import Place, place_revision
from programming.actions.weeks import copy_week
from programming.api import calendar_serializers as s
from programming.api import examples
from programming.calc.wall_time import monday_of
from programming.queries import scheduled_sessions_visible_to
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import COACHES, Scope

WRITE = Access(COACHES, Scope.PROGRAMME_WRITE)


class WeekCopiesView(OrganisationView):
    operation = {
        "POST": Operation(
            id="copy_week",
            input=s.WeekCopyInput,
            output=s.WeekCopyOutput,
            request_example=examples.NEW_WEEK_COPY,
            response_example=examples.WEEK_COPY,
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID) -> Response:
        """Copy the sessions of a week to a later one: same weekdays, same times on the wall.

        What was copied there before is not copied again, and what would meet another session of the same
        athletes is listed and not made. `dry_run` says what would be made.
        """
        data = self.read_input()
        dry_run = data.get("dry_run", False)
        copies = copy_week(
            actor=self.actor,
            from_week=data["from_week"],
            to_week=data["to_week"],
            location_id=data.get("location"),
            group_id=data.get("group"),
            session_ids=data.get("sessions"),
            dry_run=dry_run,
        )
        weeks = {name: monday_of(data[name]) for name in ("from_week", "to_week")}
        return self.reply({**weeks, "dry_run": dry_run, "items": copies})


class PlacementsView(OrganisationView):
    operation = {
        "POST": Operation(
            id="place_revision",
            input=s.PlacementsInput,
            output=s.PlacementsOutput,
            status=201,
            request_example=examples.NEW_PLACEMENTS,
            response_example=examples.PLACEMENTS,
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID) -> Response:
        """Place one revision at several locations or for several groups: all of them, or none.

        With `use_local_versions`, a location that made a version of its own of this session uses that; where
        it was made from another revision than this one, `origin_has_moved` says so.
        """
        data = self.read_input()
        placed = place_revision(
            actor=self.actor,
            revision_id=data["revision"],
            places=[Place(one["starts_at"], one.get("location"), one.get("group")) for one in data["places"]],
            use_local_versions=data.get("use_local_versions", False),
        )
        stored = scheduled_sessions_visible_to(self.actor).in_bulk([one.session.id for one in placed])
        items = [
            {
                "session": stored[one.session.id],
                "local_version": one.local_version and one.local_version.id,
                "origin_has_moved": one.local_version and one.local_version.origin_id != data["revision"],
            }
            for one in placed
        ]
        return self.reply({"items": items}, location=reverse("scheduled-sessions", args=[organisation]))
