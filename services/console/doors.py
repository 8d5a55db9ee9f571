"""Coming in and going out: the sign-in, the choice of an organisation, the sign-out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views import View

from services.access.errors import SignInLocked, SignInRefused
from services.access.sign_in import sign_in
from services.console.browser import begin, end
from services.console.my_send import ask
from services.console.page import SignedInPage
from services.tenancy.context import person as person_scope
from services.tenancy.queries import organisations_of


class SignInForm(forms.Form):
    email = forms.EmailField(
        label="E-mail address",
        widget=forms.EmailInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = forms.CharField(
        label="Password",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    stay = forms.BooleanField(
        label="Keep me signed in on this device for 30 days (not on a shared one)", required=False
    )


class SignInPage(View):
    """Not in a request-wide transaction: a failed sign-in must leave its mark."""

    http_method_names = ["get", "head", "post"]

    def get(self, request: HttpRequest) -> HttpResponse:
        return self._show(request, SignInForm(label_suffix=""))

    def post(self, request: HttpRequest) -> HttpResponse:
        form = SignInForm(request.POST, label_suffix="")
        if not form.is_valid():
            return self._show(request, form, status=400)
        told = form.cleaned_data
        try:
            person = sign_in(request, email=told["email"], password=told["password"])
        except SignInRefused as error:
            form.add_error("password", "The address and the password do not belong together. " + error.remedy)
            return self._show(request, form, status=401)
        except SignInLocked as error:
            minutes = -(-int(error.headers["Retry-After"]) // 60)
            form.add_error(
                "password", f"Sign-in failed too often for this address. Try again in {minutes} minutes."
            )
            response = self._show(request, form, status=429)
            response.headers["Retry-After"] = error.headers["Retry-After"]
            return response
        begin(request, person, stay=told["stay"])
        return HttpResponseRedirect(_next(request))

    def _show(self, request: HttpRequest, form: SignInForm, status: int = 200) -> HttpResponse:
        context = {"form": form, "next": _next(request)}
        response = render(request, "console/sign_in.html", context, status=status)
        response.headers["Cache-Control"] = "private, no-store"
        return response


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
