"""What the actions on the floor have in common: who may, and until when."""

from __future__ import annotations

import datetime as dt
from typing import Final

from athletes.errors import NotYourLocation
from athletes.models import Athlete
from programming.models import ScheduledSession
from scoring.errors import ResultStored, SessionOver
from scoring.models import Attempt
from services.problems import Forbidden
from services.tenancy.actor import Actor, Role

AFTER_START: Final = dt.timedelta(hours=12)
"""How long after its start a session is still prescribed for. Ours: check sets and changes come when the class has
begun, and who trains alone may do it later that day."""


def require_floor(actor: Actor, athlete: Athlete, session: ScheduledSession) -> None:
    """Raise unless the actor is this athlete, a coach, or staff of where the athlete trains or of the session."""
    if actor.role == Role.ATHLETE and athlete.person_id != actor.person_id:
        raise Forbidden()
    if actor.role == Role.LOCATION_STAFF:
        places = {athlete.location_id, session.location_id}
        if not places & actor.location_ids:
            raise NotYourLocation()


def require_open(athlete: Athlete, session: ScheduledSession, now: dt.datetime) -> None:
    """Raise SessionOver or ResultStored when nothing would be prescribed any more (one query)."""
    if session.cancelled_at is not None or now > session.starts_at + AFTER_START:
        raise SessionOver()
    if Attempt.objects.filter(session=session, athlete=athlete).exists():
        raise ResultStored()
