"""Reads of screenings, absences, reports and holds; each starts at the athletes that the actor may see."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery

from athletes.models import (
    Absence,
    Athlete,
    HoldRelease,
    ReportReview,
    Screening,
    ScreeningVoid,
)
from athletes.queries import athletes_visible_to
from athletes.safeties import safeties
from athletes.safety import Safety
from services.tenancy.actor import Actor, Role


def screenings_visible_to(actor: Actor) -> QuerySet[Screening]:
    """With `voided_on`, the day on which something had changed."""
    voids = ScreeningVoid.objects.filter(screening=OuterRef("id")).values("local_date")[:1]
    rows = Screening.objects.filter(athlete__in=athletes_visible_to(actor)).select_related("athlete")
    return rows.annotate(voided_on=Subquery(voids))


def may_read_answers(actor: Actor, athlete: Athlete) -> bool:
    """Answers about health are for owners, coaches and the athlete; location staff see the hold that follows."""
    return actor.role != Role.LOCATION_STAFF or athlete.person_id == actor.person_id


def absences_visible_to(actor: Actor) -> QuerySet[Absence]:
    """With their answers (a second query)."""
    rows = Absence.objects.filter(athlete__in=athletes_visible_to(actor)).select_related("athlete")
    return rows.prefetch_related("answers")


def reports_visible_to(actor: Actor) -> QuerySet[ReportReview]:
    """Reports, each through its review."""
    rows = ReportReview.objects.filter(report__athlete__in=athletes_visible_to(actor))
    return rows.select_related("report__athlete", "recipient__person")


def releases_visible_to(actor: Actor) -> QuerySet[HoldRelease]:
    return HoldRelease.objects.filter(athlete__in=athletes_visible_to(actor))


@dataclass(frozen=True)
class Held:
    """Who is held today, and what of each athlete's safety is shown."""

    athletes: QuerySet[Athlete]
    safety: Mapping[UUID, Safety]


def held_visible_to(actor: Actor, today: dt.date) -> Held:
    """Active athletes with a hold on the day (three queries and that of the rows, however many athletes)."""
    ids = list(athletes_visible_to(actor).filter(is_active=True).values_list("id", flat=True))
    found = {athlete: safety for athlete, safety in safeties(ids, today).items() if safety.hold is not None}
    return Held(athletes_visible_to(actor).filter(id__in=list(found)), found)
