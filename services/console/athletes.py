"""Athletes by location, for whoever looks one up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.api.athlete_views import AthletesView
from athletes.queries import athletes_visible_to
from athletes.safety_queries import held_visible_to
from programming.api.group_views import GroupsView
from programming.queries import groups_visible_to
from scoring.words import HOLDS
from services.access.api.organisation_views import LocationsView
from services.console.group_progression import GroupProgressionPage
from services.console.page import OrganisationPage
from services.console.together import GroupLoadPage, LocationLoadPage
from services.tenancy.actor import STAFF
from services.tenancy.queries import locations_visible_to

Ways = Sequence[tuple[str, str, type[OrganisationPage]]]
OF_GROUPS: Final[Ways] = (
    ("Load of the week", "group-load", GroupLoadPage),
    ("Progression", "group-progression", GroupProgressionPage),
)
"""Title, route and page, each about everybody in a group."""


@dataclass(frozen=True)
class Named:
    address: str
    name: str
    held: str


@dataclass(frozen=True)
class Group:
    """Who trains at a location; ways: (title, address) of the pages about all of them."""

    location: str
    athletes: Sequence[Named]
    ways: Sequence[tuple[str, str]]


class AthletesPage(OrganisationPage):
    shows = (AthletesView, LocationsView, GroupsView)
    place = "athletes"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        rows = list(athletes_visible_to(self.member).filter(is_active=True).order_by("name", "id"))
        locations = locations_visible_to(self.member).order_by("name", "id").values_list("id", "name")
        held = self._held()
        groups = [
            Group(
                name,
                [self._named(row, held) for row in rows if row.location_id == id_],
                self._ways(id_, (("Load of the week", "location-load", LocationLoadPage),)),
            )
            for id_, name in locations
        ]
        return self.show(
            "console/athletes.html", groups=[one for one in groups if one.athletes], teams=self._teams()
        )

    def _teams(self) -> Sequence[tuple[str, Sequence[tuple[str, str]]]]:
        """Groups by name with the pages about their members; of those that nobody may open, none."""
        rows = groups_visible_to(self.member).filter(is_active=True).order_by("name", "id")
        told = [(row.name, self._ways(row.id, OF_GROUPS)) for row in rows]
        return [(name, ways) for name, ways in told if ways]

    def _ways(self, id_: UUID, pages: Ways) -> Sequence[tuple[str, str]]:
        return [(title, self.address(name, id_)) for title, name, page in pages if page.open_to(self.member)]

    def _held(self) -> dict[UUID, str]:
        """By athlete, in words; only for the staff, to whom the list of holds is open."""
        if self.member.role not in STAFF:
            return {}
        found = held_visible_to(self.member, timezone.now().date()).safety
        return {id_: HOLDS[safety.hold.code] for id_, safety in found.items() if safety.hold is not None}

    def _named(self, row: Any, held: dict[UUID, str]) -> Named:
        return Named(self.address("athlete", row.id), row.name, held.get(row.id, ""))
