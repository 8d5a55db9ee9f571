"""An athlete's own day beside the programme: training that was no session of it, and days without any."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Final
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone

from athletes.actions.support import local_date
from athletes.api.load_views import RestDaysView, RestDayView, TrainingLogsView, TrainingLogView
from athletes.calc.load import EFFORT_QUESTION, EFFORT_WORDS
from athletes.loads import MODALITIES, rest_days_visible_to, training_logs_visible_to
from programming.calc.difference_words import plain
from services.api.query import day_in
from services.api.views import OrganisationView
from services.console import answers
from services.console.my_body import Body
from services.console.my_fields import Choices, moment, number, typed
from services.console.my_log import Filled
from services.console.my_page import MyPage
from services.console.my_send import Answer, ask, refusal
from services.console.words import day_said, short_day
from services.problems import BadRequest, Invalid

DAY: Final = dt.timedelta(days=1)
SHOWN_DAYS: Final = 14
"""How far back what was logged is listed."""
MOST: Final = 50
NOT_CHOSEN: Final = ("", "choose")
KINDS: Final[Choices] = [NOT_CHOSEN, *((one, plain(one)) for one in MODALITIES)]
EFFORTS: Final[Choices] = [NOT_CHOSEN, *((str(n), f"{n}: {words}") for n, words in enumerate(EFFORT_WORDS))]
WHAT_TO_DO: Final = {
    "client_id_reused": (
        "This had arrived before you changed it, and is stored as it was. Look below; if it is wrong, remove it and"
        " log it anew."
    ),
    "idempotency_key_reused": (
        "This had arrived before you changed it, and is stored as it was. Look below; if it is wrong, remove it and"
        " log it anew."
    ),
    "precondition_failed": "It was changed from elsewhere meanwhile. Look at how it is now, and decide again.",
    "invalid_input": "Put right what is marked below, and send it again.",
}
"""By problem code, for somebody with a telephone in the hand."""


@dataclass(frozen=True)
class Logged:
    """Training that is stored, in words, and what its removal is asked with."""

    id: UUID
    version: int
    told: str
    note: str


class OneDayPage(MyPage):
    """About one day, today unless another one is asked for."""

    home: ClassVar[str]
    """Route of the page that is shown, also after something else was sent."""
    day: dt.date
    today: dt.date

    def enter(self, **kwargs: Any) -> None:
        super().enter(**kwargs)
        self.today = local_date(timezone.now(), self.athlete.zone)
        sent = {**self.request.GET.dict(), **self.request.POST.dict()}.get("day")
        day = self._known(str(sent)) if sent else self.today
        if day is None and self.request.method == "POST":
            raise BadRequest("Nothing was stored: it was sent for no day up to today. Open the day anew.")
        self.day = day or self.today

    def _known(self, sent: str) -> dt.date | None:
        """None for what is no day, and for a day to come: a page that is only looked at then is of today."""
        try:
            day = day_in({"day": sent}, "day")
        except Invalid:
            return None
        return day if day is not None and day <= self.today else None

    def about_the_day(self) -> dict[str, Any]:
        """What every page of a day shows of it."""
        return {
            "here": self.address(self.home),
            "day": self.day,
            "day_said": day_said(self.day),
            "is_today": self.day == self.today,
            "before": (self.day - DAY).isoformat(),
            "after": (self.day + DAY).isoformat() if self.day < self.today else "",
            "person": self.member.person_id,
            "worker_address": self.address("my-worker"),
            "list_address": self.address("my-sessions"),
            "stored": self.request.GET.get("stored", ""),
        }


class TrainingDayPage(OneDayPage):
    """What there is to say of a day: a log, rest, and what was logged of late."""

    home = "my-day"

    shows: ClassVar[tuple[type[OrganisationView], ...]] = (*MyPage.shows, RestDaysView, TrainingLogsView)

    def back(self, stored: str) -> HttpResponse:
        """To the page that shows what is stored now."""
        address = f"{self.address('my-day')}?day={self.day}&stored={stored}#stored"
        return HttpResponseRedirect(address, status=303)

    def page(self, filled: Filled | None = None, refused: Answer | None = None) -> HttpResponse:
        filled = filled or Filled()
        rest: Any = rest_days_visible_to(self.member).filter(athlete=self.athlete, local_date=self.day)
        return self.show(
            "console/my_day.html",
            status=200 if refused is None else refused.status,
            **self.about_the_day(),
            refused=None if refused is None else refusal(refused.told, WHAT_TO_DO),
            general=filled.errors.get("", ""),
            first_wrong=next((name for name in filled.errors if name), ""),
            rest=rest.first(),
            logged=self._logged(),
            key=(filled.typed or {}).get("key") or str(uuid4()),
            typed_before=filled.typed is not None,
            fields=self._fields(filled),
            since=SHOWN_DAYS,
        )

    def _fields(self, filled: Filled) -> list[Any]:
        now = timezone.now().astimezone(ZoneInfo(self.athlete.zone))
        begun = f"{self.day}T{now:%H:%M}"
        return [
            filled.field("modality", "What did you do?", kind="choice", choices=KINDS),
            filled.field("minutes", "How many minutes, all of it?"),
            filled.field("effort", EFFORT_QUESTION, kind="choice", choices=EFFORTS),
            filled.field("begun", "Begun", begun, kind="moment", after=self.athlete.zone),
            filled.field("note", "Notes", kind="long"),
        ]

    def _logged(self) -> list[Logged]:
        rows: Any = training_logs_visible_to(self.member).filter(athlete=self.athlete)
        rows = rows.filter(local_date__gt=self.day - SHOWN_DAYS * DAY, local_date__lte=self.day)
        return [
            Logged(
                row.id,
                row.version,
                f"{short_day(row.local_date)}: {plain(row.modality)}, {row.minutes:g} min, effort {row.effort:g}",
                row.note,
            )
            for row in rows.order_by("-started_at", "-id")[:MOST]
        ]


class MyDayPage(TrainingDayPage):
    does: ClassVar[Mapping[str, type[OrganisationView]]] = {"POST": TrainingLogsView}

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self.page()

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        values = {name: str(value) for name, value in request.POST.items()}
        body = _body(values, self.athlete.zone)
        path = reverse("training-logs", args=[organisation, self.athlete.id])
        answer = ask(request, path, body.sent, typed(values, "key"))
        if answer.stored:
            return self.back("training")
        return self.page(Filled(values, body.errors(answer.told)), answer)


class MyRestPage(TrainingDayPage):
    """No training on the day: it was one of rest."""

    does: ClassVar[Mapping[str, type[OrganisationView]]] = {"POST": RestDaysView}
    http_method_names = ["post"]

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        path = reverse("rest-days", args=[organisation, self.athlete.id])
        answer = ask(request, path, {"local_date": self.day.isoformat()}, str(uuid4()))
        return self.back("rest") if answer.stored else self.page(refused=answer)


class MyRestBackPage(TrainingDayPage):
    """It was none after all, or nobody knows."""

    does: ClassVar[Mapping[str, type[OrganisationView]]] = {"DELETE": RestDayView}
    http_method_names = ["post"]

    def post(self, request: HttpRequest, organisation: UUID, rest_day: UUID) -> HttpResponse:
        rows: Any = rest_days_visible_to(self.member).filter(athlete=self.athlete)
        row = answers.found_or_404(rows, rest_day)
        self.day = row.local_date
        path = reverse("rest-day", args=[organisation, self.athlete.id, row.id])
        answer = ask(request, path, None, method="DELETE")
        return self.back("back") if answer.stored else self.page(refused=answer)


class MyTrainingBackPage(TrainingDayPage):
    """What was logged by mistake goes."""

    does: ClassVar[Mapping[str, type[OrganisationView]]] = {"DELETE": TrainingLogView}
    http_method_names = ["post"]

    def post(self, request: HttpRequest, organisation: UUID, training: UUID) -> HttpResponse:
        rows: Any = training_logs_visible_to(self.member).filter(athlete=self.athlete)
        row = answers.found_or_404(rows, training)
        path = reverse("training-log", args=[organisation, self.athlete.id, row.id])
        seen = f'"{row.id}-{request.POST.get("version", "")}"'
        answer = ask(request, path, None, method="DELETE", headers={"If-Match": seen})
        return self.back("removed") if answer.stored else self.page(refused=answer)


def _body(values: Mapping[str, str], zone: str) -> Body:
    """Of a training log; what was left empty is left out, and the interface says what it needs."""
    body = Body()
    for name in ("modality", "effort", "minutes"):
        body.places[f"#/{name}"] = name
        if text := typed(values, name):
            body.sent[name] = text if name == "modality" else number(text)
    body.sent |= {"started_at": moment(typed(values, "begun"), zone), "note": values.get("note", "")}
    body.places |= {"#/started_at": "begun", "#/note": "note"}
    if key := typed(values, "key"):
        body.sent["client_id"] = key
    return body
