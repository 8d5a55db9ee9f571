"""What the recompute will prescribe after a check set, told to whoever stands there with the bar.

It is worked out before the set is stored, in a savepoint that is taken back: nobody waits for the athlete's row
meanwhile, and prescriptions are issued by the recompute only. The steps are the recompute's own and the rows are the
same, where nothing else waits to be worked out; where something does, or comes in between, no version is named.
"""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django.db import connection, transaction

from scoring.actions.check_sets import try_check_set
from scoring.actions.learning import learn_from_rows
from scoring.actions.prescriptions import issue_prescriptions
from scoring.check_advice import asking_content, settles
from scoring.checked import Checked
from scoring.models import CheckSet, Prescription
from scoring.turns import has_turn_after_check
from services.changes.queries import mark_of
from services.problems import DomainError
from services.tenancy.actor import Actor

logger = logging.getLogger(__name__)

PATIENCE: Final = "200ms"
"""How long to wait for a row that a recompute of this athlete holds: less than after which a deadlock is looked for,
so that a recompute is never ended for this answer (ours)."""


@dataclass(frozen=True)
class Foreseen:
    """content: of the next prescription, or of the one that stands where it says the same; None where it cannot be
    told. version: of the athlete's change when it was worked out.
    """

    content: Mapping[str, Any] | None
    version: int = 0


NOTHING: Final = Foreseen(None)


def foresee(
    *,
    actor: Actor,
    prescription: Prescription,
    checked: Checked,
    now: dt.datetime,
    client_id: str | None = None,
) -> Foreseen:
    """What will be prescribed when this check set is stored; for `still_follows`, once it is.

    Nothing where the set settles nothing, where an earlier write of the athlete is still to be worked out (a result
    without a score), where the set is refused, and where it is nobody's turn; all of which loses no set.
    """
    mark = mark_of(kind="athlete", subject=prescription.athlete_id)
    shown = (checked.work, checked.amount, checked.rir, checked.ended_by)
    if mark.is_due or not settles(asking_content(prescription, checked.replaces), *shown):
        return NOTHING
    if client_id is not None and CheckSet.objects.filter(client_id=client_id).exists():
        return Foreseen(_newest(prescription), mark.version)
    return Foreseen(_content_after(actor, prescription, checked, now), mark.version)


def still_follows(
    foreseen: Foreseen, prescription: Prescription, *, stored: bool
) -> Mapping[str, Any] | None:
    """The content that was foreseen, unless something of the athlete was written besides the set itself (one query).

    Asked after the set is stored, in its transaction. stored: now, and not by an earlier request.
    """
    if foreseen.content is None:
        return None
    version = mark_of(kind="athlete", subject=prescription.athlete_id).version
    return foreseen.content if version == foreseen.version + stored else None


def _content_after(
    actor: Actor, prescription: Prescription, checked: Checked, now: dt.datetime
) -> Mapping[str, Any] | None:
    """None without a turn. A calculation that fails is logged, and fails again in the recompute, where somebody is
    told; what is refused is refused again, with what to do, when the set is to be stored.
    """
    content = None
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SELECT set_config('lock_timeout', %s, true)", [PATIENCE])
            try_check_set(actor=actor, prescription=prescription, checked=checked, now=now)
            if has_turn_after_check():
                learn_from_rows(athlete_id=prescription.athlete_id, now=now)
                issue_prescriptions(
                    athlete_id=prescription.athlete_id, now=now, only={prescription.session_id}
                )
                content = _newest(prescription)
            transaction.set_rollback(True)
    except DomainError:
        return None
    except Exception:
        logger.exception("What follows from a check set could not be told at once.")
        return None
    return content


def _newest(prescription: Prescription) -> Mapping[str, Any]:
    rows = Prescription.objects.filter(athlete=prescription.athlete_id, session=prescription.session_id)
    content: Mapping[str, Any] = rows.order_by("-number").values_list("content", flat=True)[0]
    return content
