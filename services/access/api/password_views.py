"""One's own password, changed with the old one and, where a second factor is set up, a code of it."""

from __future__ import annotations

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from services.access.api import serializers as s
from services.access.api.own_sign_in import OwnSignInView
from services.access.errors import (
    CodesClosed,
    PasswordTooWeak,
    SecondFactorNeeded,
    SecondFactorRefused,
    SignInLocked,
    SignInRefused,
)
from services.access.own_password import change_password
from services.api.operation import Idempotency, Operation


class PasswordView(OwnSignInView):
    operation = {
        "POST": Operation(
            id="change_password",
            input=s.PasswordChange,
            status=204,
            idempotency=Idempotency.EXEMPT,
            errors=(
                SignInRefused,
                SignInLocked,
                PasswordTooWeak,
                SecondFactorNeeded,
                SecondFactorRefused,
                CodesClosed,
            ),
        )
    }
    scope = {"POST": ""}

    def post(self, request: Request) -> Response:
        """Change it, with the old one; whoever has set up a second factor sends a code of it as well.

        All other tokens of the person end, those of browsers too; the one that is used here goes on.
        """
        told = self.read_input()
        change_password(
            request._request,
            self.person,
            request.auth,
            old=told["password"],
            new=told["new_password"],
            code=told.get("second_factor") or "",
            now=timezone.now(),
        )
        return self.no_content()
