"""Pain or a sign of an emergency, reported from one's own session; what to do is said before anything is sent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse

from athletes.actions.reports import PAIN, RED_FLAG
from athletes.api.report_views import AthleteReportsView
from athletes.safety_words import SEVERITY, SIDES, SIGNS, SITES
from programming.calc.difference_words import plain
from services.console.my_fields import Field, number, typed
from services.console.my_page import MyPage
from services.console.my_send import Answer, ask

NOT_SAID = ("", "not said")


def report_fields() -> Mapping[str, Field]:
    """The form of a report."""
    return {
        "kind": Field(
            "kind", "What is it?", PAIN, kind="ways", choices=[(PAIN, "Pain"), (RED_FLAG, "A warning sign")]
        ),
        "sign": Field("sign", "Which warning sign?", kind="choice", choices=[NOT_SAID, *SIGNS.items()]),
        "site": Field("site", "Where does it hurt?", kind="choice", choices=[NOT_SAID, *_said(SITES)]),
        "side": Field("side", "On which side?", kind="choice", choices=[NOT_SAID, *_said(SIDES)]),
        "severity": Field("severity", "How strong is the pain, 0 to 10?", after=SEVERITY),
        "report-note": Field("report-note", "What happened?", kind="long"),
    }


def _said(words: Any) -> list[tuple[str, str]]:
    return [(word, plain(word)) for word in words]


class MyReportPage(MyPage):
    """Sent by the form on the page of a session; a report of any form is taken."""

    shows = MyPage.shows
    does = {"POST": AthleteReportsView}
    http_method_names = ["post"]

    def post(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        one = self.my_session(session)
        values = {name: str(value) for name, value in request.POST.items()}
        path = reverse("athlete-reports", args=[organisation, self.athlete.id])
        answer = ask(request, path, _body(values, one.id), values.get("key", ""))
        told = _told(answer)
        if request.headers.get("Accept") == "application/json":
            return JsonResponse({**told, "stored": answer.stored}, status=answer.status)
        return self.show(
            "console/my_reported.html",
            status=200 if answer.stored else answer.status,
            stored=answer.stored,
            back=self.address("my-session", one.id),
            **told,
        )


def _body(values: Mapping[str, str], session: UUID) -> dict[str, Any]:
    kind = typed(values, "kind") or PAIN
    body: dict[str, Any] = {"kind": kind, "session": str(session), "note": typed(values, "report-note")}
    asked = ("sign",) if kind == RED_FLAG else ("site", "side")
    body |= {name: text for name in asked if (text := typed(values, name))}
    if kind == PAIN and (text := typed(values, "severity")):
        body["severity"] = number(text)
    if key := typed(values, "key"):
        body["client_id"] = key
    return body


def _told(answer: Answer) -> dict[str, Any]:
    """What to do now, in the order in which it matters."""
    if not answer.stored:
        return {"lines": [answer.told.get("title", ""), answer.told.get("detail", "")]}
    emergency, hold = answer.told.get("emergency"), answer.told.get("hold")
    lines = [f"In an emergency, {emergency['number']}: {emergency['text']}"] if emergency else []
    lines += answer.told.get("advice") or []
    if hold:
        lines.append(hold["safe_alternative"])
        lines.append(f"Nothing more is prescribed until it is released by {hold['released_by']}.")
    recipient = answer.told.get("recipient")
    if recipient:
        lines.append(f"{recipient['name']} is told.")
    return {"lines": lines}
