"""Weeks of training, rest and answers of an athlete, for the pages that show them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.utils import timezone

from athletes.actions.group_members import add_group_members
from athletes.actions.support import local_date
from athletes.actions.training_logs import Trained, confirm_rest, log_training
from athletes.actions.wellness import answer_form, set_form
from athletes.api.wellness_examples import FORM_INPUT as FORM
from athletes.models import Athlete
from programming.actions.groups import create_group
from tests.athletes.load_support import write_all
from tests.support.world import World

SLEEP, LEGS = FORM["items"]


def today_of(athlete: Athlete) -> dt.date:
    return local_date(timezone.now(), athlete.zone)


def day_of(athlete: Athlete, days: int) -> dt.date:
    return today_of(athlete) - dt.timedelta(days=days)


def train(
    world: World, athlete: Athlete, days: int, effort: float, minutes: float, what: str = "class"
) -> None:
    """At noon UTC of that many days ago."""
    actor, now = world.cast.coach.actor, timezone.now()
    assert actor is not None
    begun = dt.datetime.combine(day_of(athlete, days), dt.time(12), tzinfo=dt.UTC)
    log_training(actor=actor, athlete=athlete, trained=Trained(what, effort, minutes, begun), now=now)


def rest(world: World, athlete: Athlete, days: int) -> None:
    actor = world.cast.coach.actor
    assert actor is not None
    confirm_rest(actor=actor, athlete=athlete, day=day_of(athlete, days), now=timezone.now())


def weeks(world: World, athlete: Athlete, first: int, last: int = 1, *, silent: Iterable[int] = ()) -> None:
    """From `first` days ago to `last`: three days of training and one of rest, over and over; nothing on the silent
    days. The load is written.
    """
    left_out = set(silent)
    with world.cast.inside():
        for days in range(first, last - 1, -1):
            if days in left_out:
                continue
            if days % 4 == 0:
                rest(world, athlete, days)
            else:
                train(
                    world,
                    athlete,
                    days,
                    4 + days % 3,
                    40 + 5 * (days % 5),
                    "running" if days % 2 else "class",
                )
        write_all(athlete)


def group_of(world: World, *athletes: Athlete, name: str = "Late shift") -> str:
    """A group of the harbour with these athletes, of whom none has left; its id."""
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        group = create_group(actor=actor, name=name, location_id=world.cast.harbour.id)
        for athlete in athletes:
            add_group_members(
                actor=actor,
                group=group,
                athlete_ids=[athlete.id],
                from_date=day_of(athlete, 30),
                until_date=None,
            )
    return str(group.id)


def ask(world: World, **changes: Any) -> None:
    """The organisation asks its athletes of a morning."""
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside():
        set_form(actor=actor, **{**FORM, **changes})


def answer(world: World, athlete: Athlete, days: int, form: str = "morning", **told: float) -> None:
    actor, now = world.cast.coach.actor, timezone.now()
    assert actor is not None
    with world.cast.inside():
        answer_form(
            actor=actor, athlete=athlete, form_key=form, day=day_of(athlete, days), answers=told, now=now
        )
