"""An athlete's own session, made for a phone in a gym: the brief, the log with its clock, and what came of it.

A form without scripts does all of it; `static/console/my_session.js` keeps what is typed through a lost connection
and sends it once. Both send the same fields, which go to the interface's route for results.
"""

from __future__ import annotations

import datetime as dt
import json
from typing import Any, Final
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.middleware.csrf import get_token
from django.urls import reverse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.api.safety_views import SafetySettingsView
from athletes.emergency import effective_settings
from programming.api.catalogue_views import VariationsView
from programming.api.template_views import RevisionView
from programming.horizon import PRESCRIBED_AHEAD
from programming.plans import SessionPlan, session_plan
from scoring.api.prescription_views import PrescriptionsView
from scoring.api.profile_views import BriefView
from scoring.api.result_views import AttemptsView, AttemptView
from scoring.brief import brief_of
from scoring.stored_content import as_current
from services.console import answers
from services.console.my_body import Body, Reader
from services.console.my_fields import Weights
from services.console.my_log import Filled, Writer
from services.console.my_page import MyPage
from services.console.my_report import report_fields
from services.console.my_send import Answer, ask, refusal
from services.console.my_stored import stored_of
from services.console.words import day_said, local_time, short_day

WHAT_TO_DO: Final = {
    "result_exists": (
        "You have sent a result of this session already, perhaps from another device. Look at the one that is"
        " stored; if it is wrong, tell your coach, who corrects it."
    ),
    "idempotency_key_reused": (
        "This log had arrived before you changed it, and is stored as it was. Look at it; if it is wrong, tell your"
        " coach, who corrects it."
    ),
    "client_id_reused": (
        "This log had arrived before you changed it, and is stored as it was. Look at it; if it is wrong, tell your"
        " coach, who corrects it."
    ),
    "nothing_prescribed": "Tell it set by set, or in all.",
    "invalid_input": "Put right what is marked below, and send it again.",
}
"""By problem code, for somebody with a telephone in the hand; else the remedy of the interface."""
FIRST: Final = ("care", "not_today", "coach")
"""Parts of the brief that come before all others."""


def by_script(request: HttpRequest) -> bool:
    return request.headers.get("Accept", "") == "application/json"


