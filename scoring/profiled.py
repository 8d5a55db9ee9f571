"""The profile of a session for one athlete, from the plan of a prescription or the sets of a result. No writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from athletes.calc.available import available_before
from athletes.queries import mass_histories
from programming.calc.revision import HOLD, REPETITIONS, UNITS
from programming.plans import SessionPlan, VariationEntry, session_plan
from scoring.calc.energy import energy_kcal
from scoring.calc.forecast import BlockForecast
from scoring.calc.profile import PROFILE_VERSION, Profile, ProfiledSet, profile_of, quarrel
from scoring.calc.spread import Spread
from scoring.frozen import frozen_forecast
from scoring.known_now import multiplier_known, states_known
from scoring.logged import logged_sets
from scoring.models import Attempt, Prescription
from scoring.observed import Logged
from scoring.profile_words import ENERGY_NOTE, sentence_of
from scoring.tiring import placed_session

PLAN, LOG = "plan", "log"
CYCLICAL_UNITS: Final = frozenset({"distance_m", "energy_kcal"})


@dataclass(frozen=True)
class Told:
    """A profile as it is told; block None: of the whole session. label: the coach's; differs: from what it trains."""

    block: str | None
    profile: Profile
    label: str
    differs: bool | None
    sentence: str


@dataclass(frozen=True)
class Energy:
    """A rough range [kcal]; None with its reason."""

    from_kcal: float | None
    to_kcal: float | None
    reason: str | None
    note: str


@dataclass(frozen=True)
class SetShare:
    """Of one logged set, `number` from 1: units that were available before it at 10, 50 and 90 %, and what share of
    the middle was taken [%]; reason: why nobody knows.
    """

    number: int
    work: str
    unit: str
    amount: float
    available: Spread | None
    share_percent: float | None
    reason: str | None


@dataclass(frozen=True)
class SessionProfile:
    """Of one athlete in one session. counted_from: plan or log; reason: why there are no sets to profile."""

    session: UUID
    athlete: UUID
    counted_from: str
    reason: str | None
    whole: Told
    blocks: tuple[Told, ...]
    energy: Energy
    shares: tuple[SetShare, ...] = ()
    method_version: int = PROFILE_VERSION


def profile_of_prescription(given: Prescription) -> SessionProfile:
    """Of the sets that are planned; there are none where nothing is prescribed or a check set comes first."""
    plan = session_plan(given.session_id)
    forecasts = {block.key: frozen_forecast(given, plan.doc, block.key) for block in plan.doc.blocks}
    return profile_of_plan(plan, given.athlete_id, given.content, forecasts)


def profile_of_plan(
    plan: SessionPlan,
    athlete_id: UUID,
    content: Mapping[str, Any],
    forecasts: Mapping[str, BlockForecast | None],
) -> SessionProfile:
    """Of the sets in a prescription's content, with the forecasts that they come from, by block."""
    versions = {entry["work"]: entry["variation"] for entry in content.get("work", [])}
    found: dict[str, list[ProfiledSet]] = {}
    stops: dict[str, str | None] = {}
    for block in plan.doc.blocks:
        forecast = forecasts.get(block.key)
        share = 1.0 if forecast is None else forecast.share
        stops[block.key] = None if forecast is None or forecast.stops is None else forecast.stops.by
        found[block.key] = [
            _planned(entry, plan.variations.get(versions.get(entry["work"], "")), share)
            for entry in content.get("plan", [])
            if entry["block"] == block.key
        ]
    return _profile(plan, athlete_id, PLAN, found, stops, content.get("plan_reason"))


def profile_of_attempt(attempt: Attempt) -> SessionProfile:
    """Of the sets that were logged."""
    plan = session_plan(attempt.session_id)
    logged = logged_sets(attempt, plan)
    found = {
        block.key: [_done(one) for one in logged if block.index_of(one.entry.work) is not None]
        for block in plan.doc.blocks
    }
    reason = None if logged else "totals_tell_no_sets"
    counted = _profile(plan, attempt.athlete_id, LOG, found, {}, reason)
    return replace(counted, shares=tuple(_shares(attempt, logged)))


