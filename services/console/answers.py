"""What the interface would answer to this reader, for pages to show: its own reads, filters and serializers.

Nothing here decides what may be seen; the queries start at the actor, and the serializers name every field.
"""

from __future__ import annotations

from collections.abc import Collection
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


def narrowed(kind: type[FilterSet], rows: QuerySet[Any], **asked: object) -> QuerySet[Any]:
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
    """Those that hold now, by athlete's name (one query)."""
    rows = narrowed(PrescriptionFilter, prescriptions_visible_to(actor), current=True)
    return list(rows.filter(session__in=sessions).order_by("athlete__name", "id"))


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
