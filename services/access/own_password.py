"""Changing one's own password: with the old one and, where it is set up, a code; whoever else is signed in is out."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest

from services.access import second_factor
from services.access.errors import PasswordTooWeak, SecondFactorNeeded, SignInRefused
from services.access.models import ApiToken, FactorEvent
from services.access.sign_in import by_code, by_password
from services.tenancy.context import person as person_scope
from services.tenancy.models import Person


def change_password(
    request: HttpRequest, person: Person, token: Any, *, old: str, new: str, code: str, now: dt.datetime
) -> None:
    """All tokens end but the one that it is done with: somebody may know the old password, and have made some.

    Not to be called in a request-wide transaction: a wrong password or code must leave its mark. Of two at once with
    the same old password the second is refused: what it knew is the old password no more.
    Raises SignInRefused, SignInLocked, PasswordTooWeak, SecondFactorNeeded, SecondFactorRefused, CodesClosed.
    """
    proven = by_password(request, email=person.email, password=old)
    refuse_weak(new, person)
    if second_factor.is_on(person.pk):  # asked last: a code is good once, and a weak password would waste it
        if not code:
            raise SecondFactorNeeded()
        by_code(request, person, code, now)
    with transaction.atomic(), person_scope(person.pk):
        mine = Person.objects.select_for_update().get(id=person.pk)
        if mine.password != proven.password:
            raise SignInRefused()
        mine.set_password(new)
        mine.save(update_fields=["password"])
        ApiToken.objects.filter(user_id=person.pk).exclude(pk=token.pk).delete()
        FactorEvent.objects.create(person_id=person.pk, what="password_changed")


def refuse_weak(password: str, person: Person) -> None:
    """Raises PasswordTooWeak with what is wrong with it."""
    try:
        validate_password(password, user=person)
    except ValidationError as error:
        raise PasswordTooWeak(" ".join(error.messages)) from error
