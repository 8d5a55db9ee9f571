"""Numbered snapshots of what is taken to be true of people in each movement."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any
from uuid import UUID

from django.db import connection, transaction

from athletes.actions.support import require_org
from athletes.catalogue import movement_priors
from athletes.models import PriorSnapshot
from athletes.queries import newest_prior
from services.tenancy.models import Organisation


def take_prior_snapshot(*, org: Organisation) -> PriorSnapshot:
    """Freeze the priors of the organisation's movements under the next number (from 1).

    The newest snapshot itself when nothing has changed since. Inside the tenant.
    """
    return _take(org.id)


def prior_covering(movement_ids: Collection[UUID]) -> PriorSnapshot:
    """The newest snapshot, or a new one when a movement was added to the catalogue, or got a prior, since."""
    newest = newest_prior()
    if newest is not None and all(newest.document["movements"].get(str(one)) for one in movement_ids):
        return newest
    return _take(require_org())


def _take(org_id: UUID) -> PriorSnapshot:
    with transaction.atomic():
        with connection.cursor() as cursor:  # two at once would ask for one number
            cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [f"{org_id}/prior"])
        document: dict[str, Any] = {
            "movements": {str(movement): prior for movement, prior in movement_priors().items()}
        }
        newest = newest_prior()
        if newest is not None and newest.document == document:
            return newest
        number = 1 if newest is None else newest.number + 1
        return PriorSnapshot.objects.create(org_id=org_id, number=number, document=document)
