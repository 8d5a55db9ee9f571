"""What a row of a table names, as what there is: an athlete, a location, a session, an instant."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Final
from zoneinfo import ZoneInfo

from athletes.models import Athlete
from athletes.queries import athletes_visible_to
from programming.models import ScheduledSession
from programming.queries import scheduled_sessions_visible_to
from services.exchange.told import Cells, RowFaultError
from services.tenancy.actor import Actor
from services.tenancy.models import Location
from services.tenancy.queries import locations_visible_to

NOON: Final = dt.time(12)


@dataclass
class Named:
    """Of one actor, who names nothing that they may not see; athletes and locations are read once. Raises
    RowFaultError.
    """

    actor: Actor
    now: dt.datetime
    _athletes: dict[str, list[Athlete]] = field(default_factory=lambda: defaultdict(list))
    _locations: dict[str, Location] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for athlete in athletes_visible_to(self.actor).order_by("id"):
            for key in {athlete.client_id or "", str(athlete.id), athlete.name.casefold()} - {""}:
                self._athletes[key].append(athlete)
        for location in locations_visible_to(self.actor):
            self._locations[location.name.casefold()] = location

    def location(self, name: str) -> Location | None:
        """None where nothing is named."""
        found = self._locations.get(name.casefold()) if name else None
        if name and found is None:
            raise RowFaultError(("location", "There is no location with this name in the organisation."))
        return found

    def athlete(self, told: Cells) -> Athlete:
        """By client_id, id, or a name that only one has."""
        text = told.text("athlete")
        found = self._athletes.get(text) or self._athletes.get(text.casefold()) or []
        if len(found) == 1:
            return found[0]
        detail = (
            "Several athletes have this name; write a client_id or an id."
            if found
            else ("You see no athlete with this name, client_id or id.")
        )
        raise RowFaultError(("athlete", detail))

    def when(self, told: Cells, meaning: str, athlete: Athlete) -> str:
        """The instant, else noon of the date in the athlete's zone, not later than now."""
        instant = told.instant(meaning)
        if instant is not None:
            return instant
        day = told.day("date")
        if day is None:
            raise RowFaultError((meaning, f"Say when: in a column that means {meaning}, or date."))
        noon = dt.datetime.combine(dt.date.fromisoformat(day), NOON, ZoneInfo(athlete.zone))
        today = self.now.astimezone(ZoneInfo(athlete.zone)).date()
        return (min(noon, self.now) if noon.date() == today else noon).astimezone(dt.UTC).isoformat()

    def session(self, told: Cells) -> ScheduledSession:
        """By its id here, else by when it was, and where and what where that is said."""
        rows = scheduled_sessions_visible_to(self.actor)
        named, starts_at, day = (
            told.text("session"),
            told.instant("session_starts_at"),
            told.day("session_date"),
        )
        if named:
            rows = rows.filter(id=told.uuid("session"))
        elif starts_at:
            rows = rows.filter(starts_at=starts_at)
        elif day:
            rows = rows.filter(local_date=day)
        else:
            raise RowFaultError(
                ("session", "Name the session: its id, or when it was (and where, and its title).")
            )
        if told.text("location"):
            rows = rows.filter(location__name__iexact=told.text("location"))
        if told.text("title"):
            rows = rows.filter(revision__document__title=told.text("title"))
        found = list(rows.order_by("id")[:2])
        if len(found) == 1:
            return found[0]
        detail = (
            "Several sessions fit; say more of it."
            if found
            else ("There is no such session on the calendar; place it first, in the past too.")
        )
        raise RowFaultError(
            ("session" if named else "session_starts_at" if starts_at else "session_date", detail)
        )
