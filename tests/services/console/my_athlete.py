"""An athlete with a sign-in of their own, who knows what they can do, and a session that is theirs."""

from __future__ import annotations

import datetime as dt
from html.parser import HTMLParser
from typing import Any

from athletes.actions.athletes import update_athlete
from programming.actions.sessions import schedule_session
from programming.actions.templates import create_template, publish_revision
from programming.models import ScheduledSession
from scoring.models import Attempt
from tests.services.console.browse import page
from tests.support.world import SESSION, World, add_athlete, drain, make_world

NAME = "Ayo Lindqvist"


def my_world(starts_in: dt.timedelta = -dt.timedelta(minutes=30)) -> World:
    """The turn-about session at the harbour, begun half an hour ago, prescribed to the athlete of the cast."""
    world = make_world(starts_in=dt.timedelta(hours=1))
    own_athlete(world)
    drain(world.cast)
    if starts_in != dt.timedelta(hours=1):
        move(world, starts_in)
    return world


def own_athlete(world: World) -> None:
    """Somebody whose rows and goblet squats are known, joined with the sign-in of the cast's athlete."""
    athlete = add_athlete(world, NAME, 71.0, {"row_45": 18, "goblet_squat": 26})
    cast = world.cast
    with cast.inside():
        athlete.refresh_from_db()
        update_athlete(
            actor=cast.coach.actor,
            athlete=athlete,
            expected=athlete.version,
            person_id=cast.athlete.person.id,
        )


def move(world: World, starts_in: dt.timedelta) -> None:
    """Let time pass: the session's hour is another one, what was prescribed stays."""
    from django.utils import timezone

    with world.cast.inside():
        starts_at = timezone.now() + starts_in
        ScheduledSession.objects.filter(id=world.session.id).update(starts_at=starts_at)
        world.session.refresh_from_db()


def another_session(world: World, **changes: Any) -> ScheduledSession:
    """One with other rules, in an hour; not yet prescribed."""
    from django.utils import timezone

    actor = world.cast.coach.actor
    assert actor is not None
    document = {**SESSION, **changes}
    with world.cast.inside():
        template = create_template(actor=actor, name=document["title"], draft=document)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        return schedule_session(
            actor=actor,
            revision_id=revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() + dt.timedelta(hours=1),
        )


def address(world: World, rest: str = "") -> str:
    return page(world.cast, f"my/sessions/{world.session.id}{rest}")


def attempts(world: World) -> list[Attempt]:
    with world.cast.inside():
        return list(Attempt.objects.filter(session=world.session))


class Form(HTMLParser):
    """The fields of the log as a browser would send them; those in a <template> are none."""

    def __init__(self, html: str, keep: str = "") -> None:
        """keep: of the form that has this under `data-keep`, in place of the log."""
        super().__init__()
        self._wanted = ("data-keep", keep) if keep else ("id", "log")
        self.fields: dict[str, str] = {}
        self._form, self._template, self._select, self._long = False, 0, "", ""
        self.feed(html)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attributes}
        self._form = told.get(self._wanted[0]) == self._wanted[1] if tag == "form" else self._form
        self._template += tag == "template"
        name = told.get("name", "")
        if not self._form or self._template:
            return
        if tag == "select":
            self._select = name
        elif tag == "option" and (self._select not in self.fields or "selected" in told):
            self.fields[self._select] = told["value"]
        elif tag == "textarea":
            self.fields[name], self._long = "", name
        elif tag == "input" and (told.get("type") not in ("checkbox", "radio") or "checked" in told):
            self.fields[name] = told.get("value", "")

    def handle_data(self, data: str) -> None:
        if self._long:
            self.fields[self._long] += data

    def handle_endtag(self, tag: str) -> None:
        self._template -= tag == "template"
        self._form = self._form and tag != "form"
        self._long = "" if tag == "textarea" else self._long

    @property
    def rows(self) -> list[str]:
        return [name.removesuffix("-what") for name in self.fields if name.endswith("-what")]
