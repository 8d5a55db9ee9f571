"""Writing down which shares of training a coach wants."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import IntegrityError, transaction

from programming.models import Group
from scoring.models import BalanceTarget
from services.api.conditional import update_versioned
from services.problems import PreconditionFailed
from services.tenancy.actor import Actor


def put_balance_target(
    *, actor: Actor, group: Group | None, shares: Mapping[str, Mapping[str, float]], version: int | None
) -> BalanceTarget:
    """Of a group, or of the organisation; `version` is the one that was read, None when there was none.

    Raises PreconditionFailed when somebody else was faster.
    """
    if version is None:
        return _first(actor, group, shares)
    row = BalanceTarget.objects.filter(group=group).first()
    if row is None:
        raise PreconditionFailed()
    return update_versioned(row, version, shares=shares, set_by_id=actor.person_id)


def _first(actor: Actor, group: Group | None, shares: Mapping[str, Mapping[str, float]]) -> BalanceTarget:
    try:
        with transaction.atomic():
            return BalanceTarget.objects.create(
                org_id=actor.org_id, group=group, shares=shares, set_by_id=actor.person_id
            )
    except IntegrityError as error:
        if "balance_target_once" not in str(error):
            raise
        raise PreconditionFailed() from error
