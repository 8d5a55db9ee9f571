"""What an athlete answers of how they are on a day; nobody has to, and any of the questions may stay empty."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID, uuid4

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse

from athletes.api.wellness_views import WellnessAnswersView, WellnessAnswerView, WellnessFormsView
from athletes.wellness import Item, answers_visible_to, items_of, newest_forms
from services.console import answers
from services.console.my_body import Body
from services.console.my_day import WHAT_TO_DO, OneDayPage
from services.console.my_fields import Choices, Field, number, typed
from services.console.my_log import Filled
from services.console.my_page import MyPage
from services.console.my_send import Answer, ask, refusal
from services.problems import NotFound

NOT_ANSWERED: Final = ("", "no answer")
ITEM: Final = "item-"


@dataclass(frozen=True)
class Asked:
    """A form with its fields; version: of what is stored for the day, "" where nothing is."""

    key: str
    name: str
    fields: Sequence[Field]
    answer: str
    version: str
    send_key: str
    general: str
    typed_before: bool


class MyWellnessPage(OneDayPage):
    shows = (*MyPage.shows, WellnessFormsView, WellnessAnswersView)
    home = "my-wellness"
    does = {"POST": WellnessAnswersView, "PATCH": WellnessAnswerView, "DELETE": WellnessAnswerView}

    def get(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        return self.page()

    def post(self, request: HttpRequest, organisation: UUID) -> HttpResponse:
        """A first answer is sent, another one changed, and one that was emptied taken back."""
        values = {name: str(value) for name, value in request.POST.items()}
        body = _body(values, self.day.isoformat())
        answer = self._sent(values, body)
        form = typed(values, "form")
        if answer.stored:
            address = f"{self.address('my-wellness')}?day={self.day}&stored={form}#stored"
            return HttpResponseRedirect(address, status=303)
        return self.page(form, Filled(values, body.errors(answer.told)), answer)

    def _sent(self, values: Mapping[str, str], body: Body) -> Answer:
        org, athlete = self.member.org_id, self.athlete.id
        if not (named := typed(values, "answer")):
            path = reverse("wellness-answers", args=[org, athlete])
            return ask(self.request, path, body.sent, typed(values, "key"))
        rows: Any = answers_visible_to(self.member).filter(athlete=self.athlete)
        row = answers.found_or_404(rows, _identifier(named))
        path = reverse("wellness-answer", args=[org, athlete, row.id])
        told, tag = body.sent["answers"], f'"{row.id}-{typed(values, "version")}"'
        if not told:
            return ask(self.request, path, None, method="DELETE", headers={"If-Match": tag})
        return ask(self.request, path, {"answers": told}, method="PATCH", headers={"If-Match": tag})

    def page(
        self, form: str = "", filled: Filled | None = None, refused: Answer | None = None
    ) -> HttpResponse:
        stored: Any = answers_visible_to(self.member).filter(athlete=self.athlete, local_date=self.day)
        by_form = {row.form_key: row for row in stored}
        nothing = Filled()
        return self.show(
            "console/my_wellness.html",
            status=200 if refused is None else refused.status,
            **self.about_the_day(),
            refused=None if refused is None else refusal(refused.told, WHAT_TO_DO),
            asked=[
                _asked(one, by_form.get(one.key), filled if filled and one.key == form else nothing)
                for one in newest_forms()
            ],
        )


def _identifier(text: str) -> UUID:
    """Raises NotFound."""
    try:
        return UUID(text)
    except ValueError:
        raise NotFound() from None


def _asked(form: Any, row: Any, filled: Filled) -> Asked:
    """What was answered under an earlier version of the form is corrected by its questions."""
    items = items_of(form if row is None else row.form)
    told = {} if row is None else row.answers
    kept = filled.typed or {}
    return Asked(
        key=form.key,
        name=form.name,
        fields=[
            filled.field(
                f"{ITEM}{form.key}-{item.key}",
                item.text,
                _said(told.get(item.key)),
                kind="choice",
                choices=choices_of(item),
            )
            for item in items.values()
        ],
        answer=kept.get("answer", "" if row is None else str(row.id)),
        version=kept.get("version", "" if row is None else str(row.version)),
        send_key=kept.get("key") or str(uuid4()),
        general=filled.errors.get("", ""),
        typed_before=filled.typed is not None,
    )


def choices_of(item: Item) -> Choices:
    """Every step of the scale; which end is the good one stands at it."""
    steps = round((item.most - item.least) / item.step)
    values = [item.least + number * item.step for number in range(steps + 1)]
    good = item.most if item.better == "high" else item.least
    said = [f"{value:g}" for value in values]
    return [
        NOT_ANSWERED,
        *((one, f"{one}, the good end" if one == f"{good:g}" else one) for one in said),
    ]


def _said(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _body(values: Mapping[str, str], day: str) -> Body:
    body, form = Body(), typed(values, "form")
    told: dict[str, Any] = {}
    begins = f"{ITEM}{form}-"
    for name in values:
        if name.startswith(begins):
            key = name.removeprefix(begins)
            body.places[f"#/answers/{key}"] = name
            if text := typed(values, name):
                told[key] = number(text)
    body.sent = {"form": form, "local_date": day, "answers": told}
    if key := typed(values, "key"):
        body.sent["client_id"] = key
    return body
