"""Training balance of an athlete and of a group, and the shares that a coach wants."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.support import local_date
from athletes.models import Athlete
from athletes.participation import members_on
from athletes.queries import athletes_visible_to
from programming.models import Group
from programming.queries import groups_visible_to
from scoring.actions.balance_targets import put_balance_target
from scoring.api import balance_examples as examples
from scoring.api import balance_serializers as s
from scoring.balance import balance_between, target_at, target_for
from services.api.conditional import replaced_version
from services.api.operation import Access, Operation
from services.api.query import day_in, id_in, refused
from services.api.views import OrganisationView
from services.problems import NotFound, PreconditionFailed, PreconditionRequired
from services.tenancy.actor import COACHES, EVERYONE, STAFF, Actor, Scope

USUAL_DAYS: Final = 28
MOST_DAYS: Final = 366
DAYS = (
    OpenApiParameter("from_date", dt.date, description="First day; left out: four weeks up to the last one."),
    OpenApiParameter("until_date", dt.date, description="Last day; left out: today. At most a year."),
)


def days_asked(asked: Mapping[str, str], today: dt.date) -> tuple[dt.date, dt.date]:
    """First and last day. Raises Invalid."""
    last = day_in(asked, "until_date") or today
    first = day_in(asked, "from_date") or last - dt.timedelta(days=USUAL_DAYS - 1)
    if first > last:
        raise refused("from_date", "out_of_range", "Must not lie after the last day.")
    if (last - first).days >= MOST_DAYS:
        raise refused("from_date", "out_of_range", f"At most {MOST_DAYS} days at once.")
    return first, last


def balance_of_athlete(actor: Actor, athlete: Athlete, asked: Mapping[str, str]) -> dict[str, Any]:
    """What is told of an athlete whom the actor may see, by query parameters (three queries). Raises Invalid."""
    first, last = days_asked(asked, local_date(timezone.now(), athlete.zone))
    group = id_in(asked, "group")
    if group is not None and not groups_visible_to(actor).filter(id=group).exists():
        raise refused("group", "unknown_reference", "There is no such group.")
    told = balance_between([athlete.id], first, last, target_for(group))
    return {"from_date": first, "until_date": last, "told": told}


def balance_of_group(actor: Actor, group: UUID, asked: Mapping[str, str]) -> dict[str, Any]:
    """What is told of a group, of those whom the actor may see (three queries). Raises Invalid."""
    first, last = days_asked(asked, timezone.now().date())
    members = members_on(group, last).values("athlete_id")
    rows = athletes_visible_to(actor).filter(is_active=True, id__in=members)
    told = balance_between(list(rows.values_list("id", flat=True)), first, last, target_for(group))
    return {"from_date": first, "until_date": last, "told": told}


class AthleteBalanceView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_athlete_balance",
            output=s.BalanceOutput,
            parameters=(
                *DAYS,
                OpenApiParameter(
                    "group",
                    UUID,
                    description="Whose target it is held against; left out: the organisation's.",
                ),
            ),
            response_example=examples.BALANCE,
        )
    }
    access = {"GET": Access(EVERYONE, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, athlete: UUID) -> None:
        self.athlete: Athlete = self.get_object_or_404(athletes_visible_to(self.actor), athlete)

    def get(self, request: Request, organisation: UUID, athlete: UUID) -> Response:
        """What the athlete's sessions trained, as planned and as done, against the coach's target shares."""
        return self.reply(balance_of_athlete(self.actor, self.athlete, request.query_params))


class GroupBalanceView(OrganisationView):
    operation = {
        "GET": Operation(
            id="read_group_balance",
            output=s.BalanceOutput,
            parameters=DAYS,
            response_example=examples.BALANCE,
        )
    }
    access = {"GET": Access(STAFF, Scope.RESULTS_READ)}

    def prepare(self, organisation: UUID, group: UUID) -> None:
        self.get_object_or_404(groups_visible_to(self.actor), group)

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """The same of the members of the last day together, of those whom the caller may know of: held against the
        group's target, else the organisation's."""
        return self.reply(balance_of_group(self.actor, group, request.query_params))


_GET: dict[str, Any] = {"output": s.BalanceTargetOutput, "etag": True, "response_example": examples.TARGET}
_PUT: dict[str, Any] = {
    "input": s.BalanceTargetInput,
    "output": s.BalanceTargetOutput,
    "status": 201,
    "stored_before": True,
    "etag": True,
    "parameters": (
        OpenApiParameter(
            "If-Match", str, OpenApiParameter.HEADER, description="ETag of the target that this one replaces."
        ),
        OpenApiParameter(
            "If-None-Match", str, OpenApiParameter.HEADER, description="`*` for the first target."
        ),
    ),
    "errors": (PreconditionFailed, PreconditionRequired),
    "request_example": examples.TARGET_INPUT,
    "response_example": examples.TARGET,
}
_ACCESS = {
    "GET": Access(STAFF, Scope.PROGRAMME_READ),
    "PUT": Access(COACHES, Scope.PROGRAMME_WRITE),
}


class _TargetView(OrganisationView):
    """Of `self.group`, None: of the organisation."""

    group: Group | None = None

    def _read(self) -> Response:
        row = target_at(None if self.group is None else self.group.id)
        if row is None:
            raise NotFound("Nobody has written down target shares here; send them with PUT.")
        return self.reply(row)

    def _put(self) -> Response:
        row = target_at(None if self.group is None else self.group.id)
        stored = put_balance_target(
            actor=self.actor,
            group=self.group,
            shares=self.read_input(),
            version=replaced_version(self.request.headers, row),
        )
        return self.reply(stored, created=row is None)


class OrganisationTargetView(_TargetView):
    operation = {
        "GET": Operation(id="read_balance_target", **_GET),
        "PUT": Operation(id="put_balance_target", **_PUT),
    }
    access = _ACCESS

    def get(self, request: Request, organisation: UUID) -> Response:
        """The shares of training that are wanted where a group has none of its own."""
        return self._read()

    def put(self, request: Request, organisation: UUID) -> Response:
        """Write down the shares that are wanted: 201 for the first time, 200 later."""
        return self._put()


class GroupTargetView(_TargetView):
    operation = {
        "GET": Operation(id="read_group_balance_target", **_GET),
        "PUT": Operation(id="put_group_balance_target", **_PUT),
    }
    access = _ACCESS

    def prepare(self, organisation: UUID, group: UUID) -> None:
        self.group = self.get_object_or_404(groups_visible_to(self.actor), group)

    def get(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """The shares of training that are wanted of this group."""
        return self._read()

    def put(self, request: Request, organisation: UUID, group: UUID) -> Response:
        """Write down the shares that are wanted of this group: 201 for the first time, 200 later."""
        return self._put()
