"""What athlete and staff say to each other about a result."""

from __future__ import annotations

from django.db import transaction

from athletes.actions.support import insert_once
from scoring.actions.floor import require_floor
from scoring.models import Attempt, AttemptNote
from services.tenancy.actor import Actor


@transaction.atomic
def add_note(
    *, actor: Actor, attempt: Attempt, text: str, client_id: str | None = None
) -> tuple[AttemptNote, bool]:
    """Store a note; (note, was stored now). The same `client_id` with the same words is the same note."""
    require_floor(actor, attempt.athlete, attempt.session)
    note = AttemptNote(
        org_id=actor.org_id, attempt=attempt, author_id=actor.person_id, text=text, client_id=client_id
    )
    return insert_once(note, same=("attempt_id", "author_id", "text"))
