"""Training balance of athletes over some days: planned and done against target shares. No writes."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Q

from athletes.participation import takes_part
from scoring.actions.session_work import DONE, PLANNED
from scoring.calc.balance import BALANCE_VERSION, Balance, Entry, balance_of
from scoring.models import BalanceTarget, SessionWork

OF_GROUP: Final = "group"
OF_ORGANISATION: Final = "organisation"


@dataclass(frozen=True)
class WithoutSets:
    """So many sessions of which no sets are known."""

    reason: str
    sessions: int


@dataclass(frozen=True)
class Counted:
    """Sessions of one athlete each: all that are booked, and those of them without sets, by the reason."""

    sessions: int
    without_sets: tuple[WithoutSets, ...]


@dataclass(frozen=True)
class BalanceTold:
    """target_of: group or organisation, None without a target; athletes: how many have anything booked."""

    balance: Balance
    planned: Counted
    done: Counted
    athletes: int
    target_of: str | None
    target_version: int | None
    method_version: int = BALANCE_VERSION


def balance_between(
    athlete_ids: Collection[UUID], first: dt.date, last: dt.date, target: BalanceTarget | None
) -> BalanceTold:
    """Of sessions on these days, both included: planned of those that they take part in and that are not cancelled,
    done of all with a result (one query)."""
    rows = SessionWork.objects.filter(
        Q(origin=DONE) | takes_part(),
        athlete_id__in=list(athlete_ids),
        session__local_date__range=(first, last),
    ).values_list("athlete_id", "origin", "entries", "reason")
    entries: dict[str, list[Entry]] = {PLANNED: [], DONE: []}
    reasons: dict[str, list[str]] = {PLANNED: [], DONE: []}
    people = set()
    for athlete, origin, listed, reason in rows:
        people.add(athlete)
        reasons[origin].append(reason)
        entries[origin] += [Entry(*one) for one in listed]
    return BalanceTold(
        balance_of(entries[PLANNED], entries[DONE], {} if target is None else target.shares),
        _counted(reasons[PLANNED]),
        _counted(reasons[DONE]),
        len(people),
        None if target is None else OF_ORGANISATION if target.group_id is None else OF_GROUP,
        None if target is None else target.version,
    )


def _counted(reasons: Sequence[str]) -> Counted:
    """One reason for each session, "" where there are sets."""
    without = Counter(reason for reason in reasons if reason)
    return Counted(len(reasons), tuple(WithoutSets(*one) for one in sorted(without.items())))


def target_for(group_id: UUID | None) -> BalanceTarget | None:
    """Of the group, else of the organisation (one query)."""
    rows = BalanceTarget.objects.filter(Q(group=None) | Q(group_id=group_id))
    found: Any = sorted(rows, key=lambda row: row.group_id is None)
    return found[0] if found else None


def target_at(group_id: UUID | None) -> BalanceTarget | None:
    """Of the group itself, None: of the organisation itself (one query)."""
    rows = BalanceTarget.objects.all()
    return (rows.filter(group=None) if group_id is None else rows.filter(group_id=group_id)).first()


def targets_written() -> set[UUID | None]:
    """Which groups have a target of their own; None among them: the organisation has one (one query)."""
    return set(BalanceTarget.objects.values_list("group_id", flat=True))
