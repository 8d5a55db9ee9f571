"""Signing in with an address and a password: one door for the interface and the pages, so that they lock together."""

from __future__ import annotations

from axes.handlers.proxy import AxesProxyHandler
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in
from django.db import transaction
from django.http import HttpRequest

from services.access.errors import SignInLocked, SignInRefused
from services.tenancy.context import person as person_scope
from services.tenancy.context import setting
from services.tenancy.models import Person


def sign_in(request: HttpRequest, *, email: str, password: str) -> Person:
    """Whose address and password these are. Raises SignInRefused, SignInLocked.

    Not to be called in a request-wide transaction: a failure must leave its mark.
    """
    email = email.lower()
    with transaction.atomic(), setting("app.email", email):
        person = authenticate(request=request, email=email, password=password)
        if isinstance(person, Person):
            with person_scope(person.pk):
                # Clears the failures of this address, and notes the time.
                user_logged_in.send(sender=Person, request=request, user=person)
            return person
    with transaction.atomic():
        if AxesProxyHandler.is_locked(request, {"email": email}):
            wait = int(settings.AXES_COOLOFF_TIME.total_seconds())
            raise SignInLocked(headers={"Retry-After": str(wait)})
    raise SignInRefused()
