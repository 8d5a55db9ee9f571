"""Writing down that somebody read what is kept of health: in the transaction of the request that reads it."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from athletes.models import Athlete, HealthRead
from services.tenancy.actor import Actor


def note_health_read(*, actor: Actor, kind: str, athlete_ids: Collection[UUID], request_id: UUID) -> None:
    """One row for each athlete but the reader, also where one request asks twice (two queries, none for nobody).

    Whatever fails here fails the request: what is not written down is not shown.
    """
    if not athlete_ids:
        return
    others = Athlete.objects.filter(id__in=athlete_ids).exclude(person_id=actor.person_id)
    rows = [
        HealthRead(
            org_id=actor.org_id,
            athlete_id=athlete_id,
            kind=kind,
            reader_id=actor.person_id,
            request_id=request_id,
        )
        for athlete_id in others.order_by("id").values_list("id", flat=True)
    ]
    HealthRead.objects.bulk_create(rows, ignore_conflicts=True)
