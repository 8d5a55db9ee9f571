"""Forms that ask how athletes are, and the answers of a day. Nobody has to answer, and nothing depends on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max

from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_long_ago,
    require_own_or_staff,
)
from athletes.errors import AlreadyAnswered
from athletes.models import Athlete, WellnessAnswer, WellnessForm
from athletes.wellness import BETTER, Item, items_of, newest_form
from services.api.conditional import delete_versioned, update_versioned
from services.problems import MOST_ERRORS, FieldProblem
from services.tenancy.actor import Actor
from services.tenancy.locks import wait_for

MOST_STEPS = 100
CONTENT = ("athlete_id", "form_id", "local_date", "answers")


def set_form(*, actor: Actor, key: str, name: str, items: Sequence[Mapping[str, Any]]) -> WellnessForm:
    """A new version of the form under this key; what was answered under earlier ones stays. Raises Invalid."""
    _check_items(items)
    with transaction.atomic():
        wait_for(f"{actor.org_id}/wellness-form/{key}")
        last = WellnessForm.objects.filter(key=key).aggregate(last=Max("number"))["last"] or 0
        return WellnessForm.objects.create(
            org_id=actor.org_id,
            key=key,
            number=last + 1,
            name=name,
            items=[dict(item) for item in items],
            set_by_id=actor.person_id,
        )


def _check_items(items: Sequence[Mapping[str, Any]]) -> None:
    problems, seen = [], set()
    for place, row in enumerate(items):
        item, at = Item(**row), f"#/items/{place}"
        if item.key in seen:
            problems.append(FieldProblem(f"{at}/key", "duplicate", "Each item needs a key of its own."))
        seen.add(item.key)
        if item.most <= item.least:
            problems.append(FieldProblem(f"{at}/most", "contradiction", "Must be more than `least`."))
        elif not item.holds(item.most) or (item.most - item.least) / item.step > MOST_STEPS:
            detail = f"From `least` to `most` there must be a whole number of steps, {MOST_STEPS} at most."
            problems.append(FieldProblem(f"{at}/step", "contradiction", detail))
        assert item.better in BETTER
    refuse(problems)


def answer_form(
    *,
    actor: Actor,
    athlete: Athlete,
    form_key: str,
    day: dt.date,
    answers: Mapping[str, Any],
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[WellnessAnswer, bool]:
    """Store what was answered on a day, any of the items; (row, was created).

    The same answers again are the same row. Raises Invalid, Forbidden, NotFound, ClientIdReused, AlreadyAnswered.
    """
    require_own_or_staff(actor, athlete)
    form = newest_form(form_key)
    told = _check_answers(form, answers)
    if day > local_date(now, athlete.zone):
        refuse([FieldProblem("#/local_date", "in_the_future", "This day is still to come.")])
    refuse_long_ago(dt.datetime.combine(day, dt.time(12), tzinfo=dt.UTC), now, athlete, "#/local_date")
    row = WellnessAnswer(
        org_id=actor.org_id,
        athlete=athlete,
        form=form,
        form_key=form.key,
        local_date=day,
        answers=told,
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )
    try:
        with transaction.atomic():
            return insert_once(row, same=CONTENT)
    except IntegrityError:
        stored = WellnessAnswer.objects.get(athlete=athlete, form_key=form.key, local_date=day)
        if stored.answers != told:
            raise AlreadyAnswered() from None
        return stored, False


def change_answers(
    *, actor: Actor, row: WellnessAnswer, expected: int, answers: Mapping[str, Any]
) -> WellnessAnswer:
    """Correct the answers of a day, all of them. Raises Invalid, Forbidden, PreconditionFailed."""
    require_own_or_staff(actor, row.athlete)
    told = _check_answers(row.form, answers)
    with transaction.atomic():
        return update_versioned(row, expected, answers=told)


def remove_answers(*, actor: Actor, row: WellnessAnswer, expected: int) -> None:
    """Take the answers of a day back. Raises Forbidden, PreconditionFailed."""
    require_own_or_staff(actor, row.athlete)
    with transaction.atomic():
        delete_versioned(row, expected)


def _check_answers(form: WellnessForm, answers: Mapping[str, Any]) -> dict[str, float]:
    """The answers as numbers. Raises Invalid for none, for unknown items, and for what is not on the scale."""
    items, problems = items_of(form), []
    if not isinstance(answers, Mapping) or not answers:
        refuse([FieldProblem("#/answers", "required", "Answer one item at least.")])
    for key in sorted(map(str, answers.keys() - items.keys()))[:MOST_ERRORS]:
        problems.append(FieldProblem(f"#/answers/{key}", "unknown_item", "The form has no such item."))
    told: dict[str, float] = {}
    for key, item in items.items():
        if key not in answers:
            continue
        value = answers[key]
        if isinstance(value, bool) or not isinstance(value, int | float) or not item.holds(float(value)):
            detail = f"Must be from {item.least:g} to {item.most:g}, in steps of {item.step:g}."
            problems.append(FieldProblem(f"#/answers/{key}", "out_of_range", detail))
        else:
            told[key] = float(value)
    refuse(problems)
    return told
