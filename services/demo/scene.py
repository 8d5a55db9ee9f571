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
SETTLE_S = 120.0


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

    def settle(self, seconds: float = SETTLE_S) -> float:
        """Wait until every recompute that was asked for is done; the seconds it took.

        The one look past the interface: an operator's, at the queue. Raises DemoError when a recompute was
        given up, or when it takes too long.
        """
        started = time.monotonic()
        while time.monotonic() - started < seconds:
            with tenant_transaction(UUID(self.organisation)):
                due = list(Change.objects.filter(version__gt=F("done")).values_list("parked_at", "error"))
            parked = [error for parked_at, error in due if parked_at is not None]
            if parked:
                raise DemoError(f"a recompute was given up: {parked[0]}")
            if not due:
                return time.monotonic() - started
            time.sleep(0.1)
        raise DemoError(f"{len(due)} recomputes are still to be done after {seconds:.0f} s")


def make_bodies() -> dict[str, Body]:
    """The truth about every athlete; the same at every start."""
    return {person.name: _body(number, person) for number, person in enumerate(ATHLETES)}


def _body(number: int, person: DemoAthlete) -> Body:
    rng = np.random.default_rng([SEED, number])
    gain = float(rng.uniform(0.0, 0.012))
    return make_body(
        person.mass_kg, upper=person.upper, lower=person.lower, engine=person.engine, gain=gain, rng=rng
    )
