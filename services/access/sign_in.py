"""Signing in with an address, a password and, where one is set up, a second factor: one door for the interface and
the pages, so that they lock together.

Nothing here is to be called in a request-wide transaction: a failure must leave its mark. Only a sign-in that is
complete clears the failures, so a right password buys nobody more tries at the code.
"""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import UUID

from axes.handlers.proxy import AxesProxyHandler
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.db import transaction
from django.http import HttpRequest

from services.access import second_factor
from services.access.errors import SecondFactorNeeded, SecondFactorRefused, SignInLocked, SignInRefused
from services.tenancy.context import person as person_scope
from services.tenancy.context import setting
from services.tenancy.models import Person


def sign_in(
    request: HttpRequest, *, email: str, password: str, code: str, now: dt.datetime
) -> tuple[Person, bool]:
    """(whose address and password these are, whether with a second factor).

    Raises SignInRefused, SecondFactorNeeded, SecondFactorRefused, SignInLocked, CodesClosed.
    """
    person = by_password(request, email=email, password=password)
    with_factor = second_factor.is_on(person.pk)
    if with_factor:
        if not code:
            raise SecondFactorNeeded()
        by_code(request, person, code, now)
    complete(request, person)
    return person, with_factor


def by_password(request: HttpRequest, *, email: str, password: str) -> Person:
    """The first step. Raises SignInRefused, SignInLocked."""
    email = email.lower()
    with transaction.atomic(), setting("app.email", email):
        person = authenticate(request=request, email=email, password=password)
    if isinstance(person, Person):
        return person
    _refuse_locked(request, email)
    raise SignInRefused()


def by_code(request: HttpRequest, person: Person, code: str, now: dt.datetime) -> None:
    """The second step: a wrong code counts like a wrong password.

    Raises SecondFactorRefused, SignInLocked, CodesClosed.
    """
    _refuse_locked(request, person.email)
    if second_factor.accept(person.pk, code, now):
        return
    _failed(request, person)
    raise SecondFactorRefused()


def confirm(request: HttpRequest, person: Person, code: str, token: Any, now: dt.datetime) -> list[str]:
    """The first code of a set-up; a wrong one counts like a wrong password, and none is looked at while it is locked.

    The recovery codes. Raises SecondFactorRefused, SignInLocked, FactorIsOn, FactorIsOff.
    """
    _refuse_locked(request, person.email)
    codes = second_factor.confirm(person, code, token, now)
    if codes is None:
        _failed(request, person)
        raise SecondFactorRefused()
    return codes


def person_again(person_id: UUID) -> Person | None:
    """Somebody who has taken the first step; None where they may not sign in any more."""
    with transaction.atomic(), person_scope(person_id):
        return Person.objects.filter(id=person_id, is_active=True).first()


def complete(request: HttpRequest, person: Person) -> None:
    """Clear the failures of this address, and note the time."""
    with transaction.atomic(), setting("app.email", person.email), person_scope(person.pk):
        user_logged_in.send(sender=Person, request=request, user=person)


def _failed(request: HttpRequest, person: Person) -> None:
    """Note a wrong code. Raises SignInLocked where that was one too many."""
    with transaction.atomic():
        user_login_failed.send(sender=__name__, credentials={"email": person.email}, request=request)
    _refuse_locked(request, person.email)


def _refuse_locked(request: HttpRequest, email: str) -> None:
    with transaction.atomic():
        locked = AxesProxyHandler.is_locked(request, {"email": email})
    if locked:
        wait = int(settings.AXES_COOLOFF_TIME.total_seconds())
        raise SignInLocked(headers={"Retry-After": str(wait)})
