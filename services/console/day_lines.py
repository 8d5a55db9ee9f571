"""The sessions of a day, a line each: how many have a version, who has none and why, what came back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from athletes.actions.support import local_date
from athletes.sessions_athletes import athletes_by_session, counts_by_session
from programming.horizon import PRESCRIBED_AHEAD
from programming.plans import session_plans
from programming.queries import groups_visible_to
from scoring.names import names_of
from scoring.queries import without_version
from scoring.stored_content import as_current
from services.console import answers
from services.console.unfit import why_unfit
from services.console.words import counted, local_time, short_day
from services.tenancy.actor import STAFF, Actor, Role

MOST_WITHOUT: Final = 12
"""Named of a session; its own page names all."""
NOT_YET: Final = "not worked out yet; load the page again in a moment"


@dataclass(frozen=True)
class Without:
    """Somebody who takes part and has no version; the address is that of the athlete's own brief, if there is one."""

    name: str
    reason: str
    address: str | None
    prescription: Any = None


@dataclass(frozen=True)
class Line:
    """One session of the day. more: how many have no version beyond those that are named."""

    address: str
    time: str
    title: str
    whom: str
    cancelled: bool
    told: Sequence[str]
    without: Sequence[Without]
    more: int


@dataclass(frozen=True)
class Counts:
    """By session how many take part, how many of the prescriptions that hold now are versions (True) or say why not
    (False), and how many results there are and wait to be looked at; the last of every day.
    """

    there: Mapping[UUID, int]
    versions: Mapping[UUID, Mapping[bool, int]]
    results: Mapping[UUID, int]
    reviews: Mapping[UUID, int]


def counts_of(actor: Actor, sessions: Sequence[Any]) -> Counts:
    """As the actor may see them; the number of queries does not depend on how many sessions there are."""
    ids = [one.id for one in sessions]
    return Counts(
        there=counts_by_session(actor, sessions),
        versions=answers.versions_counted(actor, ids),
        results=answers.results_counted(actor, ids),
        reviews=answers.reviews_counted(actor) if actor.role in STAFF else {},
    )


class DayReader:
    """Puts sessions of a day into lines; the number of queries does not depend on how many there are."""

    def __init__(self, actor: Actor, address: Any, now: dt.datetime, counts: Counts) -> None:
        self.actor, self.address, self.now, self.counts = actor, address, now, counts

    def lines(self, sessions: Sequence[Any]) -> dict[UUID, Line]:
        """By session; an athlete has the sessions that they take part in alone."""
        if self.actor.role == Role.ATHLETE:
            sessions = [one for one in sessions if self.counts.there[one.id]]
        if not sessions:
            return {}
        without = self._without(sessions)
        groups = dict(groups_visible_to(self.actor).values_list("id", "name"))
        return {
            one.id: Line(
                address=self.address("session", one.id),
                time=local_time(one.starts_at, one.zone),
                title=one.title,
                whom=groups.get(one.group_id, "everybody of the location"),
                cancelled=one.cancelled_at is not None,
                told=list(self._told(one)),
                without=without[one.id][:MOST_WITHOUT],
                more=max(0, len(without[one.id]) - MOST_WITHOUT),
            )
            for one in sessions
        }

    def _told(self, session: Any) -> Iterator[str]:
        if session.cancelled_at is not None:
            return
        there = self.counts.there[session.id]
        opens = session.starts_at - PRESCRIBED_AHEAD
        if opens > self.now:
            yield f"Prescriptions are worked out from {short_day(local_date(opens, session.zone))}."
        elif there:
            yield f"{self.counts.versions[session.id][True]} of {counted(there, 'athlete')} with a version"
        else:
            yield "Nobody whom you see takes part"
        if results := self.counts.results.get(session.id):
            yield f"{counted(results, 'result')} in"
        if reviews := self.counts.reviews.get(session.id):
            yield f"{reviews} to look at"

    def _without(self, sessions: Sequence[Any]) -> Mapping[UUID, list[Without]]:
        """By session who has no version: first those who were told why, then those who wait for it.

        Of nobody who is not shown a document is read: a week that was just placed waits for thousands.
        """
        found: dict[UUID, list[Without]] = {one.id: [] for one in sessions}
        open_ones = [one for one in sessions if one.cancelled_at is None]
        open_ids = [one.id for one in open_ones]
        for session, prescription, name in without_version(self.actor, sessions=open_ids):
            found[session].append(Without(name, "", self.address("brief", prescription), prescription))
        self._say_why(found)
        waiting = [one for one in open_ones if self._is_waited_for(one)]
        known = answers.answered(self.actor, [one.id for one in waiting])
        for session, athletes in athletes_by_session(self.actor, waiting).items():
            found[session] += [
                Without(one.name, NOT_YET, None) for one in athletes if (session, one.id) not in known
            ]
        return found

    def _is_waited_for(self, session: Any) -> bool:
        """Whether somebody should have an answer by now and has none."""
        answered = sum(self.counts.versions[session.id].values())
        return session.starts_at - PRESCRIBED_AHEAD <= self.now and self.counts.there[session.id] > answered

    def _say_why(self, found: Mapping[UUID, list[Without]]) -> None:
        """Put the reason to those that are shown."""
        shown = [one.prescription for rows in found.values() for one in rows[:MOST_WITHOUT]]
        contents = answers.contents_of(self.actor, shown)
        plans = session_plans({session for session, rows in found.items() if rows})
        named = {session: names_of(plan) for session, plan in plans.items()}
        for session, rows in found.items():
            for number, one in enumerate(rows[:MOST_WITHOUT]):
                why = why_unfit(as_current(contents[one.prescription]), named[session])
                rows[number] = replace(one, reason=why)
