"""Coming in and going out: the sign-in, the choice of an organisation, the sign-out."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views import View

from services.access import second_factor
from services.access.errors import (
    CodesClosed,
    PasswordTooWeak,
    SecondFactorNeeded,
    SecondFactorRefused,
    SignInLocked,
    SignInRefused,
)
from services.access.sign_in import by_code, by_password, complete
from services.console import half
from services.console.browser import begin, end
from services.console.my_send import ask
from services.console.page import SignedInPage
from services.console.sign_in_fields import code_field, password_field
from services.console.words import counted
from services.problems import DomainError
from services.tenancy.context import person as person_scope
from services.tenancy.queries import organisations_of


class SignInForm(forms.Form):
    email = forms.EmailField(
        label="E-mail address",
        widget=forms.EmailInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = password_field("Password")
    stay = forms.BooleanField(
        label="Keep me signed in on this device for 30 days (not on a shared one)", required=False
    )


class CodeForm(forms.Form):
    code = code_field(
        "Code",
        help_text="The six digits that your telephone shows now, or one of your recovery codes.",
        autofocus=True,
    )


class Refusing(View):
    """A page that somebody who is not signed in, or not wholly, is asked things on.

    Not in a request-wide transaction: what was refused must leave its mark.
    """

    http_method_names = ["get", "head", "post"]
    template: str

    def refused(self, request: HttpRequest, form: forms.Form, field: str, error: DomainError) -> HttpResponse:
        """The form once more, with what is wrong in the words of a page."""
        form.add_error(field, said(error))
        response = self.ask(request, form, status=error.status)
        if "Retry-After" in error.headers:
            response.headers["Retry-After"] = error.headers["Retry-After"]
        return response

    def ask(self, request: HttpRequest, form: forms.Form, status: int = 200) -> HttpResponse:
        context = {"form": form, "next": _next(request)}
        response = render(request, self.template, context, status=status)
        response.headers["Cache-Control"] = "private, no-store"
        return response


def said(error: DomainError) -> str:
    """What went wrong at the door, for a person."""
    if isinstance(error, SignInLocked):
        again = f"Try again in {counted(-(-int(error.headers['Retry-After']) // 60), 'minute')}"
        if isinstance(error, CodesClosed):
            known = "Whoever tried them knows your password."
            return f"Too many wrong codes in a row. {again}, or use a recovery code. {known}"
        return f"Sign-in failed too often for this address. {again}."
    if isinstance(error, SecondFactorRefused):
        return (
            "This code is wrong, or was used before. Wait for the next one, and check your telephone's clock."
        )
    if isinstance(error, SecondFactorNeeded):
        return "Your second factor is asked for here too: type a code, or a recovery code."
    if isinstance(error, PasswordTooWeak):
        return error.detail
    return "The address and the password do not belong together. " + error.remedy


class SignInPage(Refusing):
    """Address and password; whoever has a second factor is asked for its code next."""

    template = "console/sign_in.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        return self.ask(request, SignInForm(label_suffix=""))

    def post(self, request: HttpRequest) -> HttpResponse:
        form = SignInForm(request.POST, label_suffix="")
        if not form.is_valid():
            return self.ask(request, form, status=400)
        told = form.cleaned_data
        try:
            person = by_password(request, email=told["email"], password=told["password"])
            if second_factor.is_on(person.pk):
                half.note(request, person, stay=told["stay"])
                return HttpResponseRedirect(
                    f"{reverse('console:code')}?{urlencode({'next': _next(request)})}"
                )
            complete(request, person)
            begin(request, person, stay=told["stay"], with_factor=False)
        except (SignInRefused, SignInLocked) as error:
            return self.refused(request, form, "password", error)
        return HttpResponseRedirect(_next(request))


class CodePage(Refusing):
    """The second step, for some minutes after the first."""

    template = "console/code.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        if half.noted(request) is None:
            return redirect("console:sign-in")
        return self.ask(request, CodeForm(label_suffix=""))

    def post(self, request: HttpRequest) -> HttpResponse:
        noted, form = half.noted(request), CodeForm(request.POST, label_suffix="")
        if noted is None:
            return redirect("console:sign-in")
        if not form.is_valid():
            return self.ask(request, form, status=400)
        try:
            by_code(request, noted.person, form.cleaned_data["code"], timezone.now())
            complete(request, noted.person)
            begin(request, noted.person, stay=noted.stay, with_factor=True)
        except (SecondFactorRefused, SignInLocked, SignInRefused) as error:
            return self.refused(request, form, "code", error)
        return HttpResponseRedirect(_next(request))


def _next(request: HttpRequest) -> str:
    """Where the reader wanted to go, if that is one of our own addresses."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    if url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) and wanted.startswith("/"):
        return wanted
    return reverse("console:start")


class StartPage(SignedInPage):
    """Leads to the day of the one organisation; who belongs to several chooses."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest) -> HttpResponse:
        with person_scope(self.reader.person_id):
            mine = organisations_of(self.reader.person_id).order_by("name", "id")
            only = self.reader.only_org_id
            found = list(mine if only is None else mine.filter(id=only))
        if len(found) == 1 and "choose" not in request.GET:
            return redirect("console:today", found[0].id)
        return self.show("console/organisations.html", organisations=found)


class UnitsPage(SignedInPage):
    """Kilograms alone, or pounds beside them: the person's own choice, as the interface keeps it."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest) -> HttpResponse:
        answer = ask(request, reverse("units"), {"weights": request.POST.get("weights", "")}, method="PUT")
        if not answer.stored:
            told = {name: answer.told.get(name, "") for name in ("title", "detail")}
            return self.show("console/problem.html", answer.status, **told)
        return HttpResponseRedirect(_next(request), status=303)


class SignOutPage(View):
    """By a form alone, so that no link of somebody else's signs anybody out."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest, *args: Any) -> HttpResponse:
        end(request)
        response = redirect("console:sign-in")
        # What a page for a phone has kept in the browser: other people use it too.
        response.headers["Clear-Site-Data"] = '"cache", "storage"'
        return response
