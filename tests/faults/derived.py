"""What is derived from results: as it is stored, and as a computation from scratch makes it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F, Model
from django.utils import timezone

from athletes.actions.capacities import recompute_capacities
from athletes.actions.observations import FROM_ATTEMPT
from athletes.models import Capacity, Observation
from athletes.queries import prescribing_inputs
from programming.plans import session_plan
from scoring.actions.prescriptions import states_of
from scoring.actions.rankings import rank_session
from scoring.actions.scores import score_attempts
from scoring.content import content_of
from scoring.models import OfficialScore, Prescription, Ranking, Review
from scoring.working_out import Known, work_out
from services.changes.models import Change
from tests.support.cast import Cast

# Made anew by every write; nothing else of a derived row may differ.
OWN = {"id", "created_at", "computed_at"}


@dataclass(frozen=True)
class Derived:
    """Contents by what they are about, without ids and times of their own."""

    scores: dict[UUID, dict[str, Any]]
    observations: list[dict[str, Any]]
    capacities: dict[tuple[UUID, UUID], dict[str, Any]]
    ranking: dict[str, Any]
    prescriptions: dict[UUID, dict[str, Any]]


def undone(cast: Cast) -> int:
    """Changes that are not recomputed yet."""
    with cast.inside():
        return Change.objects.filter(version__gt=F("done")).count()


def begun(cast: Cast) -> int:
    """Changes that a worker has claimed and not finished."""
    with cast.inside():
        return Change.objects.filter(version__gt=F("done"), tries__gt=0).count()


def stored(cast: Cast, session: UUID, coming: UUID) -> Derived:
    """Derived rows of the results of `session`, and everybody's newest prescription of `coming`."""
    with cast.inside():
        newest = Prescription.objects.filter(session_id=coming).order_by("number")
        return _read(session, {row.athlete_id: row.content for row in newest})


def from_scratch(cast: Cast, session: UUID, coming: UUID, athletes: list[UUID]) -> Derived:
    """The same from the attempts, tests and weighings alone; nothing of it stays in the database."""
    with _undone_afterwards(cast):
        for model in (Ranking, OfficialScore, Review, Capacity):
            model.objects.all().delete()
        Observation.objects.filter(source=FROM_ATTEMPT).delete()
        now = timezone.now()
        plan = session_plan(coming)
        # Any order must do: the workers took another one.
        prescribed = {
            athlete: _compute(athlete, plan, now) for athlete in sorted(athletes, key=str, reverse=True)
        }
        rank_session(session_id=session, now=now)
        return _read(session, prescribed)


def _compute(athlete: UUID, plan: Any, now: dt.datetime) -> dict[str, Any]:
    score_attempts(athlete_id=athlete)
    recompute_capacities(athlete_id=athlete, today=now.date())
    seen = Observation.objects.filter(athlete_id=athlete)
    known = frozenset(seen.values_list("variation_version__variation_id", flat=True))
    inputs = prescribing_inputs([athlete], plan.local_date)[athlete]
    states = states_of(plan, athlete, inputs.zone)
    return content_of(plan, inputs, work_out(plan, inputs, Known(states, known)))


def _read(session: UUID, prescriptions: dict[UUID, dict[str, Any]]) -> Derived:
    ranking = Ranking.objects.get(session_id=session)
    observations = Observation.objects.order_by("source", "source_id", "ordinal")
    return Derived(
        scores={row.athlete_id: _content(row) for row in OfficialScore.objects.filter(session_id=session)},
        observations=[_content(row) for row in observations],
        capacities={(row.athlete_id, row.movement_id): _content(row) for row in Capacity.objects.all()},
        ranking=_content(ranking),
        prescriptions=prescriptions,
    )


def _content(row: Model) -> dict[str, Any]:
    return {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if field.attname not in OWN
    }


@contextmanager
def _undone_afterwards(cast: Cast) -> Iterator[None]:
    with transaction.atomic(), cast.inside():
        yield
        transaction.set_rollback(True)
