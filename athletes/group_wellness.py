"""What is unusual in the answers of the athletes of a group: by athlete, and by item in numbers of athletes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any, Final
from uuid import UUID

from athletes.calc.own_baseline import METHOD_VERSION
from athletes.load_told import LEAST_PEOPLE, TOO_FEW
from athletes.models import WellnessForm
from athletes.wellness import MEANING, METHOD, Item, ItemFlag, flags_of, items_of

MOST_ATHLETES: Final = 60
"""Ours: the limits of an athlete's five items take about 0.03 s, and one answer should not take the web's time."""


def group_wellness(athletes: Sequence[tuple[UUID, str]], form: WellnessForm, on: dt.date) -> dict[str, Any]:
    """Of athletes by id and name, the first of them (two queries, whatever their number)."""
    told = athletes[:MOST_ATHLETES]
    found = flags_of([athlete_id for athlete_id, _ in told], form, on)
    limits = [one.flag.limits for flags in found.values() for one in flags]
    return {
        "form": form.key,
        "form_number": form.number,
        "on": on,
        "athletes": [_of_athlete(athlete_id, name, found[athlete_id]) for athlete_id, name in told],
        "athletes_left_out": len(athletes) - len(told),
        "items": [_of_item(item, found) for item in items_of(form).values()],
        "false_flags_per_week": sum(one.false_flags_per_week for one in limits if one is not None),
        "method": METHOD,
        "method_version": METHOD_VERSION,
        "meaning": MEANING,
    }


def _of_athlete(athlete_id: UUID, name: str, flags: Sequence[ItemFlag]) -> dict[str, Any]:
    days = [one.newest_on for one in flags if one.newest_on is not None]
    return {
        "athlete": athlete_id,
        "name": name,
        "newest_answer_on": max(days, default=None),
        "items_compared": sum(one.is_unusually_bad is not None for one in flags),
        "unusually_bad": [one.item.key for one in flags if one.is_unusually_bad],
    }


def _of_item(item: Item, found: Mapping[UUID, Sequence[ItemFlag]]) -> dict[str, Any]:
    """How many of those of whom what is usual is known; of fewer than five it would tell of single people."""
    known = [
        one.is_unusually_bad
        for flags in found.values()
        for one in flags
        if one.item.key == item.key and one.is_unusually_bad is not None
    ]
    enough = len(known) >= LEAST_PEOPLE
    return {
        "item": item.key,
        "text": item.text,
        "athletes_compared": len(known),
        "unusually_bad": sum(known) if enough else None,
        "unusually_bad_reason": None if enough else TOO_FEW,
    }
