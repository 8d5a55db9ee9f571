"""A browser of the tests: a signed-in client, and what every page must be whatever it shows."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.sessions.backends.signed_cookies import SessionStore
from django.db import transaction
from django.test import Client

from services.tenancy.context import person as person_scope
from tests.support.cast import Cast, Member

PASSWORD = "harbour lights at dusk"
APART = {
    "td",
    "th",
    "tr",
    "p",
    "li",
    "ul",
    "h1",
    "h2",
    "h3",
    "div",
    "section",
    "span",
    "option",
    "button",
    "legend",
    "dt",
    "dd",
}
"""Tags whose text stands apart from what is before it."""
UNLABELLED = {"hidden", "submit", "button"}


def with_password(member: Member) -> Member:
    with transaction.atomic(), person_scope(member.person.id):
        member.person.password = make_password(PASSWORD)
        member.person.save(update_fields=["password"])
    return member


def browser(member: Member | None = None, **options: Any) -> Client:
    """With the cookie of a sign-in, whose token is the member's own."""
    client = Client(**options)
    if member is not None:
        store = SessionStore()
        store["token"] = member.token
        store.save()
        client.cookies[settings.SESSION_COOKIE_NAME] = store.session_key
    return client


def page(cast: Cast, path: str) -> str:
    return f"/organisations/{cast.org.id}/{path}"


@dataclass
class Seen(HTMLParser):
    """What of a page is held against the rules for all pages."""

    text: str = ""
    links: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self._ids: list[str] = []
        self._labelled: set[str] = set()
        self._asked: list[str] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attributes}
        self.text += " " if tag in APART else ""
        if "id" in told:
            self._ids.append(told["id"])
        for name in ("href", "src", "action"):
            if name in told:
                self.links.append(told[name])
        if tag == "label" and "for" in told:
            self._labelled.add(told["for"])
        if tag in ("input", "textarea", "select") and told.get("type") not in UNLABELLED:
            self._asked.append(told.get("id", f"a {tag} without id"))
        if tag == "style" or (tag == "script" and "src" not in told) or "style" in told:
            self.faults.append(f"inline style or script: {tag}")
        if any(name.startswith("on") for name in told):
            self.faults.append(f"inline handler: {tag}")
        if tag == "th" and "scope" not in told:
            self.faults.append("a heading of a table without scope")
        self._silent += tag in ("style", "script")

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in ("style", "script")

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.text += data

    def finish(self) -> Seen:
        self.faults += [f"no label for {one}" for one in self._asked if one not in self._labelled]
        self.faults += [f"the id {one} twice" for one in set(self._ids) if self._ids.count(one) > 1]
        self.faults += [
            f"leads elsewhere: {one}" for one in self.links if not one.startswith(("/", "?", "#"))
        ]
        self.text = " ".join(self.text.split())
        return self


def looked_at(response: Any) -> Seen:
    """The page, held against the rules of every page: our own content alone, labels, one heading, size, policy."""
    content = response.content.decode()
    seen = Seen()
    seen.feed(content)
    seen.finish()
    assert seen.faults == []
    assert content.count("<h1") == 1
    assert 'lang="en"' in content and "<main" in content
    assert len(response.content) < 300_000
    policy = response.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy and "http" not in policy and "data:" not in policy
    return seen
