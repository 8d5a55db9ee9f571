"""The base of every page: who asks, in which organisation, and what the page may show.

    SignedInPage          any signed-in person
    └── OrganisationPage  a member, inside the tenant

An OrganisationPage names the views of the interface whose answers it shows (`shows`), and for each thing that it does
the view and method that do the same (`does`). Whoever may call all of them may open it: a page is open to nobody to
whom the interface is closed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any, ClassVar
from urllib.parse import urlencode
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views import View

from athletes.actions.health_reads import note_health_read
from services.api.errors import SecondFactorRequired
from services.api.operation import Access
from services.api.views import OrganisationView
from services.console.browser import SignedIn, signed_in
from services.console.errors import problem_page
from services.console.pounds import page_beside
from services.problems import DomainError, Forbidden, NotFound
from services.tenancy.actor import STAFF, Actor
from services.tenancy.context import person as person_scope
from services.tenancy.context import tenant
from services.tenancy.queries import actor_for, organisations_of

ROLES = {
    "owner": "owner",
    "coach": "coach",
    "location_staff": "staff of a location",
    "athlete": "athlete",
}


@dataclass(frozen=True)
class Place:
    """An entry of the line that leads through the pages."""

    title: str
    address: str
    here: bool


class SignedInPage(View):
    """A page of the signed-in person; without a sign-in it leads to one, and back afterwards."""

    reader: SignedIn
    own_weights: ClassVar[bool] = False
    """Whether the page writes weights in the reader's unit by itself."""
    http_method_names = ["get", "head", "post"]

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        reader = signed_in(request)
        if reader is None:
            return to_sign_in(request)
        self.reader = reader
        with ExitStack() as self.scope_stack:
            try:
                self.enter(**kwargs)
                response = super().dispatch(request, *args, **kwargs)
            except SecondFactorRequired:
                transaction.set_rollback(True)
                response = HttpResponseRedirect(reverse("console:second-factor") + "?wanted")
            except DomainError as error:
                transaction.set_rollback(True)
                response = problem_page(request, error, self.frame())
        # What is read here is about people's health; on a shared machine nothing of it stays behind.
        response.headers["Cache-Control"] = "private, no-store"
        return response

    def enter(self, **kwargs: Any) -> None:
        """Raise unless the person may be here, and enter the scope of the page."""

    def frame(self) -> dict[str, Any]:
        return {
            "reader_name": self.reader.name,
            "reader_id": self.reader.person_id,
            "reader_weights": self.reader.weights,
            # A form that was refused is not what somebody comes back to.
            "this_page": self.request.get_full_path() if self.request.method == "GET" else "",
        }

    def show(self, template: str, status: int = 200, **context: Any) -> HttpResponse:
        """Rendered at once: what the page reads is read inside the tenant."""
        response = render(self.request, template, {**self.frame(), **context}, status=status)
        if self.reader.weights != "kg" and not self.own_weights:
            response.content = page_beside(response.content.decode()).encode()
        return response


class OrganisationPage(SignedInPage):
    """A page below /organisations/<uuid:organisation>/; outsiders get 404, a role that may not read it 403."""

    shows: ClassVar[tuple[type[OrganisationView], ...]] = ()
    does: ClassVar[Mapping[str, type[OrganisationView]]] = {}
    """By method of the interface, what a POST to this page does."""
    place: ClassVar[str] = ""
    """Which entry of the line through the pages it stands under."""
    actor: Actor | None = None

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        if not cls.shows:
            raise TypeError(f"{cls.__qualname__} does not say what it shows")
        if hasattr(cls, "post") and not cls.does:
            raise TypeError(f"{cls.__qualname__} does not say what it does")

    @classmethod
    def accesses(cls, method: str) -> Iterator[Access]:
        """All that a reader, or whoever sends the form, must be allowed."""
        yield from (view.access["GET"] for view in cls.shows)
        if method == "POST":
            yield from (view.access[name] for name, view in cls.does.items())

    @classmethod
    def open_to(cls, actor: Actor, method: str = "GET") -> bool:
        return all(actor.role in one.roles and one.scope in actor.scopes for one in cls.accesses(method))

    @classmethod
    def is_for(cls, actor: Actor, method: str = "GET") -> bool:
        """By the role; a sign-in for everyday work may still open it to nobody."""
        return all(actor.role in one.roles for one in cls.accesses(method))

    def enter(self, **kwargs: Any) -> None:
        organisation: UUID = kwargs["organisation"]
        if self.reader.only_org_id not in (None, organisation):
            raise NotFound()
        actor = actor_for(self.reader.person_id, organisation, self.reader.scopes)
        if actor is None:
            raise NotFound()
        with person_scope(actor.person_id):
            self.organisations = list(organisations_of(actor.person_id).order_by("name", "id"))
        self.actor = actor
        if actor.wants_factor and not self.reader.with_factor:
            raise SecondFactorRequired()
        method = "POST" if self.request.method == "POST" else "GET"
        if not self.is_for(actor, method):
            raise Forbidden(f"Your role here is {ROLES[actor.role]}; this page is not for it.")
        if not self.open_to(actor, method):
            raise Forbidden(
                "A sign-in that lasts for 30 days is for everyday work. To open this page, sign out, and sign in"
                " for today alone."
            )
        self.scope_stack.enter_context(tenant(organisation))

    def frame(self) -> dict[str, Any]:
        if self.actor is None:
            return super().frame()
        org_id = self.actor.org_id
        return {
            **super().frame(),
            "organisation": next((one for one in self.organisations if one.id == org_id), None),
            "several": len(self.organisations) > 1,
            "role": ROLES[self.actor.role],
            "staff": self.actor.role in STAFF,
            "offer_factor": self.actor.role in STAFF and not self.reader.with_factor,
            "places": [
                Place(title, reverse(f"console:{name}", args=[org_id]), self.place == name)
                for title, name, page in PLACES
                if page.is_for(self.actor)
            ],
        }

    @property
    def member(self) -> Actor:
        """Who reads; `enter` has let nobody else in."""
        if self.actor is None:
            raise RuntimeError("The page has not been entered.")
        return self.actor

    def note_health(self, kind: str, athlete_ids: Collection[UUID]) -> None:
        """Of whom the page shows what is kept of health: written down as a read over the interface is."""
        request_id = self.request.request_id  # type: ignore[attr-defined]
        note_health_read(actor=self.member, kind=kind, athlete_ids=set(athlete_ids), request_id=request_id)

    def address(self, name: str, *args: Any) -> str:
        """Of a page of this organisation."""
        return reverse(f"console:{name}", args=[self.member.org_id, *args])


PLACES: list[tuple[str, str, type[OrganisationPage]]] = []
"""What the line through the pages leads to, in its order: title, name of the route, page. `urls` fills it."""


def to_sign_in(request: HttpRequest) -> HttpResponse:
    """And back afterwards to what was asked for."""
    query = f"?{urlencode({'next': request.get_full_path()})}" if request.method == "GET" else ""
    return HttpResponseRedirect(reverse("console:sign-in") + query)