def _shares(attempt: Attempt, logged: Sequence[Logged]) -> Iterator[SetShare]:
    """By what is known of the athlete now, this result with it."""
    mass_kg = mass_histories([attempt.athlete_id])[attempt.athlete_id].on(attempt.local_date)
    placed = placed_session(logged, states_known(attempt.athlete_id), mass_kg)
    found: dict[int, list[float]] = {}
    if placed is not None:
        places, done, able = placed
        told = available_before(done, able, multiplier_known(attempt.athlete_id))
        found = dict(zip(places, told.tolist(), strict=True))
    for place, one in enumerate(logged):
        entry, levels = one.entry, found.get(place)
        spread = None if levels is None else Spread(*(round(level, 1) for level in levels))
        share = None if levels is None else round(100.0 * entry.amount / levels[1], 1)
        reason = None if levels is not None else "rests_not_known" if placed is None else "capacity_not_known"
        yield SetShare(place + 1, entry.work, entry.unit, entry.amount, spread, share, reason)


def _planned(entry: Mapping[str, Any], version: VariationEntry | None, share: float) -> ProfiledSet:
    unit = next(unit for unit in UNITS if entry.get(unit) is not None)
    amount = float(entry[unit])
    return ProfiledSet(
        entry["work"],
        amount,
        unit,
        _seconds(amount, unit, entry.get("duration_s"), version),
        float(entry["rest_before_s"]),
        amount / share - amount if unit == REPETITIONS and share > 0.0 else None,
        *_of(version, unit),
    )


def _done(one: Logged) -> ProfiledSet:
    entry = one.entry
    return ProfiledSet(
        entry.work,
        entry.amount,
        entry.unit,
        _seconds(entry.amount, entry.unit, entry.duration_s, one.done),
        entry.rest_before_s,
        0.0 if entry.ended_by == "failure" else entry.rir,
        *_of(one.done, entry.unit),
    )


def _seconds(amount: float, unit: str, told_s: float | None, version: VariationEntry | None) -> float | None:
    """As told; else of repetitions at the movement's usual pace, and of a hold itself."""
    if told_s is not None:
        return told_s
    if unit == HOLD:
        return amount
    return amount * version.variation.repetition_s if unit == REPETITIONS and version is not None else None


def _of(version: VariationEntry | None, unit: str) -> tuple[str, tuple[tuple[str, float], ...], bool]:
    """(pattern, muscle groups, whether the work is cyclical) of a version; of one that is gone nothing is known."""
    if version is None:
        return "unknown", (), False
    return version.movement.pattern, version.variation.muscle_groups, unit in CYCLICAL_UNITS


def _profile(
    plan: SessionPlan,
    athlete_id: UUID,
    counted_from: str,
    found: dict[str, list[ProfiledSet]],
    stops: Mapping[str, str | None],
    reason: str | None,
) -> SessionProfile:
    whole = [one for block in plan.doc.blocks for one in found[block.key]]
    told = tuple(_told(plan, key, sets, stops.get(key)) for key, sets in found.items())
    only = next(iter(stops.values()), None) if len(found) == 1 else None
    return SessionProfile(
        session=plan.session_id,
        athlete=athlete_id,
        counted_from=counted_from,
        reason=None if whole else reason or "no_sets",
        whole=_told(plan, None, whole, only),
        blocks=told,
        energy=_energy(plan, athlete_id, whole),
    )


def _told(plan: SessionPlan, block: str | None, sets: Sequence[ProfiledSet], stopped_by: str | None) -> Told:
    profile, label = profile_of(sets, stopped_by), plan.doc.quality
    differs = quarrel(label, profile)
    return Told(block, profile, label, differs, sentence_of(profile, label, differs))


def _energy(plan: SessionPlan, athlete_id: UUID, sets: Sequence[ProfiledSet]) -> Energy:
    profile = profile_of(sets)
    mass_kg = mass_histories([athlete_id])[athlete_id].on(plan.local_date)
    if mass_kg is None or profile.work_s is None or profile.rest_s is None or not profile.sets:
        reason = "body_mass_missing" if mass_kg is None else "times_not_known"
        return Energy(None, None, reason if profile.sets else "no_sets", ENERGY_NOTE)
    paced = sum(one.seconds or 0.0 for one in sets if one.paced)
    share = paced / profile.work_s if profile.work_s else 0.0
    return Energy(*energy_kcal(profile.work_s, profile.rest_s, share, mass_kg), None, ENERGY_NOTE)
