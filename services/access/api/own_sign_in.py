"""What the routes of one's own sign-in share: its password, its second factor."""

from __future__ import annotations

from typing import Any, cast

from django.db import transaction
from rest_framework.request import Request

from services.api.views import PersonView
from services.tenancy.models import Person


class OwnSignInView(PersonView):
    """Outside of a request-wide transaction, and so outside of the person's scope: each step enters its own."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        with transaction.atomic():
            super().initial(request, *args, **kwargs)

    def authorise(self, request: Request) -> None:
        super().authorise(request)
        self.scope_stack.close()

    @property
    def person(self) -> Person:
        user: Any = self.request.user
        return cast(Person, user)
