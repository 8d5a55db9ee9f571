"""Reads: querysets of what an actor may see, and frozen rows for the calculation.

Every function that returns a dict takes all its athletes at once and makes a fixed number of queries.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from django.db.models import Case, F, OuterRef, QuerySet, Subquery, When

from athletes.calc.multiplier import Multiplier
from athletes.calc.tempo import NOTHING_TIMED, Tempo, Tempos
from athletes.models import (
    AbsenceAnswer,
    Assessment,
    Athlete,
    BodyMass,
    Capacity,
    GroupMember,
    HoldRelease,
    Limitation,
    PriorSnapshot,
)
from athletes.performed import MassHistory, mass_history
from athletes.safeties import safeties_by_date
from athletes.safety import NO_CONCERN, Safety
from services.tenancy.actor import Actor, Role
from services.tenancy.compiled import Given, any_of, compiled
from services.tenancy.context import required_org


def athletes_visible_to(actor: Actor) -> QuerySet[Athlete]:
    """Coaches see everybody, location staff the athletes of their locations, athletes themselves."""
    rows = Athlete.objects.all()
    if actor.sees_all_athletes:
        return rows
    if actor.role == Role.LOCATION_STAFF:
        return rows.filter(location_id__in=actor.location_ids)
    return rows.filter(person_id=actor.person_id)


def active_athlete(athlete_id: UUID) -> Athlete | None:
    """None also for who is not active any more (one query)."""
    return _active.first(athlete=athlete_id)


@compiled
def _active(athlete: Given) -> QuerySet[Athlete]:
    return Athlete.objects.filter(id=athlete, is_active=True)


def body_masses_visible_to(actor: Actor) -> QuerySet[BodyMass]:
    return BodyMass.objects.filter(athlete__in=athletes_visible_to(actor))


def limitations_visible_to(actor: Actor) -> QuerySet[Limitation]:
    return Limitation.objects.filter(athlete__in=athletes_visible_to(actor))


def assessments_visible_to(actor: Actor) -> QuerySet[Assessment]:
    """With `replaced_by`, the id of the correction, and the variation."""
    later = Assessment.objects.filter(replaces=OuterRef("id")).values("id")[:1]
    rows = Assessment.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows.select_related("variation_version__variation").annotate(replaced_by=Subquery(later))


def capacities_visible_to(actor: Actor) -> QuerySet[Capacity]:
    rows = Capacity.objects.filter(athlete__in=athletes_visible_to(actor))
    return rows.select_related("movement", "prior")


def group_members_visible_to(actor: Actor) -> QuerySet[GroupMember]:
    """Those of the athletes whom the actor may know of, past and future ones too."""
    return GroupMember.objects.filter(athlete__in=athletes_visible_to(actor)).select_related("athlete")


MOST_SNAPSHOTS: Final = 64
_snapshots: dict[UUID, PriorSnapshot] = {}
"""By organisation the newest that this process has read. Rows that never change, told apart by their ids: the newest
is asked for each time, and only its long document is not sent again."""


def newest_prior() -> PriorSnapshot | None:
    """Not to be changed: whoever asks next is given the same object (one query)."""
    org_id = required_org()
    kept = _snapshots.get(org_id)
    found = _newest_prior.first(kept=None if kept is None else kept.id)
    if found is None:
        return None
    id_, number, document = found
    if kept is None or kept.id != id_:
        kept = PriorSnapshot(id=id_, org_id=org_id, number=number, document=document)
        while len(_snapshots) >= MOST_SNAPSHOTS:
            _snapshots.pop(next(iter(_snapshots)), None)
        _snapshots[org_id] = kept
    return kept


@compiled
def _newest_prior(kept: Given) -> QuerySet[PriorSnapshot, tuple[UUID, int, Any]]:
    other = Case(When(id=kept, then=None), default=F("document"))
    return (
        PriorSnapshot.objects.annotate(other=other)
        .order_by("-number")
        .values_list("id", "number", "other")[:1]
    )


def mass_histories(athlete_ids: Collection[UUID]) -> dict[UUID, MassHistory]:
    """Weighings of each athlete, an empty history for those without any (one query)."""
    found: dict[UUID, list[tuple[dt.date, float]]] = defaultdict(list)
    for athlete_id, day, mass in _weighings(athletes=list(athlete_ids)):
        found[athlete_id].append((day, mass))
    return {athlete_id: mass_history(found[athlete_id]) for athlete_id in athlete_ids}


@compiled
def _weighings(athletes: Given) -> QuerySet[BodyMass, tuple[UUID, dt.date, float]]:
    rows = BodyMass.objects.filter(athlete_id=any_of(athletes)).order_by("local_date", "measured_at", "id")
    return rows.values_list("athlete_id", "local_date", "body_mass_kg")


@dataclass(frozen=True)
class AthleteInputs:
    """What a prescription needs to know of an athlete besides capacity.

    kit is a kit document, None for the location's; hazards are those that are limited on the date; sex is
    "female", "male", or anything else where it is not given. tiring: None where no session has told it. tempo: by the
    id of the movement as text.
    """

    body_mass_kg: float | None
    kit: Mapping[str, Any] | None
    hazards: frozenset[str]
    zone: str
    trains_alone: bool
    sex: str
    safety: Safety = NO_CONCERN
    tiring: Multiplier | None = None
    tempo: Tempos = NOTHING_TIMED


def prescribing_inputs(athlete_ids: Collection[UUID], on_date: dt.date) -> dict[UUID, AthleteInputs]:
    """By athlete; unknown ids are left out (five queries)."""
    return prescribing_inputs_by_date(athlete_ids, [on_date])[on_date]


def prescribing_inputs_by_date(
    athlete_ids: Collection[UUID], dates: Collection[dt.date]
) -> dict[dt.date, dict[UUID, AthleteInputs]]:
    """By date and athlete; unknown ids are left out (five queries, whatever the number of dates)."""
    masses = mass_histories(athlete_ids)
    safety = safeties_by_date(athlete_ids, dates)
    limits, rows = _limits(athletes=list(athlete_ids)), _columns(athletes=list(athlete_ids))

    def limited(athlete_id: UUID, day: dt.date) -> frozenset[str]:
        return frozenset(
            hazard
            for whose, hazard, first, last in limits
            if whose == athlete_id and first <= day and (last is None or last >= day)
        )

    return {
        day: {
            athlete_id: AthleteInputs(
                masses[athlete_id].on(day),
                kit,
                limited(athlete_id, day),
                zone,
                alone,
                sex,
                safety[day].get(athlete_id, NO_CONCERN),
                _told_tiring(*told[:3]),
                _told_tempo(*told[3:]),
            )
            for athlete_id, kit, zone, alone, sex, *told in rows
        }
        for day in dates
    }


@compiled
def _limits(athletes: Given) -> QuerySet[Limitation, tuple[UUID, str, dt.date, dt.date | None]]:
    rows = Limitation.objects.filter(athlete_id=any_of(athletes))
    return rows.values_list("athlete_id", "hazard", "from_date", "until_date")


@compiled
def _columns(athletes: Given) -> QuerySet[Athlete, tuple[Any, ...]]:
    tiring = (f"tirings__{name}" for name in Multiplier._fields)
    rows = Athlete.objects.filter(id=any_of(athletes))
    tempo = ("tempos__mean", "tempos__log_sd", "tempos__movements")
    return rows.values_list("id", "kit", "zone", "trains_alone", "sex", *tiring, *tempo)


def _told_tiring(median: float | None, log_sd: float | None, sets: int | None) -> Multiplier | None:
    """None without a row, and where no set has told anything."""
    return Multiplier(median, log_sd, sets) if median is not None and log_sd is not None and sets else None


def _told_tempo(mean: float | None, log_sd: float | None, movements: Mapping[str, Any] | None) -> Tempos:
    """What is thought of people without a row, and where no set has told anything."""
    if mean is None or log_sd is None or not movements:
        return NOTHING_TIMED
    return Tempos({movement: Tempo(*one) for movement, one in movements.items()}, Tempo(mean, log_sd))


@dataclass(frozen=True)
class AbsentDays:
    """Days without training that people have confirmed, both included."""

    from_date: dt.date
    to_date: dt.date


def confirmed_absences(athlete_id: UUID) -> list[AbsentDays]:
    """Of one athlete, as :func:`absences_confirmed` (two queries)."""
    return absences_confirmed([athlete_id])[athlete_id]


def absences_confirmed(athlete_ids: Collection[UUID]) -> dict[UUID, list[AbsentDays]]:
    """By athlete, earliest first; without those of which somebody has said since that there was training.

    Two queries.
    """
    asked = list(athlete_ids)
    released = {cause for listed in _released(athletes=asked) for cause in listed}
    found: dict[UUID, list[AbsentDays]] = {athlete_id: [] for athlete_id in asked}
    for athlete_id, absence, first, last in _answered(athletes=asked):
        if str(absence) not in released:
            found[athlete_id].append(AbsentDays(first, last))
    return found


@compiled
def _released(athletes: Given) -> QuerySet[HoldRelease, list[str]]:
    rows = HoldRelease.objects.filter(athlete_id=any_of(athletes), code="absence_unconfirmed")
    return rows.values_list("covers", flat=True)


@compiled
def _answered(athletes: Given) -> QuerySet[AbsenceAnswer, tuple[UUID, UUID, dt.date, dt.date]]:
    rows = AbsenceAnswer.objects.filter(athlete_id=any_of(athletes), trained=False)
    ordered = rows.order_by("absence__from_date", "to_date")
    return ordered.values_list("athlete_id", "absence_id", "absence__from_date", "to_date")
