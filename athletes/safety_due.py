"""Whom time alone makes due for a recompute: a screening has expired, or two weeks were silent before a session.

What a prescription says of safety holds for its session's date, so most of this is known when it is issued; this
finds what was not: who has to be asked now, and who was not looked at since the screening expired.
"""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from django.db.models import DateTimeField, Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Cast

from athletes.actions.late_logs import SILENCE
from athletes.calc.absence import SILENT_DAYS
from athletes.models import Absence, AbsenceAnswer, Athlete, Screening, WorkDone
from athletes.participation import sessions_with
from services.changes.models import Change


def athletes_due_for_safety(now: dt.datetime, until: dt.datetime) -> list[UUID]:
    """Active athletes with a session in [now, until] who are due, nobody once recomputed (two queries)."""
    active = Athlete.objects.filter(is_active=True)
    return sorted({*_expired(active, now, until), *_silent(active, now, until)})


def _coming(now: dt.datetime, until: dt.datetime) -> QuerySet:
    rows = sessions_with(athlete=OuterRef("id"), location=OuterRef("location"))
    return rows.filter(starts_at__gte=now, starts_at__lte=until).order_by("starts_at")


def _expired(active: QuerySet[Athlete], now: dt.datetime, until: dt.datetime) -> list[UUID]:
    """With a newest screening that has expired since the athlete was last recomputed."""
    newest = Screening.objects.filter(athlete=OuterRef("id")).order_by("-created_at", "-id")
    seen = Change.objects.filter(kind="athlete", subject=OuterRef("id")).filter(
        Q(version__gt=F("done")) | Q(done_at__gte=Cast(OuterRef("_expires_on"), DateTimeField()))
    )
    rows = active.annotate(_expires_on=Subquery(newest.values("expires_on")[:1]))
    due = rows.filter(~Exists(seen), Exists(_coming(now, until)), _expires_on__lte=now.date())
    return list(due.values_list("id", flat=True))


def _silent(active: QuerySet[Athlete], now: dt.datetime, until: dt.datetime) -> list[UUID]:
    """With two weeks between the last training and the next session, about which nobody was asked or has spoken."""
    last = WorkDone.objects.filter(athlete=OuterRef("id"), local_date__lte=now.date()).order_by("-local_date")
    rows = active.annotate(
        _next=Subquery(_coming(now, until).values("local_date")[:1]),
        _last=Subquery(last.values("local_date")[:1]),
    )
    asked = Absence.objects.filter(athlete=OuterRef("id"), origin=SILENCE, from_date__gt=OuterRef("_last"))
    told = AbsenceAnswer.objects.filter(athlete=OuterRef("id"), trained=False, to_date__gt=OuterRef("_last"))
    due = rows.filter(~Exists(asked), ~Exists(told), _next__gte=F("_last") + dt.timedelta(days=SILENT_DAYS))
    return list(due.values_list("id", flat=True))
