"""What an organisation's athletes have shown of the curves of movements, gathered for the nightly refit. No writes.

Only a few movements a night: a curve takes seconds to fit, and it changes slowly. Whoever was away for long is left
out, since how much that took is another thing that the sights would have to tell.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Count

from athletes.actions.observations import SPENT_FIELDS
from athletes.calc.capacity import Work
from athletes.calc.curve_pooling import FEWEST_PEOPLE, CurveFit, Sights, pooled_curve
from athletes.capacities import CURVE, Person, SeenRow, prior_of, usable
from athletes.capacity_inputs import telling_work
from athletes.catalogue import versions
from athletes.models import AbsenceAnswer, Athlete, Observation
from athletes.performed import Settings
from athletes.queries import mass_histories, newest_prior
from programming.calc.catalogue import LOAD_REPETITION
from programming.calc.variation import REPETITIONS

MOST_CURVES: Final = 3
"""Movements a night: some ten seconds of a processor. Ours."""
GROWN: Final = 1.25
"""So many times the sights of the last fit make another worth while."""
MOST_ATHLETES: Final = 1_000
"""Whose sights of a movement are read: several times as many as are fitted."""


def curve_in(document: Mapping[str, Any]) -> CurveFit | None:
    """The curve that a snapshot's prior of a movement holds."""
    return CurveFit(**document[CURVE]) if CURVE in document else None


@dataclass(frozen=True)
class ToFit:
    """What athletes have shown of a movement; stored: all of its sights, also of those who are left out, by which it
    is told when there are enough new ones.
    """

    people: list[Sights]
    stored: int


def sights_to_fit(night: dt.date) -> dict[str, ToFit]:
    """What athletes have shown of the movements whose turn it is, by their ids; nothing without a snapshot.

    Those with enough athletes, and with more sights than at the last fit, in turns by the date. Inside the tenant;
    two queries, and six for each movement.
    """
    newest = newest_prior()
    if newest is None:
        return {}
    movements = newest.document["movements"]
    due = [
        (movement, stored) for movement, stored in _counted() if _is_due(movements.get(str(movement)), stored)
    ]
    first = night.toordinal() * MOST_CURVES % len(due) if due else 0
    turn = (due[first:] + due[:first])[:MOST_CURVES]
    return {
        str(movement): ToFit(_sights(movement, movements[str(movement)]), stored) for movement, stored in turn
    }


def fitted_curves(sights: Mapping[str, ToFit]) -> dict[str, CurveFit]:
    """The curves that they tell: no database, some seconds each."""
    found = {movement: pooled_curve(one.people, one.stored) for movement, one in sights.items()}
    return {movement: curve for movement, curve in found.items() if curve is not None}


def _counted() -> list[tuple[UUID, int]]:
    """Movements with enough athletes, and the sights of each (one query)."""
    rows = Observation.objects.filter(unit=REPETITIONS).values("movement_id")
    counted = rows.annotate(athletes=Count("athlete_id", distinct=True), sights=Count("id"))
    enough = counted.filter(athletes__gte=FEWEST_PEOPLE).order_by("movement_id")
    return [(row["movement_id"], row["sights"]) for row in enough]


def _is_due(document: Mapping[str, Any] | None, sights: int) -> bool:
    if document is None or document.get("kind", LOAD_REPETITION) != LOAD_REPETITION:
        return False
    before = curve_in(document)
    return before is None or sights >= GROWN * before.sights


_COLUMNS: Final = (
    "athlete_id", "movement_id", "variation_version_id", "local_date", "kind", "load_kg", "assistance_kg",
    "height_cm", "repetitions", "rir", "weight", "hour", *SPENT_FIELDS,
)  # fmt: skip


def _sights(movement: UUID, document: Mapping[str, Any]) -> list[Sights]:
    """Of a movement, of each athlete (six queries)."""
    rows = _rows(movement)
    people = {
        id_: Person(sex, born_on)
        for id_, sex, born_on in Athlete.objects.filter(id__in=rows).values_list("id", "sex", "born_on")
    }
    masses, work = mass_histories(list(rows)), _work(movement, rows)
    # Strength as it is expected of each, the curve as the catalogue has it: the fit begins there anew.
    catalogue = {name: value for name, value in document.items() if name != CURVE}
    known = versions({row.variation_version_id for listed in rows.values() for row in listed})
    found = []
    for athlete, listed in sorted(rows.items()):
        seen = usable(listed, known, masses[athlete], people[athlete].sex)
        if seen:
            first = dt.date.fromordinal(min(one.day for one in seen))
            prior = prior_of(catalogue, masses[athlete].on(first), people[athlete], first)
            found.append(Sights(prior, seen, work.get(athlete, ())))
    return found


def _rows(movement: UUID) -> dict[UUID, list[SeenRow]]:
    """By athlete, without those who were away (two queries)."""
    away = set(AbsenceAnswer.objects.filter(trained=False).values_list("athlete_id", flat=True))
    told = Observation.objects.filter(movement_id=movement, unit=REPETITIONS).order_by("athlete_id", "id")
    rows: dict[UUID, list[SeenRow]] = defaultdict(list)
    for athlete, of, version, day, kind, *adjusted in told.values_list(*_COLUMNS).iterator():
        if athlete in away:
            continue
        if athlete not in rows and len(rows) >= MOST_ATHLETES:
            break
        load, assistance, height, done, rir, weight, hour, least, usual, most = adjusted
        settings = Settings(load, assistance, height)
        spent = None if usual is None else (least, usual, most)
        rows[athlete].append(SeenRow(of, version, day, kind, settings, done, rir, weight, hour, spent))
    return rows


def _work(movement: UUID, athletes: Iterable[UUID]) -> dict[UUID, list[Work]]:
    """What sessions held of the movement, by athlete (one query)."""
    rows = telling_work().filter(movement_id=movement, athlete_id__in=athletes)
    found: dict[UUID, list[Work]] = defaultdict(list)
    for athlete, day, hour, done, failed in rows.values_list(
        "athlete_id", "local_date", "hour", "repetitions", "failure_repetitions"
    ):
        found[athlete].append(Work(day.toordinal(), done, min(failed, done), hour))
    return found
