"""Who of a group changed for real in one movement since a date. No writes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from athletes.models import Athlete
from athletes.progress import NEVER_OBSERVED, Asked, Change, change_of
from athletes.progress_courses import Told, told_of
from athletes.progress_rows import Material, materials_of

IMPROVED, NEITHER, DECLINED, UNSURE, UNKNOWN = "improved", "neither", "declined", "unsure", "unknown"
VERDICTS: Final = (IMPROVED, NEITHER, DECLINED, UNSURE, UNKNOWN)
FEWEST_POINTS: Final = 2
CLEAR: Final = 0.8
"""From this probability on a verdict is told (ours): as sure as the intervals beside it."""
SMALL_CELL: Final = 5
"""Fewer people than this are single cases, of which a count says nothing about the group (ours)."""


@dataclass(frozen=True)
class Member:
    """measure and unit: the athlete's own terms; change None with its reason."""

    athlete_id: UUID
    name: str
    measure: str | None
    unit: str | None
    verdict: str
    change: Change | None
    change_reason: str | None
    method: str | None
    inputs: str | None


@dataclass(frozen=True)
class Count:
    """How many got a verdict; small: fewer than SMALL_CELL of all or in this cell, so that it tells of no group."""

    verdict: str
    athletes: int
    small: bool


@dataclass(frozen=True)
class GroupProgress:
    """Members by name."""

    members: tuple[Member, ...]
    counts: tuple[Count, ...]


def group_progress(athletes: Sequence[Athlete], asked: Asked, movement_id: UUID) -> GroupProgress:
    """Of these athletes, in their order (nine queries, however many)."""
    materials = materials_of([athlete.id for athlete in athletes], movement_id)
    members = tuple(_member(athlete, materials[athlete.id], asked) for athlete in athletes)
    return GroupProgress(members, _counts(members))


def verdict_of(change: Change | None) -> str:
    if change is None:
        return UNKNOWN
    told = ((IMPROVED, change.improved), (NEITHER, change.neither), (DECLINED, change.declined))
    return next((verdict for verdict, chance in told if chance >= CLEAR), UNSURE)


def _member(athlete: Athlete, material: Material, asked: Asked) -> Member:
    told: Told | None = None
    change: Change | None = None
    reason: str | None = NEVER_OBSERVED
    known = next(iter(material.known), None)  # one or none: a movement was asked for
    done = None if known is None else material.last_done(known.movement_id)
    if known is not None and done is not None:
        told = told_of(material, known, done, asked.since, asked.today, FEWEST_POINTS)
    if known is not None and told is not None:
        change, reason = change_of(told, known, asked)
    scale = None if told is None else told.scale
    return Member(
        athlete.id,
        athlete.name,
        None if scale is None else scale.measure,
        None if scale is None else scale.unit,
        verdict_of(change),
        change,
        reason,
        None if told is None else told.method,
        None if told is None else told.inputs,
    )


def _counts(members: Sequence[Member]) -> tuple[Count, ...]:
    found = Counter(member.verdict for member in members)
    return tuple(Count(verdict, found[verdict], found[verdict] < SMALL_CELL) for verdict in VERDICTS)
