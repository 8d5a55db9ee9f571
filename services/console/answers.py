"""What the interface would answer to this reader, for pages to show: its own reads, filters and serializers.

Nothing here decides what may be seen; the queries start at the actor, and the serializers name every field.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from django.db.models import Count, Model, QuerySet
from django_filters import FilterSet

from programming.api.filters import SessionFilter
from programming.plans import SessionPlan, session_plans
from programming.queries import scheduled_sessions_visible_to
from scoring.api.filters import AttemptFilter, PrescriptionFilter, ReviewFilter
from scoring.queries import attempts_visible_to, prescriptions_visible_to, reviews_visible_to
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


def current_prescriptions(actor: Actor, sessions: Collection[UUID]) -> list[Any]:
    """Those that hold now, by athlete's name, their long forecasts left where they are (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True).defer("forecast")
    return list(rows.filter(session__in=sessions).order_by("athlete__name", "id"))


def versions_counted(actor: Actor, sessions: Collection[UUID]) -> dict[UUID, dict[bool, int]]:
    """By session how many of the prescriptions that hold now are versions, and how many say why not (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True)
    told = rows.filter(session__in=sessions).order_by().values_list("session_id", "feasible")
    found: dict[UUID, dict[bool, int]] = {one: {True: 0, False: 0} for one in sessions}
    for session, feasible, count in told.annotate(rows=Count("id")):
        found[session][feasible] = count
    return found


def without_version(actor: Actor, sessions: Collection[UUID]) -> list[tuple[UUID, UUID, str]]:
    """(session, prescription, athlete's name) of those that hold now and give none, by name (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True)
    rows = rows.filter(session__in=sessions, feasible=False).order_by("athlete__name", "id")
    return list(rows.values_list("session_id", "id", "athlete__name"))


def contents_of(actor: Actor, ids: Collection[UUID]) -> dict[UUID, Mapping[str, Any]]:
    """By prescription what it says (one query)."""
    return dict(prescriptions_visible_to(actor).filter(id__in=ids).values_list("id", "content"))


def answered(actor: Actor, sessions: Collection[UUID]) -> set[tuple[UUID, UUID]]:
    """(session, athlete) of whom something is prescribed, or said why not (one query)."""
    rows = prescriptions_visible_to(actor).filter(session__in=sessions)
    return set(rows.order_by().values_list("session_id", "athlete_id"))


def own_prescription(actor: Actor, session: UUID, athlete: UUID) -> Any:
    """The one that holds now, or None (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True, athlete=athlete)
    return rows.filter(session=session).first()


def own_versions(actor: Actor, sessions: Collection[UUID], athlete: UUID) -> dict[UUID, bool]:
    """By session whether the athlete has a version; left out where there is no answer yet (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True, athlete=athlete)
    return dict(rows.filter(session__in=sessions).values_list("session_id", "feasible"))


def current_attempts(actor: Actor, sessions: Collection[UUID]) -> QuerySet[Any]:
    """The version of each result that counts."""
    rows = narrowed(AttemptFilter, attempts_visible_to(actor), current=True)
    return rows.filter(session__in=sessions)


def open_reviews(actor: Actor) -> QuerySet[Any]:
    """What somebody has to look at, newest first."""
    return narrowed(ReviewFilter, reviews_visible_to(actor), open=True).order_by("-created_at", "-id")


def counts(rows: QuerySet[Any], field: str) -> dict[UUID, int]:
    """How many rows there are of each (one query)."""
    return dict(rows.order_by().values_list(field).annotate(rows=Count("id")))


def plans_of(rows: Collection[Any]) -> dict[UUID, SessionPlan]:
    """By session, what its prescriptions speak about (three queries, none for no rows)."""
    return session_plans({row.session_id for row in rows}) if rows else {}
