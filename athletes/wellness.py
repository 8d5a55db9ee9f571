"""What is asked, who may read the answers, and whether the latest lie outside what is usual of an athlete."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final
from uuid import UUID

import numpy as np
from django.db.models import QuerySet

from athletes.calc.own_baseline import METHOD_VERSION, MOST_ANSWERS, Flag, Limits, flag_of
from athletes.models import Athlete, WellnessAnswer, WellnessForm
from athletes.queries import athletes_visible_to
from services.problems import NotFound
from services.tenancy.actor import Actor, Role

READERS: Final = frozenset({Role.OWNER, Role.COACH, Role.ATHLETE})
"""Answers about health are for owners, coaches and the athlete, as those of a screening are."""
BETTER: Final = ("high", "low")
RECENT_DAYS: Final = 7
NOT_RECENT: Final = "no_answer_within_7_days"
METHOD: Final = (
    "weighted mean and cumulative sums of the last 7 answers, limits from the athlete's own history"
)
MEANING: Final = (
    "a question to the athlete: unusual of themselves; no diagnosis, and nothing that restrains anybody"
)
LONGEST_AGO: Final = dt.timedelta(days=2 * MOST_ANSWERS)


@dataclass(frozen=True)
class Item:
    """A question on a scale from least to most, in steps; better: which end of it is the good one."""

    key: str
    text: str
    least: float
    most: float
    step: float
    better: str

    @property
    def scale(self) -> tuple[float, float, float, str]:
        """What has to be the same for answers to be of one kind."""
        return self.least, self.most, self.step, self.better

    def holds(self, value: float) -> bool:
        """Whether the value is one of the scale."""
        steps = (value - self.least) / self.step
        return self.least <= value <= self.most and abs(steps - round(steps)) < 1e-6


@dataclass(frozen=True)
class ItemFlag:
    """An item with what its latest answers say."""

    item: Item
    answers: int
    newest_on: dt.date | None
    newest_value: float | None
    flag: Flag

    @property
    def is_unusually_bad(self) -> bool | None:
        """None where nothing is known of what is usual."""
        return None if self.flag.limits is None else self.flag.side not in (None, self.item.better)


def items_of(form: WellnessForm) -> dict[str, Item]:
    """By key, in their order."""
    return {row["key"]: Item(**row) for row in form.items}


def forms() -> QuerySet[WellnessForm]:
    return WellnessForm.objects.all()


def newest_forms() -> QuerySet[WellnessForm]:
    """Of each key the version that is asked now, by key."""
    return WellnessForm.objects.order_by("key", "-number").distinct("key")


def newest_form(key: str) -> WellnessForm:
    """Raises NotFound."""
    found = WellnessForm.objects.filter(key=key).order_by("-number").first()
    if found is None:
        raise NotFound("There is no such form.")
    return found


def answers_visible_to(actor: Actor) -> QuerySet[WellnessAnswer]:
    """None for staff of a location, who do not read answers about health."""
    rows = WellnessAnswer.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows.select_related("form", "athlete") if actor.role in READERS else rows.none()


Answered = list[tuple[dt.date, float]]
"""What was answered to one item, by day, the oldest first."""


def answered(athlete: Athlete, form: WellnessForm, first: dt.date, last: dt.date) -> dict[str, Answered]:
    """By item of the form what was answered from `first` to `last` (two queries)."""
    return answered_by([athlete.id], form, first, last)[athlete.id]


def answered_by(
    athlete_ids: Collection[UUID], form: WellnessForm, first: dt.date, last: dt.date
) -> dict[UUID, dict[str, Answered]]:
    """The same by athlete (two queries for any number).

    Answers under another version of the form count where the item had the same scale there.
    """
    scales = {
        number: {row["key"]: Item(**row).scale for row in items}
        for number, items in WellnessForm.objects.filter(key=form.key).values_list("number", "items")
    }
    asked = items_of(form)
    found: dict[UUID, dict[str, Answered]] = {id_: {key: [] for key in asked} for id_ in athlete_ids}
    rows = WellnessAnswer.objects.filter(
        athlete_id__in=athlete_ids, form_key=form.key, local_date__gte=first, local_date__lte=last
    )
    columns = rows.order_by("local_date").values_list("athlete_id", "local_date", "form__number", "answers")
    for athlete_id, day, number, answers in columns:
        for key, item in asked.items():
            if key in answers and scales[number].get(key) == item.scale:
                found[athlete_id][key].append((day, float(answers[key])))
    return found


def flags_of(
    athlete_ids: Collection[UUID], form: WellnessForm, on: dt.date, only: str | None = None
) -> dict[UUID, list[ItemFlag]]:
    """By athlete, of every item of the newest form, or of one, what the answers up to a day say (two queries for any
    number).
    """
    told = answered_by(athlete_ids, form, on - LONGEST_AGO + dt.timedelta(days=1), on)
    items = [item for key, item in items_of(form).items() if only in (None, key)]
    return {
        athlete_id: [_flag(athlete_id, form.key, item, found[item.key], on) for item in items]
        for athlete_id, found in told.items()
    }


def _flag(athlete_id: UUID, form: str, item: Item, found: Answered, on: dt.date) -> ItemFlag:
    if not found:
        return ItemFlag(item, 0, None, None, Flag(None, NOT_RECENT))
    day, value = found[-1]
    if (on - day).days >= RECENT_DAYS:
        return ItemFlag(item, len(found), day, value, Flag(None, NOT_RECENT))
    values = np.array([one for _, one in found])
    flag = flag_of(values, step=item.step, rng=_generator(athlete_id, form, item.key, values))
    return ItemFlag(item, len(found), day, value, flag)


def _generator(athlete_id: UUID, form: str, item: str, values: np.ndarray) -> np.random.Generator:
    """The same draws for the same answers, so that two looks show the same."""
    content = f"{athlete_id} {form} {item} {METHOD_VERSION} {values.tolist()}"
    return np.random.default_rng(int.from_bytes(sha256(content.encode()).digest()[:8]))


def told_flags(athlete: Athlete, form: WellnessForm, on: dt.date, only: str | None = None) -> dict[str, Any]:
    """As it is told, with how many false flags all items together, or the one, are to be expected to give."""
    found = flags_of([athlete.id], form, on, only)[athlete.id]
    limits = [one.flag.limits for one in found if one.flag.limits is not None]
    return {
        "athlete": athlete.id,
        "form": form.key,
        "form_number": form.number,
        "on": on,
        "items": [_told(one) for one in found],
        "false_flags_per_week": sum(one.false_flags_per_week for one in limits),
        "method": METHOD,
        "method_version": METHOD_VERSION,
        "meaning": MEANING,
    }


def _told(one: ItemFlag) -> dict[str, Any]:
    limits, flag = one.flag.limits, one.flag
    newest = None
    if one.newest_on is not None:
        newest = {"local_date": one.newest_on, "value": one.newest_value}
    return {
        "item": one.item.key,
        "text": one.item.text,
        "better": one.item.better,
        "answers": one.answers,
        "newest_answer": newest,
        "baseline": None if limits is None else _baseline(flag, limits),
        "baseline_reason": flag.reason,
        "side": flag.side,
        "unusually_bad": one.is_unusually_bad,
    }


def _baseline(flag: Flag, limits: Limits) -> dict[str, Any]:
    return {
        "centre": limits.centre,
        "weighted": flag.weighted,
        "lower": limits.centre - limits.weighted_limit,
        "upper": limits.centre + limits.weighted_limit,
        "sum_high": flag.sum_high,
        "sum_low": flag.sum_low,
        "sum_limit": limits.sum_limit,
        "false_flags_per_week": limits.false_flags_per_week,
    }
