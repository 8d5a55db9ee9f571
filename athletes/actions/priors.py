"""Numbered snapshots of what is taken to be true of people in each movement, and their nightly refit."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final
from uuid import UUID

import numpy as np
from django.db import transaction

from athletes.actions.support import require_org
from athletes.calc.borrowing import told_from
from athletes.calc.curve_pooling import CurveFit
from athletes.calc.pooling import Fit, Member, pooled
from athletes.capacities import CURVE, FIT, Person
from athletes.catalogue import movement_priors, movement_traits
from athletes.curve_sights import curve_in
from athletes.models import Athlete, BodyMass, Capacity, PriorSnapshot
from athletes.queries import newest_prior
from programming.calc.arrays import FloatArray
from programming.calc.catalogue import LOAD_REPETITION
from services.changes.actions import LOW_PRIORITY, record_changes
from services.tenancy.locks import wait_for
from services.tenancy.models import Organisation

NO_CURVES: Final[Mapping[str, CurveFit]] = {}


def take_prior_snapshot(*, org: Organisation) -> PriorSnapshot:
    """Freeze the priors of the organisation's movements under the next number (from 1).

    The newest snapshot itself when nothing has changed since. Inside the tenant.
    """
    return _take(org.id)


def prior_covering(movement_ids: Collection[UUID]) -> PriorSnapshot:
    """The newest snapshot, or a new one when a movement was added to the catalogue, or got a prior, since."""
    newest = newest_prior()
    if newest is not None and all(newest.document["movements"].get(str(one)) for one in movement_ids):
        return newest
    return _take(require_org())


def refit_priors(curves: Mapping[str, CurveFit] = NO_CURVES) -> bool:
    """Let the organisation's own athletes move its priors; whether a new snapshot was taken.

    curves: newly told of movements (athletes.curve_sights), by the priors of the newest snapshot. A movement without
    enough athletes, or whose fit moved by less than the tolerance (athletes.calc.pooling), keeps what it has. After a
    new snapshot every athlete is computed again, when nothing else waits. Inside the tenant; running it twice is
    running it once. Six queries, and three to write.
    """
    with transaction.atomic():
        _lock(require_org())
        newest = newest_prior()
        if newest is None:
            return False
        movements = newest.document["movements"]
        moved = {key: {FIT: asdict(fit)} for key, fit in _moved(movements, _members()).items()}
        for key, curve in curves.items():
            if movements.get(key) is not None and curve.moved_from(curve_in(movements[key])):
                moved[key] = moved.get(key, {}) | {CURVE: asdict(curve)}
        if not moved:
            return False
        fitted = movements | {key: movements[key] | found for key, found in moved.items()}
        _add(require_org(), newest, newest.document | {"movements": fitted})
        athletes = Athlete.objects.values_list("id", flat=True)
        record_changes(kind="athlete", subjects=athletes, priority=LOW_PRIORITY)
    return True


@dataclass(frozen=True)
class _Weighed:
    """A member, and whether the body mass is known."""

    member: Member
    weighed: bool


_STATE = ("state__weight", "state__mean", "state__var", "state__start")


def _members() -> dict[UUID, list[_Weighed]]:
    """What each athlete's stored capacities say beside their priors, by movement (three queries)."""
    people = {
        athlete: Person(sex, born_on)
        for athlete, sex, born_on in Athlete.objects.values_list("id", "sex", "born_on")
    }
    weighed = set(BodyMass.objects.values_list("athlete_id", flat=True).distinct())
    found: dict[UUID, list[_Weighed]] = defaultdict(list)
    rows = Capacity.objects.filter(state__start__isnull=False).order_by("movement_id", "athlete_id")
    columns = ("movement_id", "athlete_id", "as_of", *_STATE)
    for movement, athlete, as_of, weight, mean, var, start in rows.values_list(*columns).iterator():
        if start is None:  # stored as JSON null: of the method before
            continue
        member = _member(people[athlete], as_of, (np.array(weight), np.array(mean), np.array(var)), start)
        if member is not None:
            found[movement].append(_Weighed(member, athlete in weighed))
    return found


def _member(
    person: Person, day: dt.date, parts: tuple[FloatArray, FloatArray, FloatArray], start: list[float]
) -> Member | None:
    expected, prior_mean, prior_sd = start
    told = told_from(*parts, (expected, prior_mean, prior_sd))
    if told is None:
        return None
    y = prior_mean + prior_sd * told.z - expected
    return Member(y, prior_sd**2 * told.error, person.sex, person.age_on(day))


def _moved(movements: Mapping[str, Any], members: Mapping[UUID, list[_Weighed]]) -> dict[str, Fit]:
    """New fits by movement, of those that moved."""
    found = {}
    for movement, people in sorted(members.items()):
        document = movements.get(str(movement))
        if document is None or document.get("kind", LOAD_REPETITION) != LOAD_REPETITION:
            continue
        before = Fit(**document[FIT]) if FIT in document else None
        relative = (
            document.get("l10_per_body_mass") is not None
        )  # then only whoever was weighed says anything
        told = [one.member for one in people if one.weighed or not relative]
        fit = pooled(told, document["l10_sd"])
        if fit is not None and fit.moved_from(before):
            found[str(movement)] = fit
    return found


def _take(org_id: UUID) -> PriorSnapshot:
    with transaction.atomic():
        _lock(org_id)
        newest = newest_prior()
        before = {} if newest is None else newest.document["movements"]
        document = {
            "movements": {
                str(movement): _with_fit(prior, before.get(str(movement)))
                for movement, prior in movement_priors().items()
            },
            "traits": {str(movement): traits for movement, traits in movement_traits().items()},
        }
        if newest is not None and newest.document == document:
            return newest
        return _add(org_id, newest, document)


def _with_fit(prior: Mapping[str, Any] | None, before: Mapping[str, Any] | None) -> Mapping[str, Any] | None:
    """A fit holds on while the prior that it was made against stays the same."""
    if prior is None or before is None or not {FIT, CURVE} & before.keys():
        return prior
    kept = {name: value for name, value in before.items() if name not in (FIT, CURVE)}
    return before if kept == dict(prior) else prior


def _lock(org_id: UUID) -> None:
    """Two at once would ask for one number."""
    wait_for(f"{org_id}/prior")


def _add(org_id: UUID, newest: PriorSnapshot | None, document: Mapping[str, Any]) -> PriorSnapshot:
    number = 1 if newest is None else newest.number + 1
    return PriorSnapshot.objects.create(org_id=org_id, number=number, document=document)
