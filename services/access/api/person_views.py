"""Routes outside an organisation: signing in, one's own tokens and standing, accepting an invitation."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from services.access import actions
from services.access.api import serializers as s
from services.access.errors import (
    AddressKnown,
    CodesClosed,
    InvitationNotGood,
    PasswordTooWeak,
    SecondFactorNeeded,
    SecondFactorRefused,
    SignInLocked,
    SignInRefused,
)
from services.access.models import ApiToken
from services.access.sign_in import sign_in
from services.api.operation import Idempotency, Operation
from services.api.views import PersonView, PublicView
from services.problems import Forbidden, NotFound
from services.tenancy.actor import USUAL_SCOPES
from services.tenancy.models import Membership

TOKEN_EXAMPLE = {
    "id": "0b6e5a3e-5a0f-4c52-9a55-2d4c8c1f7a10",
    "label": "Ayo's phone",
    "scopes": ["programme:read", "results:read", "results:write"],
    "organisation": None,
    "created_at": "2026-05-04T06:10:00Z",
    "expires_at": "2026-08-02T06:10:00Z",
    "renews": True,
    "last_used_at": None,
}


class SignInView(PublicView):
    """Not in a request-wide transaction: a failed sign-in must leave its mark."""

    operation = {
        "POST": Operation(
            id="sign_in",
            input=s.SignInInput,
            output=s.NewTokenOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(SignInRefused, SecondFactorNeeded, SecondFactorRefused, SignInLocked, CodesClosed),
            request_example={
                "email": "ayo@example.org",
                "password": "a long pass phrase",
                "label": "Ayo's phone",
            },
            response_example={**TOKEN_EXAMPLE, "token": "dosew_3f0c…"},
        )
    }

    def post(self, request: Request) -> Response:
        """Exchange an e-mail address and a password for a token of 90 days (renewed by use).

        Without `scopes` the token is for everyday work; ask for `admin` to change the organisation itself.
        Whoever has set up a second factor sends a code of it as well: without one, or with a wrong one, there is no
        token.
        """
        data = self.read_input()
        person, with_factor = sign_in(
            request._request,
            email=data["email"],
            password=data["password"],
            code=data.get("second_factor") or "",
            now=timezone.now(),
        )
        token, secret = actions.create_token(
            person=person,
            label=data["label"],
            scopes=data.get("scopes", USUAL_SCOPES),
            with_factor=with_factor,
        )
        token.token = secret
        return self.reply(token)


class MeView(PersonView):
    operation = {"GET": Operation(id="read_me", output=s.MeOutput)}
    scope = {"GET": ""}

    def get(self, request: Request) -> Response:
        """Who is signed in, and their role in each of their organisations."""
        person: Any = request.user
        rows = Membership.unscoped.filter(person_id=person.pk, is_active=True)
        person.organisations = list(rows.select_related("org").order_by("created_at", "id"))
        return self.reply(person)


class UnitsView(PersonView):
    operation = {
        "PUT": Operation(
            id="choose_units",
            input=s.UnitsInput,
            output=s.UnitsOutput,
            request_example={"weights": "lb"},
            response_example={"weights": "lb"},
        )
    }
    scope = {"PUT": ""}

    def put(self, request: Request) -> Response:
        """In which units the pages show weights to the person; the interface itself stays with kilograms."""
        person: Any = request.user
        return self.reply(actions.choose_units(person=person, weights=self.read_input()["weights"]))


class TokensView(PersonView):
    operation = {
        "GET": Operation(id="list_tokens", output=s.TokenOutput, paged=True, response_example=None),
        "POST": Operation(
            id="create_token",
            input=s.TokenInput,
            output=s.NewTokenOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(Forbidden, NotFound, SignInRefused),
        ),
    }
    scope = {"GET": "", "POST": ""}

    def get(self, request: Request) -> Response:
        """One's own tokens, newest first; secrets are never shown again."""
        mine = ApiToken.objects.filter(user_id=request.user.pk)
        # Not by digest, the primary key: a cursor is signed, but everybody can read it.
        return self.page(mine, order=("-created", "-handle"))

    def post(self, request: Request) -> Response:
        """Make a token for a device or program, at most as powerful as the one that asks.

        With `days` it ends after them; without, it lasts 90 days and is renewed by use, up to a year. One
        that a token of fixed life asks for does not outlive it.
        """
        data = self.read_input()
        auth: Any = request.auth
        if not set(data["scopes"]) <= set(auth.scopes):
            raise Forbidden("A token cannot give more scopes than it has.")
        only = data.get("organisation") or auth.only_org_id
        if auth.only_org_id is not None and only != auth.only_org_id:
            raise Forbidden("This token is for one organisation and cannot make one for another.")
        person: Any = request.user
        if only is not None and not _is_member(person.pk, only):
            raise NotFound("You are not a member of that organisation.")
        token, secret = actions.create_token(
            person=person,
            label=data["label"],
            scopes=data["scopes"],
            only_org=only,
            life=_life(data.get("days"), auth),
            with_factor=auth.with_factor,
        )
        token.token = secret
        return self.reply(token)


def _life(days: int | None, asking: ApiToken) -> timedelta | None:
    """Of a new token: as asked for, but no longer than what is left of a token that does not renew."""
    asked = None if days is None else timedelta(days=days)
    if asking.renews or asking.expiry is None:
        return asked
    left: timedelta = asking.expiry - timezone.now()
    return left if asked is None else min(asked, left)


def _is_member(person_id: UUID, org_id: UUID) -> bool:
    rows = Membership.unscoped.filter(person_id=person_id, org_id=org_id, is_active=True)
    return rows.exists()


class TokenView(PersonView):
    operation = {"DELETE": Operation(id="revoke_token", status=204, errors=(NotFound,))}
    scope = {"DELETE": ""}

    def delete(self, request: Request, token: UUID) -> Response:
        """Revoke a token at once."""
        gone, _ = ApiToken.objects.filter(user_id=request.user.pk, handle=token).delete()
        if not gone:
            raise NotFound()
        return self.no_content()


class AcceptInvitationView(PublicView):
    operation = {
        "POST": Operation(
            id="accept_invitation",
            input=s.AcceptInput,
            output=s.AcceptedOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(InvitationNotGood, AddressKnown, PasswordTooWeak),
        )
    }

    def post(self, request: Request) -> Response:
        """Join the organisation of an invitation as somebody new, with a password for the next sign-in.

        Whoever invited vouches for the e-mail address; no mail is sent to prove it. Somebody with that
        address already signs in and joins by `join_invitation`; no password is checked here.
        """
        return self.reply(actions.accept_invitation(**self.read_input()))


class JoinInvitationView(PersonView):
    operation = {
        "POST": Operation(
            id="join_invitation",
            input=s.JoinInput,
            output=s.AcceptedOutput,
            status=201,
            idempotency=Idempotency.EXEMPT,
            errors=(Forbidden, InvitationNotGood),
        )
    }
    scope = {"POST": ""}

    def post(self, request: Request) -> Response:
        """Join the organisation of an invitation to the address of one's own sign-in.

        A member who is invited again keeps the higher role, and their locations.
        """
        person: Any = request.user
        auth: Any = request.auth
        if auth.only_org_id is not None:
            raise Forbidden("This token is for one organisation and cannot join one.")
        return self.reply(actions.join_by_invitation(person=person, secret=self.read_input()["secret"]))
