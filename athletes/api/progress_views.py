"""How athletes progressed: one by movement, a group in one movement."""

from __future__ import annotations

import datetime as dt
from typing import Any, Final
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.api import progress_examples as examples
from athletes.api import progress_serializers as s
from athletes.api.athlete_views import READ, AthleteScopedView
from athletes.group_progress import group_progress
from athletes.participation import members_on
from athletes.progress import Asked, progression_of
from athletes.queries import athletes_visible_to
from programming.models import Group, Movement
from programming.queries import groups_visible_to, movements_visible_to
from services.api.operation import Access, Operation
from services.api.query import day_in, id_in, number_in, refused
from services.api.views import OrganisationView
from services.tenancy.actor import STAFF, Scope

USUAL_DAYS: Final = 84
"""How far back a change counts where nobody says (ours): twelve weeks."""
LEAST_PERCENT, MOST_PERCENT = 0.1, 50.0
MOST_MEMBERS: Final = 200

SINCE = OpenApiParameter(
    "since", dt.date, description="From when a change counts; left out: twelve weeks ago."
)
WORTHWHILE = OpenApiParameter(
    "worthwhile_percent",
    float,
    description="The smallest change that is worth a word, of the load or power; left out: a fifth of the spread "
    "between people.",
)


def _asked(request: Request, today: dt.date) -> Asked:
    parameters = request.query_params
    since = day_in(parameters, "since") or today - dt.timedelta(days=USUAL_DAYS)
    if since >= today:
        raise refused("since", "out_of_range", "Must be a day before today.")
    worthwhile = number_in(parameters, "worthwhile_percent", LEAST_PERCENT, MOST_PERCENT)
    return Asked(since, today, worthwhile)


class ProgressionView(AthleteScopedView):
    operation = {
        "GET": Operation(
            id="read_progression",
            output=s.ProgressionOutput,
            parameters=(
                SINCE,
                WORTHWHILE,
                OpenApiParameter("movement", UUID, description="Of this movement alone."),
            ),
            response_example=examples.PROGRESSION,
        )
    }
    access = {"GET": READ}

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """How the athlete progressed in each movement that was seen: the trend, what changed since a day and how
        likely that is more than trifling, personal bests, and whether a test is due."""
        asked = _asked(request, local_date(timezone.now(), self.athlete.zone))
        movement = id_in(request.query_params, "movement")
        if movement is not None and not movements_visible_to(self.actor).filter(id=movement).exists():
            raise refused("movement", "unknown_reference", "There is no such movement.")
        found = progression_of(self.athlete, asked, movement)
        return self.reply({"since": asked.since, "movements": found})


class GroupProgressionView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_group_progression",
            output=s.GroupProgressOutput,
            parameters=(
                OpenApiParameter("movement", UUID, required=True, description="In which movement."),
                SINCE,
                WORTHWHILE,
            ),
            response_example=examples.GROUP,
        )
    }
    access = {"GET": Access(STAFF, Scope.ATHLETES_READ)}

    def prepare(self, **kwargs: Any) -> None:
        self.group: Group = self.get_object_or_404(groups_visible_to(self.actor), kwargs["group"])

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Who of the group changed for real in a movement, of those whom the caller may know of."""
        movement = self._movement()
        today = timezone.now().date()
        asked = _asked(request, today)
        members = members_on(self.group.id, today).values("athlete_id")
        rows = athletes_visible_to(self.actor).filter(is_active=True, id__in=members).order_by("name", "id")
        athletes = list(rows)
        found = group_progress(athletes[:MOST_MEMBERS], asked, movement.id)
        told = {"movement_id": movement.id, "movement": movement.key, "since": asked.since}
        left_out = max(len(athletes) - MOST_MEMBERS, 0)
        return self.reply(
            {**told, "members": found.members, "members_left_out": left_out, "counts": found.counts}
        )

    def _movement(self) -> Movement:
        named = id_in(self.request.query_params, "movement")
        if named is None:
            raise refused("movement", "required", "Say in which movement.")
        found: Movement | None = movements_visible_to(self.actor).filter(id=named).first()
        if found is None:
            raise refused("movement", "unknown_reference", "There is no such movement.")
        return found
