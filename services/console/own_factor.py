"""One's own second factor: set up with the password and a first code, removed with both; recovery codes shown once.

What the interface does under /me/second-factor; the picture of the secret is drawn here, so that it goes nowhere.
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
from services.access.errors import CodesClosed, SecondFactorRefused
from services.access.sign_in import by_code, by_password, confirm
from services.console.browser import SignedIn, signed_in
from services.console.doors import said
from services.console.page import to_sign_in
from services.console.words import short_day
from services.problems import DomainError

EVENTS: Final = {
    "set_up": "set up",
    "recovery_code_used": "a recovery code was used",
    "codes_closed": "too many wrong codes in a row: whoever tried them knows your password",
    "removed": "removed",
}


def _password(label: str = "Your password") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class BeginForm(forms.Form):
    password = _password()


class ConfirmForm(forms.Form):
    code = forms.CharField(
        label="The six digits that it shows",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}),
    )


class RemoveForm(forms.Form):
    password = _password()
    code = forms.CharField(
        label="A code, or one of the recovery codes",
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code"}),
    )


FORMS: Final[dict[str, type[forms.Form]]] = {
    "begin": BeginForm,
    "confirm": ConfirmForm,
    "remove": RemoveForm,
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
        form = FORMS[step](request.POST, label_suffix="")
        if not form.is_valid():
            return self._page({step: form}, status=400)
        try:
            codes = getattr(self, f"_{step}")(form.cleaned_data)
        except DomainError as error:
            field = (
                "code" if isinstance(error, SecondFactorRefused | CodesClosed) else next(iter(form.fields))
            )
            form.add_error(field, error.remedy if error.status == 409 else said(error))
            return self._page({step: form}, status=error.status)
        return self._page(codes=codes)

    def _begin(self, told: dict[str, Any]) -> None:
        by_password(self.request, email=self.reader.person.email, password=told["password"])
        second_factor.offer(self.reader.person, timezone.now())

    def _confirm(self, told: dict[str, Any]) -> list[str]:
        return confirm(self.request, self.reader.person, told["code"], self.reader.token, timezone.now())

    def _remove(self, told: dict[str, Any]) -> None:
        by_password(self.request, email=self.reader.person.email, password=told["password"])
        by_code(self.request, self.reader.person, told["code"], timezone.now())
        second_factor.remove(self.reader.person_id)

    def _page(
        self, wrong: dict[str, forms.Form] | None = None, *, codes: list[str] | None = None, status: int = 200
    ) -> HttpResponse:
        """codes: the recovery codes, this once."""
        state = second_factor.state_of(self.reader.person_id)
        waits = None if state.since else second_factor.offered(self.reader.person, timezone.now())
        shown = {name: kind(label_suffix="") for name, kind in FORMS.items()} | (wrong or {})
        context = {
            "reader_name": self.reader.name,
            "reader_id": self.reader.person_id,
            "since": None if state.since is None else short_day(state.since.date()),
            "codes_left": state.codes_left,
            "codes": codes,
            "events": [(short_day(one.created_at.date()), EVENTS[one.what]) for one in state.events],
            "secret": None if waits is None else _in_groups(waits.secret),
            "picture": None if waits is None else drawn(waits.address),
            "forms": shown,
            "wanted": "wanted" in self.request.GET and codes is None,
        }
        return render(self.request, "console/own_factor.html", context, status=status)


def drawn(address: str) -> SafeString:
    """A QR code as SVG: black squares, and nothing of the address as text."""
    svg: str = segno.make(address, error="m").svg_inline(omitsize=True, border=4, light="#fff")
    return mark_safe(svg)


def _in_groups(secret: str) -> str:
    return " ".join(secret[at : at + 4] for at in range(0, len(secret), 4))