class MySessionPage(MyPage):
    shows = (
        *(*MyPage.shows, RevisionView, VariationsView, BriefView, PrescriptionsView),
        *(AttemptsView, AttemptView, SafetySettingsView),
    )
    does = {"POST": AttemptsView}
    own_weights = True
    session: Any
    plan: SessionPlan

    def get(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        self._read(session)
        return self._page(Filled())

    def post(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        self._read(session)
        values = {name: str(value) for name, value in request.POST.items()}
        self.weights = Weights("lb" if values.get("weights") == "lb" else "kg")
        body = Reader(values, self.plan, self.weights).body(self.athlete.id)
        path = reverse("attempts", args=[organisation])
        answer = ask(request, path, body.sent, values.get("key", ""))
        if by_script(request):
            return _told(answer, body)
        if answer.stored:
            return HttpResponseRedirect(f"{request.path}#stored", status=303)
        return self._page(Filled(values, body.errors(answer.told)), answer)

    def _read(self, session: UUID) -> None:
        self.session = self.my_session(session)
        self.plan = session_plan(session)
        self.given = answers.own_prescription(self.member, session, self.athlete.id)
        done = answers.current_attempts(self.member, [session]).filter(athlete=self.athlete.id)
        self.attempt = done.first()

    def _page(self, filled: Filled, refused: Answer | None = None) -> HttpResponse:
        one, now = self.session, timezone.now()
        place = effective_settings(one.location_id).emergency
        return self.show(
            "console/my_session.html",
            status=200 if refused is None else refused.status,
            session=one,
            when=f"{day_said(one.local_date)}, {local_time(one.starts_at, one.zone)}",
            opens=self._opens(now),
            parts=self._brief(),
            refused=None if refused is None else refusal(refused.told, WHAT_TO_DO),
            general=filled.errors.get("", ""),
            first_wrong=next((name for name in filled.errors if name), ""),
            emergency=place,
            report=report_fields(),
            report_address=self.address("my-report", one.id),
            worker_address=self.address("my-worker"),
            state_address=self.address("my-session-state", one.id),
            sign_in_address=f"{reverse('console:sign-in')}?next={self.request.path}",
            list_address=self.address("my-sessions"),
            person=self.member.person_id,
            weights=self.weights,
            stored_key="" if self.attempt is None else self.attempt.client_id or "from elsewhere",
            stored=None if self.attempt is None else stored_of(self.attempt, self.plan, self.weights),
            log=self._log(filled, now),
        )

    def _log(self, filled: Filled, now: dt.datetime) -> dict[str, Any] | None:
        """None where there is a result, or nothing to tell yet."""
        one = self.session
        early = self.given is None and local_date(now, one.zone) < one.local_date
        if self.attempt is not None or one.cancelled_at is not None or early:
            return None
        content = None if self.given is None else as_current(self.given.content)
        begun = min(now, one.starts_at).astimezone(ZoneInfo(one.zone))
        kept = filled.typed or {}
        blocks = Writer(self.plan, content, self.weights, filled).blocks()
        return {
            "blocks": blocks,
            "rules": json.dumps([block.rules for block in blocks]),
            "key": kept.get("key") or str(uuid4()),
            "prescription": kept.get("prescription", "" if self.given is None else str(self.given.id)),
            "begun": filled.field("begun", "Begun", f"{begun:%Y-%m-%dT%H:%M}", kind="moment", after=one.zone),
            "effort": filled.field(
                "effort", "How hard was it, 0 to 10?", after="0 rest, 10 the hardest ever"
            ),
            "minutes": filled.field(
                "minutes", "How long was all of it?", after="minutes, from the warm-up to the end, rests too"
            ),
            "note": filled.field("note", "Notes", kind="long"),
            "fits": self.given is not None and self.given.feasible,
        }

    def _brief(self) -> list[tuple[str, list[str]]]:
        """(title, lines) with what has to be known first; of no prescription the coach's own words."""
        if self.given is None:
            texts = self.plan.doc.texts
            told = [("Take care", texts.cautions), ("Why this session", texts.why), ("How", texts.how)]
            return [(title, [self.weights.said(line)]) for title, line in told if line]
        parts = brief_of(self.given, superseded_by=None).parts
        ordered = sorted(parts, key=lambda part: FIRST.index(part.key) if part.key in FIRST else len(FIRST))
        return [(one.title, [self.weights.said(line) for line in one.lines]) for one in ordered]

    def _opens(self, now: dt.datetime) -> str:
        """The day from which there is a version, where it has not come; else ""."""
        opens = self.session.starts_at - PRESCRIBED_AHEAD
        return short_day(local_date(opens, self.session.zone)) if opens > now else ""


class MySessionState(MySessionPage):
    """For the page's script: who is signed in now, a fresh mark for its forms, and whether a result is stored."""

    http_method_names = ["get"]

    def get(self, request: HttpRequest, organisation: UUID, session: UUID) -> HttpResponse:
        self._read(session)
        return JsonResponse(
            {
                "person": str(self.member.person_id),
                "mark": get_token(request),
                "stored": self.attempt is not None,
            }
        )


def _told(answer: Answer, body: Body) -> HttpResponse:
    """For the page's script: stored, or what is wrong and in which field."""
    if answer.stored:
        return JsonResponse({"stored": True}, status=answer.status)
    fields = body.errors(answer.told)
    told = {"code": answer.told.get("code", ""), **refusal(answer.told, WHAT_TO_DO)}
    response = JsonResponse({**told, "fields": fields}, status=answer.status)
    if answer.retry_after:
        response.headers["Retry-After"] = answer.retry_after
    return response
