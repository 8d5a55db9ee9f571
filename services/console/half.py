"""Between the two steps of a sign-in: that a password was right is kept in the signed cookie for some minutes."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest
from django.utils.crypto import constant_time_compare

from services.access.sign_in import person_again

KEPT: Final = "half"
LIFE_S: Final = 300


@dataclass(frozen=True)
class Half:
    person: Any
    stay: bool


def note(request: HttpRequest, person: Any, *, stay: bool) -> None:
    request.session[KEPT] = {
        "person": str(person.pk),
        "stay": stay,
        "at": int(time.time()),
        "proof": person.get_session_auth_hash(),
    }


def noted(request: HttpRequest) -> Half | None:
    """Whose password was right a moment ago; None where nobody's was, or too long ago, or it was changed since."""
    kept = request.session.get(KEPT)
    if not isinstance(kept, dict) or not 0 <= time.time() - kept["at"] <= LIFE_S:
        return None
    person = person_again(UUID(kept["person"]))
    if person is None or not constant_time_compare(kept.get("proof", ""), person.get_session_auth_hash()):
        return None
    return Half(person, bool(kept["stay"]))
