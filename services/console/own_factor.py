"""One's own sign-in: the password, and the second factor, which is set up with the password and a first code and
removed with both; recovery codes are shown once.

What the interface does under /me/password and /me/second-factor; the picture of the secret is drawn here, so that it
goes nowhere.
"""

from __future__ import annotations

from typing import Any, Final

import segno
from django import forms
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views import View

from services.access import second_factor
from services.access.errors import CodesClosed, PasswordTooWeak, SecondFactorNeeded, SecondFactorRefused
from services.access.own_password import change_password
from services.access.sign_in import by_code, by_password, confirm
from services.console.browser import SignedIn, signed_in
from services.console.doors import said
from services.console.page import to_sign_in
from services.console.sign_in_fields import code_field, password_field
from services.console.words import short_day
from services.problems import DomainError

EVENTS: Final = {
    "set_up": "set up",
    "recovery_code_used": "a recovery code was used",
    "codes_closed": "too many wrong codes in a row: whoever tried them knows your password",
    "removed": "removed",
    "password_changed": "the password was changed, and whoever else was signed in is out",
}


ANY_CODE: Final = "A code, or one of the recovery codes"


class BeginForm(forms.Form):
    password = password_field("Your password")


class ConfirmForm(forms.Form):
    code = code_field("The six digits that it shows", inputmode="numeric")


class RemoveForm(forms.Form):
    password = password_field("Your password")
    code = code_field(ANY_CODE)


class PasswordForm(forms.Form):
    password = password_field("Your password until now")
    new = password_field("The new one, of 12 characters at least", is_new=True)
    code = code_field(ANY_CODE, required=False)


FORMS: Final[dict[str, type[forms.Form]]] = {
    "begin": BeginForm,
    "confirm": ConfirmForm,
    "remove": RemoveForm,
    "password": PasswordForm,
}


class OwnFactorPage(View):
    """Not in a request-wide transaction: a wrong password or code must leave its mark."""

    http_method_names = ["get", "head", "post"]
    reader: SignedIn

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        with transaction.atomic():
            reader = signed_in(request)
        if reader is None:
            return to_sign_in(request)
        self.reader = reader
        response = super().dispatch(request, *args, **kwargs)
        response.headers["Cache-Control"] = "private, no-store"
        return response

    def get(self, request: HttpRequest) -> HttpResponse:
        return self._page()

    def post(self, request: HttpRequest) -> HttpResponse:
        step = request.POST.get("step", "")
        if step not in FORMS:
            return self._page(status=400)
        form = FORMS[step](request.POST, label_suffix="", auto_id=f"{step}-%s")
        if not form.is_valid():
            return self._page({step: form}, status=400)
        try:
            codes = getattr(self, f"_{step}")(form.cleaned_data)
        except DomainError as error:
            form.add_error(_beside(error, form), error.remedy if error.status == 409 else said(error))
            response = self._page({step: form}, status=error.status)
            if "Retry-After" in error.headers:
                response.headers["Retry-After"] = error.headers["Retry-After"]
            return response
        return self._page(codes=codes, changed=step == "password")

    def _begin(self, told: dict[str, Any]) -> None:
        by_password(self.request, email=self.reader.person.email, password=told["password"])
        second_factor.offer(self.reader.person, timezone.now())

    def _confirm(self, told: dict[str, Any]) -> list[str]:
        return confirm(self.request, self.reader.person, told["code"], self.reader.token, timezone.now())

    def _remove(self, told: dict[str, Any]) -> None:
        by_password(self.request, email=self.reader.person.email, password=told["password"])
        by_code(self.request, self.reader.person, told["code"], timezone.now())
        second_factor.remove(self.reader.person_id)

    def _password(self, told: dict[str, Any]) -> None:
        change_password(
            self.request,
            self.reader.person,
            self.reader.token,
            old=told["password"],
            new=told["new"],
            code=told["code"],
            now=timezone.now(),
        )

    def _page(
        self,
        wrong: dict[str, forms.Form] | None = None,
        *,
        codes: list[str] | None = None,
        changed: bool = False,
        status: int = 200,
    ) -> HttpResponse:
        """codes: the recovery codes, this once."""
        state = second_factor.state_of(self.reader.person_id)
        waits = None if state.since else second_factor.offered(self.reader.person, timezone.now())
        shown = {name: kind(label_suffix="", auto_id=f"{name}-%s") for name, kind in FORMS.items()} | (
            wrong or {}
        )
        context = {
            "reader_name": self.reader.name,
            "reader_id": self.reader.person_id,
            "since": None if state.since is None else short_day(state.since.date()),
            "codes_left": state.codes_left,
            "codes": codes,
            "changed": changed,
            "events": [(short_day(one.created_at.date()), EVENTS[one.what]) for one in state.events],
            "secret": None if waits is None else _in_groups(waits.secret),
            "picture": None if waits is None else drawn(waits.address),
            "forms": shown,
            "wanted": "wanted" in self.request.GET and codes is None,
        }
        return render(self.request, "console/own_factor.html", context, status=status)


def _beside(error: DomainError, form: forms.Form) -> str:
    """The field that an answer stands beside."""
    if isinstance(error, SecondFactorRefused | SecondFactorNeeded | CodesClosed):
        return "code"
    return "new" if isinstance(error, PasswordTooWeak) else next(iter(form.fields))


def drawn(address: str) -> SafeString:
    """A QR code as SVG: black squares, and nothing of the address as text."""
    svg: str = segno.make(address, error="m").svg_inline(omitsize=True, border=4, light="#fff")
    return mark_safe(svg)


def _in_groups(secret: str) -> str:
    return " ".join(secret[at : at + 4] for at in range(0, len(secret), 4))
