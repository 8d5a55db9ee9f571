"""Load days of an athlete without the worker."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from athletes.actions.loads import BEGINNING, DoneSession, newest_of, write_load
from athletes.models import Athlete


def write_all(athlete: Athlete, results: Sequence[DoneSession] = (), since: dt.date = BEGINNING) -> None:
    """Inside the organisation."""
    write_load(athlete_id=athlete.id, newest=newest_of(athlete.id), since=since, results=results)
