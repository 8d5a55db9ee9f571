"""The profile of a session for one athlete, from the plan of a prescription or the sets of a result. No writes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from athletes.queries import mass_histories
from programming.plans import SessionPlan, session_plan
from scoring.calc.aim_block import stopper_of
from scoring.calc.energy import energy_kcal
from scoring.calc.forecast import BlockForecast
from scoring.calc.profile import PROFILE_VERSION, Profile, ProfiledSet, profile_of, quarrel
from scoring.frozen import frozen_forecast
from scoring.logged import logged_sets
from scoring.models import Attempt, Prescription
from scoring.profile_words import ENERGY_NOTE, sentence_of
from scoring.profiled_sets import SetShare, done_set, planned_sets, shares_of
from scoring.stored_content import as_current

PLAN, LOG = "plan", "log"


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
class SessionProfile:
    """Of one athlete in one session. counted_from: plan or log; reason: why there are no sets to profile; later: the
    prescription, or the corrected result, that holds in place of the one that is profiled.
    """

    session: UUID
    athlete: UUID
    counted_from: str
    reason: str | None
    whole: Told
    blocks: tuple[Told, ...]
    energy: Energy
    shares: tuple[SetShare, ...] = ()
    later: UUID | None = None
    method_version: int = PROFILE_VERSION


def profile_of_prescription(given: Prescription) -> SessionProfile:
    """Of the sets that are planned; there are none where nothing is prescribed or a check set comes first."""
    plan = session_plan(given.session_id)
    forecasts = {block.key: frozen_forecast(given, plan.doc, block.key) for block in plan.doc.blocks}
    tempo = given.basis.get("tempo", {})
    return profile_of_plan(plan, given.athlete_id, as_current(given.content), forecasts, tempo)


def profile_of_plan(
    plan: SessionPlan,
    athlete_id: UUID,
    content: Mapping[str, Any],
    forecasts: Mapping[str, BlockForecast | None],
    tempo: Mapping[str, Mapping[str, float]],
) -> SessionProfile:
    """Of the sets in a prescription's content, with the forecasts that they come from, by block, and the athlete's
    seconds of a repetition, by work.
    """
    found = {
        block.key: planned_sets(plan, block, content, forecasts.get(block.key), tempo)
        for block in plan.doc.blocks
    }
    stops = {key: None if one is None else one.stopped_by for key, one in forecasts.items()}
    return _profile(plan, athlete_id, PLAN, found, stops, plan.local_date, content.get("plan_reason"))


def profile_of_attempt(attempt: Attempt) -> SessionProfile:
    """Of the sets that were logged. What stopped the athlete: as the sets show it, else as it was foreseen."""
    plan = session_plan(attempt.session_id)
    logged = logged_sets(attempt, plan)
    found, stops = {}, {}
    for block in plan.doc.blocks:
        own = [one for one in logged if block.index_of(one.entry.work) is not None]
        found[block.key] = [done_set(one) for one in own]
        stops[block.key] = stopper_of([one.entry for one in own]) or _foreseen(attempt, plan, block.key)
    reason = None if logged else "totals_tell_no_sets"
    counted = _profile(plan, attempt.athlete_id, LOG, found, stops, attempt.local_date, reason)
    return replace(counted, shares=tuple(shares_of(attempt, logged)))


def _foreseen(attempt: Attempt, plan: SessionPlan, block: str) -> str | None:
    given = attempt.prescription
    forecast = None if given is None else frozen_forecast(given, plan.doc, block)
    return None if forecast is None else forecast.stopped_by


def _profile(
    plan: SessionPlan,
    athlete_id: UUID,
    counted_from: str,
    found: Mapping[str, list[ProfiledSet]],
    stops: Mapping[str, str | None],
    day: dt.date,
    reason: str | None,
) -> SessionProfile:
    whole = [one for block in plan.doc.blocks for one in found[block.key]]
    alone = len(found) == 1  # the label is the session's: of several blocks each may be for something else
    told = tuple(_told(plan, key, sets, stops.get(key), held=alone) for key, sets in found.items())
    by = {stops.get(key) for key, sets in found.items() if sets}
    return SessionProfile(
        session=plan.session_id,
        athlete=athlete_id,
        counted_from=counted_from,
        reason=None if whole else reason or "no_sets",
        whole=_told(plan, None, whole, by.pop() if len(by) == 1 else None),
        blocks=told,
        energy=_energy(athlete_id, whole, day),
    )


def _told(
    plan: SessionPlan,
    block: str | None,
    sets: Sequence[ProfiledSet],
    stopped_by: str | None,
    *,
    held: bool = True,
) -> Told:
    """held: against the session's label."""
    profile, label = _rounded(profile_of(sets, stopped_by)), plan.doc.quality
    differs = quarrel(label, profile) if held else None
    return Told(block, profile, label, differs, sentence_of(profile, label, differs))


def _energy(athlete_id: UUID, sets: Sequence[ProfiledSet], day: dt.date) -> Energy:
    profile = profile_of(sets)
    mass_kg = mass_histories([athlete_id])[athlete_id].on(day)
    if mass_kg is None or profile.work_s is None or profile.rest_s is None or not profile.sets:
        reason = "body_mass_missing" if mass_kg is None else "times_not_known"
        return Energy(None, None, reason if profile.sets else "no_sets", ENERGY_NOTE)
    paced = sum(one.seconds or 0.0 for one in sets if one.paced)
    share = paced / profile.work_s if profile.work_s else 0.0
    return Energy(*energy_kcal(profile.work_s, profile.rest_s, share, mass_kg), None, ENERGY_NOTE)


def _rounded(profile: Profile) -> Profile:
    """For people: seconds and repetitions to a tenth, shares to a thousandth."""
    return replace(
        profile,
        work_s=_to(profile.work_s, 1),
        rest_s=_to(profile.rest_s, 1),
        density=_to(profile.density, 3),
        near_failure=round(profile.near_failure, 1),
        reserve_known=round(profile.reserve_known, 3),
        share=_to(profile.share, 3),
    )


def _to(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
