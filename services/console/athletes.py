"""Athletes by location, for whoever looks one up; where there are many, one location or one name at a time."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from athletes.api.athlete_views import AthletesView
from athletes.queries import athletes_visible_to
from athletes.safeties import safeties
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
OF_LOCATIONS: Final[Ways] = (("Load of the week", "location-load", LocationLoadPage),)
OF_GROUPS: Final[Ways] = (
    ("Load of the week", "group-load", GroupLoadPage),
    ("Progression", "group-progression", GroupProgressionPage),
)
"""Title, route and page, each about everybody in a group."""
MOST: Final = 200
"""Named at once: what somebody still looks through."""


@dataclass(frozen=True)
class Named:
    address: str
    name: str
    held: str


@dataclass(frozen=True)
class Group:
    """A location with its athletes; address: of the page that names them, where this one does not; ways: (title,
    address) of the pages about all of them.
    """

    location: str
    count: int
    address: str
    athletes: Sequence[Named]
    ways: Sequence[tuple[str, str]]


class AthletesPage(OrganisationPage):
    shows = (AthletesView, LocationsView, GroupsView)
    place = "athletes"
    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        rows = athletes_visible_to(self.member).filter(is_active=True)
        counts = dict(rows.order_by().values_list("location_id").annotate(count=Count("id")))
        name = request.GET.get("name", "").replace("\0", "").strip()[:120]
        chosen = request.GET.get("location", "")
        many = sum(counts.values()) > MOST
        if name:
            rows = rows.filter(name__icontains=name)
        elif chosen in {str(one) for one in counts}:
            rows = rows.filter(location=UUID(chosen))
        elif many:
            rows = rows.none()
        found = list(rows.order_by("name", "id").values_list("id", "name", "location_id")[: MOST + 1])
        whole = many and not name and not found
        return self.show(
            "console/athletes.html",
            groups=self._groups(found[:MOST], counts, whole=whole),
            more=len(found) > MOST,
            many=many,
            whole=whole,
            name=name,
            teams=self._teams(),
        )

    def _teams(self) -> Sequence[tuple[str, Sequence[tuple[str, str]]]]:
        """Groups by name with the pages about their members; of those that nobody may open, none."""
        rows = groups_visible_to(self.member).filter(is_active=True).order_by("name", "id")
        told = [(row.name, self._ways(row.id, OF_GROUPS)) for row in rows]
        return [(name, ways) for name, ways in told if ways]

    def _ways(self, id_: UUID, pages: Ways) -> Sequence[tuple[str, str]]:
        return [(title, self.address(name, id_)) for title, name, page in pages if page.open_to(self.member)]

    def _groups(
        self, rows: Sequence[tuple[Any, str, Any]], counts: Mapping[UUID, int], *, whole: bool
    ) -> list[Group]:
        """Locations by name; whole: all of them that have athletes, else those of whose athletes some are named."""
        held = self._held([id_ for id_, _, _ in rows])
        here: dict[UUID, list[Named]] = {}
        for id_, name, location in rows:
            one = Named(self.address("athlete", id_), name, held.get(id_, ""))
            here.setdefault(location, []).append(one)
        locations = locations_visible_to(self.member).order_by("name", "id").values_list("id", "name")
        return [
            Group(
                name,
                counts.get(id_, 0),
                f"?location={id_}",
                here.get(id_, []),
                self._ways(id_, OF_LOCATIONS),
            )
            for id_, name in locations
            if (counts.get(id_) if whole else id_ in here)
        ]

    def _held(self, ids: Collection[UUID]) -> dict[UUID, str]:
        """By athlete, in words; only for the staff, to whom the list of holds is open."""
        if self.member.role not in STAFF:
            return {}
        found = safeties(list(ids), timezone.now().date())
        return {id_: HOLDS[safety.hold.code] for id_, safety in found.items() if safety.hold is not None}
