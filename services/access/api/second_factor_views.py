"""One's own second factor: set up with the password, switched on by a first code, removed with both."""

from __future__ import annotations

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from services.access import second_factor
from services.access.api import serializers as s
from services.access.api.own_sign_in import OwnSignInView
from services.access.errors import (
    CodesClosed,
    FactorIsOff,
    FactorIsOn,
    SecondFactorRefused,
    SignInLocked,
    SignInRefused,
)
from services.access.sign_in import by_code, by_password, confirm
from services.api.operation import Idempotency, Operation


class SecondFactorView(OwnSignInView):
    operation = {
        "GET": Operation(id="read_second_factor", output=s.SecondFactorOutput),
        "POST": Operation(
            id="begin_second_factor",
            input=s.SecondFactorBegin,
            output=s.SecondFactorOffer,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(SignInRefused, SignInLocked, FactorIsOn),
        ),
    }
    scope = {"GET": "", "POST": ""}

    def get(self, request: Request) -> Response:
        """Whether one is set up, how many recovery codes are left, and what became of it."""
        return self.reply(second_factor.state_of(self.person.pk))

    def post(self, request: Request) -> Response:
        """Begin: the secret for a program that makes codes by time. Begun again, there is another one.

        Nothing changes at the door before a first code has come.
        """
        by_password(request._request, email=self.person.email, password=self.read_input()["password"])
        return self.reply(second_factor.offer(self.person, timezone.now()))


class ConfirmationView(OwnSignInView):
    operation = {
        "POST": Operation(
            id="confirm_second_factor",
            input=s.SecondFactorConfirm,
            output=s.RecoveryCodesOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(SecondFactorRefused, SignInLocked, FactorIsOn, FactorIsOff),
        )
    }
    scope = {"POST": ""}

    def post(self, request: Request) -> Response:
        """Switch it on by a first code; the recovery codes are answered this once.

        From now on every sign-in asks for a code. Tokens that are there go on; the one that is used here counts as
        made with the factor.
        """
        code = self.read_input()["code"]
        codes = confirm(request._request, self.person, code, request.auth, timezone.now())
        return self.reply({"recovery_codes": codes})


class RemovalView(OwnSignInView):
    operation = {
        "POST": Operation(
            id="remove_second_factor",
            input=s.SecondFactorRemove,
            status=204,
            idempotency=Idempotency.EXEMPT,
            errors=(SignInRefused, SecondFactorRefused, SignInLocked, CodesClosed, FactorIsOff),
        )
    }
    scope = {"POST": ""}

    def post(self, request: Request) -> Response:
        """Switch it off, with the password and a code. It is noted, and no token counts as made with it any more."""
        told = self.read_input()
        if not second_factor.is_on(self.person.pk):
            raise FactorIsOff()
        by_password(request._request, email=self.person.email, password=told["password"])
        by_code(request._request, self.person, told["code"], timezone.now())
        second_factor.remove(self.person.pk)
        return self.no_content()
