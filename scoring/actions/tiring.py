"""Learning how quickly an athlete tires for long, from the sets of the results that count: part of the recompute."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections import defaultdict
from typing import Final
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from athletes.actions.learned import Kept, drop_tiring, kept_of, store_tiring
from athletes.calc.multiplier import METHOD_VERSION, Able, SetsDone, learn
from athletes.models import Capacity
from athletes.queries import mass_histories
from athletes.states import CapacityState, read_state
from programming.plans import variation_entries
from scoring.actions.scores import latest_attempts
from scoring.believed import unbelieved_reviews
from scoring.done_before import something
from scoring.logged import entry_of
from scoring.models import Attempt, SetLog
from scoring.observed import Logged
from scoring.person import median_of
from scoring.tiring import session_of
from services.tenancy.compiled import Given, any_of, compiled

MOST_SESSIONS: Final = 8
"""The newest that may tell something: the multiplier drifts with training, and eight know it well (ours)."""
YEAR: Final = dt.timedelta(days=365)


def learn_tiring(*, athlete_id: UUID, today: dt.date, kept: Kept | None = None) -> bool:
    """Bring the athlete's row up to date; whether it was written or removed.

    A row is kept of results that told nothing too, so that they are not read again before something moves. Two
    queries where no result may tell anything, three where nothing has moved, else seven, one less where `kept` is
    given; one more removes the row. Running it twice is running it once.
    """
    attempts = _telling(athlete_id, today)
    sex, stored, _ = kept or kept_of(athlete_id)
    if not attempts:
        if stored is not None:
            drop_tiring(athlete_id=athlete_id)
        return stored is not None
    known = {row.movement_id: row for row in _capacities(athlete=athlete_id)}
    inputs = _fingerprint(attempts, known, sex)
    if inputs == stored:
        return False
    states = {movement: read_state(row.state) for movement, row in known.items()}
    sessions = _sessions(athlete_id, attempts, states)
    told = learn(sessions, median=median_of(sex))
    store_tiring(athlete_id=athlete_id, told=told, sessions=len(sessions), inputs=inputs)
    return True


def _telling(athlete_id: UUID, today: dt.date) -> list[tuple[UUID, dt.date]]:
    """(id, local date) of the newest results with a later set that was ended by failure or by choice, and with the
    rests before all of them; without those that nobody believes, or that somebody has yet to look at (one query).

    Where a rest is missing nothing is told: such a result must not take the place of an older one that tells.
    """
    return _newest(athlete=athlete_id, first=today - YEAR, last=today)


@compiled
def _newest(athlete: Given, first: Given, last: Given) -> QuerySet[Attempt, tuple[UUID, dt.date]]:
    later = SetLog.objects.filter(something(), attempt=OuterRef("id"), ordinal__gt=0)
    ended = later.filter(ended_by__in=("failure", "planned"))
    unrested = later.filter(rest_before_s=None)
    rows = latest_attempts(athlete).filter(
        Exists(ended),
        ~Exists(unrested),
        ~Exists(unbelieved_reviews("id")),
        local_date__gte=first,
        local_date__lte=last,
    )
    return rows.order_by("-performed_at", "-id").values_list("id", "local_date")[:MOST_SESSIONS]


@compiled
def _capacities(athlete: Given) -> QuerySet[Capacity]:
    return Capacity.objects.filter(athlete_id=athlete)


def _fingerprint(attempts: list[tuple[UUID, dt.date]], known: dict[UUID, Capacity], sex: str) -> str:
    told = [METHOD_VERSION, sex, *attempts, *sorted((str(key), row.inputs) for key, row in known.items())]
    return hashlib.sha256(repr(told).encode()).hexdigest()


def _sessions(
    athlete_id: UUID, attempts: list[tuple[UUID, dt.date]], states: dict[UUID, CapacityState]
) -> list[tuple[SetsDone, Able]]:
    """Those that tell something (three queries)."""
    masses = mass_histories([athlete_id])[athlete_id]
    rows = _sets(attempts=[id_ for id_, _ in attempts])
    entries = variation_entries({row.variation_version_id for row in rows})
    logged: dict[UUID, list[Logged]] = defaultdict(list)
    for row in rows:
        logged[row.attempt_id].append(Logged(entry_of(row), entries[row.variation_version_id]))
    found = (session_of(logged[id_], states, masses.on(day)) for id_, day in attempts)
    return [session for session in found if session is not None]


@compiled
def _sets(attempts: Given) -> QuerySet[SetLog]:
    return SetLog.objects.filter(attempt=any_of(attempts)).order_by("attempt_id", "ordinal")
