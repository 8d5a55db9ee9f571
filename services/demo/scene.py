"""What the demo remembers while it runs: who is signed in, and the ids that the service has given."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

import numpy as np
from django.db.models import F

from programming.calc.variation import Variation
from services.changes.models import Change
from services.demo.client import Api
from services.demo.errors import DemoError
from services.demo.generator import Body, make_body
from services.demo.people import ATHLETES, DemoAthlete
from services.tenancy.context import tenant_transaction

SEED = 20_260
IDLE_S = 120.0
LONGEST_S = 3600.0
"""How long to wait while nothing is done, and at most: beside other work a recompute takes as long as it takes."""


@dataclass
class Scene:
    """One organisation, seen by its people through the interface.

    apis by member key; locations, athletes by name; variation_ids and variations by key.
    """

    port: int
    organisation: str
    password: str
    now: dt.datetime
    apis: dict[str, Api] = field(default_factory=dict)
    locations: dict[str, str] = field(default_factory=dict)
    athletes: dict[str, str] = field(default_factory=dict)
    variation_ids: dict[str, str] = field(default_factory=dict)
    variations: dict[str, Variation] = field(default_factory=dict)
    bodies: Mapping[str, Body] = field(default_factory=lambda: make_bodies())

    @property
    def names(self) -> dict[str, str]:
        """Athletes' names by id."""
        return {athlete: name for name, athlete in self.athletes.items()}

    @property
    def owner(self) -> Api:
        return self.apis["owner"]

    @property
    def coach(self) -> Api:
        return self.apis["coach"]

    def settle(self, idle_s: float = IDLE_S, longest_s: float = LONGEST_S) -> float:
        """Wait until every recompute that was asked for is done; the seconds it took.

        The one look past the interface: an operator's, at the queue. Raises DemoError when a recompute was given up,
        when none was begun or ended for `idle_s`, or when it takes longer than `longest_s`.
        """
        started = moved = time.monotonic()
        before = self._due()
        while before:
            time.sleep(0.1)
            due, now = self._due(), time.monotonic()
            if due != before:
                before, moved = due, now
            elif now - moved >= idle_s:
                raise DemoError(_late(due, f"and nothing was done for {idle_s:.0f} s"))
            if due and now - started >= longest_s:
                raise DemoError(_late(due, f"after {longest_s:.0f} s"))
        return time.monotonic() - started

    def _due(self) -> list[tuple[object, ...]]:
        """What is open, with all that shows progress: what was written, done and begun. Raises DemoError."""
        told = ("id", "version", "done", "tries", "parked_at", "error")
        with tenant_transaction(UUID(self.organisation)):
            due = list(Change.objects.filter(version__gt=F("done")).order_by("id").values_list(*told))
        parked = [error for *_, parked_at, error in due if parked_at is not None]
        if parked:
            raise DemoError(f"a recompute was given up: {parked[0]}")
        return due


def _late(due: list[tuple[object, ...]], how: str) -> str:
    help_ = "End other work on this machine, or read the log of the worker."
    return f"{len(due)} recomputes are still to be done {how}. {help_}"


def make_bodies() -> dict[str, Body]:
    """The truth about every athlete; the same at every start."""
    return {person.name: _body(number, person) for number, person in enumerate(ATHLETES)}


def _body(number: int, person: DemoAthlete) -> Body:
    rng = np.random.default_rng([SEED, number])
    usual = float(rng.uniform(0.0, 0.012))
    gain = usual if person.gain is None else person.gain
    return make_body(
        person.mass_kg, upper=person.upper, lower=person.lower, engine=person.engine, gain=gain, rng=rng
    )
