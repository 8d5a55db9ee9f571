"""What the interface would answer to this reader, for pages to show: its own reads, filters and serializers.

Nothing here decides what may be seen; the queries start at the actor, and the serializers name every field.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Model, QuerySet
from django_filters import FilterSet
from rest_framework.serializers import Serializer

from programming.api.filters import SessionFilter
from programming.plans import SessionPlan, session_plans
from programming.queries import scheduled_sessions_visible_to
from scoring import queries
from scoring.api.filters import ReviewFilter
from scoring.queries import (
    counting_attempts,
    holding_prescriptions,
    prescriptions_by_id,
    prescriptions_visible_to,
    reviews_visible_to,
)
from services.problems import NotFound
from services.tenancy.actor import Actor


def narrowed(kind: type[FilterSet], rows: QuerySet[Any], /, **asked: object) -> QuerySet[Any]:
    """The list as the interface filters it, by its own parameters."""
    told = {
        name: str(value).lower() if isinstance(value, bool) else str(value) for name, value in asked.items()
    }
    filters = kind(data=told, queryset=rows)
    if not filters.is_valid():
        raise ValueError(f"{kind.__name__}: {filters.errors}")
    found: QuerySet[Any] = filters.qs
    return found


def shown(kind: type[Serializer], rows: Collection[Any], names: Collection[str]) -> list[Mapping[str, Any]]:
    """What the interface answers of the rows, of these fields alone: working out the others is most of the work."""
    serializer: Any = kind(rows, many=True)
    for name in serializer.child.fields.keys() - set(names):
        del serializer.child.fields[name]
    told: list[Mapping[str, Any]] = serializer.data
    return told


def found_or_404(rows: QuerySet[Any], identifier: UUID, field: str = "pk") -> Any:
    """Raises NotFound, also for what is there but not for this reader."""
    row: Model | None = rows.filter(**{field: identifier}).first()
    if row is None:
        raise NotFound()
    return row


def sessions_between(actor: Actor, first: Any, last: Any) -> list[Any]:
    """By local date, both included, earliest first, cancelled ones too (one query)."""
    rows = narrowed(SessionFilter, scheduled_sessions_visible_to(actor), from_date=first, until_date=last)
    return list(rows.order_by("starts_at", "id"))


def titles_of(actor: Actor, sessions: Collection[UUID]) -> dict[UUID, str]:
    """By session (one query)."""
    rows: QuerySet[Any] = scheduled_sessions_visible_to(actor).filter(id__in=sessions)
    return dict(rows.values_list("id", "title"))


class Prescribed(NamedTuple):
    """A prescription as a table of a session needs it; p_all: the chance of its aim."""

    id: UUID
    athlete_id: UUID
    name: str
    feasible: bool
    content: Mapping[str, Any]
    p_all: float | None


class Sent(NamedTuple):
    """A result as a table of a session needs it."""

    id: UUID
    athlete_id: UUID
    name: str
    prescription_id: UUID | None
    effort: float | None


def current_prescriptions(actor: Actor, session: UUID) -> list[Prescribed]:
    """Those that hold now, by athlete's name (one query)."""
    return [Prescribed(*row) for row in queries.prescriptions_told(actor, sessions=[session])]


def current_results(actor: Actor, session: UUID) -> list[Sent]:
    """Each in the version that counts, by athlete's name (one query)."""
    return [Sent(*row) for row in queries.results_told(actor, sessions=[session])]


def versions_counted(actor: Actor, sessions: Collection[UUID]) -> dict[UUID, dict[bool, int]]:
    """By session how many of the prescriptions that hold now are versions, and how many say why not (one query)."""
    found: dict[UUID, dict[bool, int]] = {one: {True: 0, False: 0} for one in sessions}
    for session, feasible, count in queries.versions_counted(actor, sessions=list(sessions)):
        found[session][feasible] = count
    return found


def results_counted(actor: Actor, sessions: Collection[UUID]) -> dict[UUID, int]:
    """By session how many results count (one query)."""
    return dict(queries.results_counted(actor, sessions=list(sessions)))


def contents_of(actor: Actor, ids: Collection[UUID]) -> dict[UUID, Mapping[str, Any]]:
    """By prescription what it says (one query, none where none is asked for)."""
    return dict(prescriptions_by_id(actor, ids).values_list("id", "content")) if ids else {}


def answered(actor: Actor, sessions: Collection[UUID]) -> set[tuple[UUID, UUID]]:
    """(session, athlete) of whom something is prescribed, or said why not (one query)."""
    rows = prescriptions_visible_to(actor).filter(session__in=sessions)
    return set(rows.order_by().values_list("session_id", "athlete_id"))


def own_prescription(actor: Actor, session: UUID, athlete: UUID) -> Any:
    """The one that holds now, or None (one query)."""
    return holding_prescriptions(actor, [session]).select_related("athlete").filter(athlete=athlete).first()


def own_versions(actor: Actor, sessions: Collection[UUID], athlete: UUID) -> dict[UUID, bool]:
    """By session whether the athlete has a version; left out where there is no answer yet (one query)."""
    rows = holding_prescriptions(actor, sessions).filter(athlete=athlete)
    return dict(rows.values_list("session_id", "feasible"))


def current_attempts(actor: Actor, sessions: Collection[UUID]) -> QuerySet[Any]:
    """The version of each result that counts."""
    return counting_attempts(actor, sessions)


def open_reviews(actor: Actor) -> QuerySet[Any]:
    """What somebody has to look at, newest first."""
    return narrowed(ReviewFilter, reviews_visible_to(actor), open=True).order_by("-created_at", "-id")


def reviews_counted(actor: Actor) -> dict[UUID, int]:
    """By session how many of its results somebody has to look at (one query)."""
    return dict(queries.open_reviews_counted(actor))


def plans_of(rows: Collection[Any]) -> dict[UUID, SessionPlan]:
    """By session, what its prescriptions speak about (three queries, none for no rows)."""
    return session_plans({row.session_id for row in rows}) if rows else {}
