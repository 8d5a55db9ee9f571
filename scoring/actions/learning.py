"""What is learned of an athlete from what is stored, before anything is prescribed."""

from __future__ import annotations

import datetime as dt
from typing import Final
from uuid import UUID

from athletes.actions.absences import ask_about_silence
from athletes.actions.capacities import recompute_capacities
from athletes.actions.learned import kept_of
from programming.horizon import PRESCRIBED_AHEAD
from scoring.actions.tempo import learn_tempo
from scoring.actions.tiring import learn_tiring

DAY_AHEAD: Final = dt.timedelta(days=1)
"""A zone that is ahead of ours has tomorrow's date."""


def learn_from_rows(*, athlete_id: UUID, now: dt.datetime) -> None:
    """Whether to ask about a silence, capacity, how quickly the athlete tires, and how quickly they work.

    For the recompute and for what is told after a check set, which must not say anything else: what depends on
    stored rows and the time belongs here. Running it twice is running it once.
    """
    ask_about_silence(athlete_id=athlete_id, now=now, until=now + PRESCRIBED_AHEAD)
    recompute_capacities(athlete_id=athlete_id, today=now.date())
    kept, tomorrow = kept_of(athlete_id), now.date() + DAY_AHEAD
    learn_tiring(athlete_id=athlete_id, today=tomorrow, kept=kept)
    learn_tempo(athlete_id=athlete_id, today=tomorrow, kept=kept)
