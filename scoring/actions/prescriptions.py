"""Issuing prescriptions: part of the recompute of an athlete.

Issued again only when the fingerprint of the rounded content moved, never once a result is stored, and from the
freeze before a class on only for what people changed and for a check set.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from athletes.actions.support import hold_athlete
from athletes.day import AS_USUAL, Day, days_of
from athletes.models import Athlete, Capacity, Observation
from athletes.participation import session_ids_for_athlete
from athletes.queries import AthleteInputs, capacities_for, prescribing_inputs
from programming.queries import PlanReader, SessionPlan
from scoring.actions.floor import AFTER_START
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import PRESCRIPTION_VERSION, PrescriptionResult
from scoring.candidates import gather
from scoring.content import content_of, fingerprint
from scoring.freeze import is_checked, still_holds
from scoring.models import Attempt, CheckSet, Prescription

HORIZON: Final = dt.timedelta(days=7)


@dataclass(frozen=True)
class Standing:
    """The athlete's newest prescription for a session."""

    number: int
    fingerprint: str


def issue_prescriptions(*, athlete_id: UUID, now: dt.datetime, plans: PlanReader | None = None) -> list[UUID]:
    """Bring the athlete's prescriptions of the next seven days up to date; the sessions newly issued for.

    A fixed number of queries and one calculation for each session; running it twice issues nothing more.
    """
    athlete = Athlete.objects.filter(id=athlete_id, is_active=True).first()
    if athlete is None:
        return []
    coming = session_ids_for_athlete(athlete, now - AFTER_START, now + HORIZON)
    done = Attempt.objects.filter(athlete_id=athlete_id, session_id__in=coming)
    open_ids = set(coming) - set(done.values_list("session_id", flat=True))
    if not open_ids:
        return []
    of_session = (plans or PlanReader()).read(open_ids)
    ground = _ground(athlete_id, open_ids)
    made = [
        row
        for plan in sorted(of_session.values(), key=lambda plan: (plan.starts_at, plan.session_id))
        if not _is_frozen(athlete, plan, ground, now)
        and (row := _issue(athlete, plan, ground, now)) is not None
    ]
    return _store(athlete_id, made)


def _store(athlete_id: UUID, made: list[Prescription]) -> list[UUID]:
    """Store what was worked out, except where a result has come meanwhile; the sessions stored for.

    The athlete's row is held, as by whoever stores a result, until the end of the transaction.
    """
    if not made:
        return []
    hold_athlete(athlete_id)
    sessions = [row.session_id for row in made]
    come = Attempt.objects.filter(athlete_id=athlete_id, session_id__in=sessions)
    done = set(come.values_list("session_id", flat=True))
    issued = _standing(athlete_id, sessions)
    kept = [row for row in made if row.session_id not in done and _follows(row, issued)]
    Prescription.objects.bulk_create(kept)
    return [row.session_id for row in kept]


def _follows(row: Prescription, issued: Mapping[UUID, Standing]) -> bool:
    """Whether nobody has issued one meanwhile: who did has asked for a recompute as well."""
    standing = issued.get(row.session_id)
    return row.number == (1 if standing is None else standing.number + 1)


@dataclass(frozen=True)
class History:
    """What has been seen of the athlete: variations done, and by movement the trace of the capacity."""

    variations: frozenset[UUID]
    capacities: Mapping[UUID, dict[str, Any]]


def _history(athlete_id: UUID) -> History:
    seen = Observation.objects.filter(athlete_id=athlete_id)
    variations = frozenset(seen.values_list("variation_version__variation_id", flat=True).distinct())
    # Columns, not rows: the states and the prior's document are long, and not needed here.
    rows = Capacity.objects.filter(athlete_id=athlete_id).values_list(
        "movement_id", "inputs", "observations", "prior__number", "method_version"
    )
    traces = {
        movement_id: {
            "inputs": inputs,
            "observations": observations,
            "prior": prior,
            "method_version": method_version,
        }
        for movement_id, inputs, observations, prior, method_version in rows
    }
    return History(variations, traces)


@dataclass(frozen=True)
class Ground:
    """What the athlete's prescriptions rest on beside the sessions themselves; the mappings are by session.

    checked: ids of the check sets, as texts.
    """

    standing: Mapping[UUID, Standing]
    days: Mapping[UUID, Day]
    checked: Mapping[UUID, list[str]]
    history: History


def _ground(athlete_id: UUID, session_ids: Collection[UUID]) -> Ground:
    """Five queries."""
    return Ground(
        standing=_standing(athlete_id, session_ids),
        days=days_of(athlete_id, session_ids),
        checked=_checked(athlete_id, session_ids),
        history=_history(athlete_id),
    )


def _checked(athlete_id: UUID, session_ids: Collection[UUID]) -> dict[UUID, list[str]]:
    rows = CheckSet.objects.filter(athlete_id=athlete_id, session_id__in=session_ids).order_by("id")
    found: dict[UUID, list[str]] = defaultdict(list)
    for session_id, id_ in rows.values_list("session_id", "id"):
        found[session_id].append(str(id_))
    return found


def _standing(athlete_id: UUID, session_ids: Collection[UUID]) -> dict[UUID, Standing]:
    rows = Prescription.objects.filter(athlete_id=athlete_id, session_id__in=session_ids).order_by("number")
    return {
        session_id: Standing(number, print_)
        for session_id, number, print_ in rows.values_list("session_id", "number", "fingerprint")
    }


def _is_frozen(athlete: Athlete, plan: SessionPlan, ground: Ground, now: dt.datetime) -> bool:
    """Shortly before a class, and in it, what is learned re-issues nothing; who has none yet still gets one.

    What people changed does, and so does a check set, whether the prescription asked for it or not.
    """
    standing = ground.standing.get(plan.session_id)
    if standing is None or now < plan.starts_at - dt.timedelta(minutes=plan.freeze_minutes):
        return False
    rows = Prescription.objects.filter(
        athlete_id=athlete.id, session_id=plan.session_id, number=standing.number
    )
    content, basis = rows.values_list("content", "basis").get()
    if basis.get("check_sets", []) != ground.checked.get(plan.session_id, []):
        return False
    inputs = prescribing_inputs([athlete.id], plan.local_date)[athlete.id]
    seen_then = {work: trace["observations"] for work, trace in basis["capacities"].items()}
    seen_now = {work: trace["observations"] for work, trace in _traces(plan, ground.history).items()}
    day = ground.days.get(plan.session_id, AS_USUAL)
    return still_holds(content, plan, inputs, day) and not is_checked(content, seen_then, seen_now)


def _issue(athlete: Athlete, plan: SessionPlan, ground: Ground, now: dt.datetime) -> Prescription | None:
    standing, day = ground.standing.get(plan.session_id), ground.days.get(plan.session_id, AS_USUAL)
    inputs = prescribing_inputs([athlete.id], plan.local_date)[athlete.id]
    result = prescribe_for(plan, athlete.id, inputs, ground.history.variations, day)
    content = content_of(plan, inputs, result, day)
    print_ = fingerprint(content)
    if standing is not None and standing.fingerprint == print_:
        return None
    return Prescription(
        org_id=athlete.org_id,
        session_id=plan.session_id,
        athlete_id=athlete.id,
        number=1 if standing is None else standing.number + 1,
        feasible=result.feasible,
        content=content,
        forecast=None if result.forecast is None else result.forecast.to_json(),
        basis=_basis(plan, inputs, result, ground),
        fingerprint=print_,
        method_version=PRESCRIPTION_VERSION,
        issued_at=now,
    )


def prescribe_for(
    plan: SessionPlan,
    athlete_id: UUID,
    inputs: AthleteInputs,
    known_variations: frozenset[UUID],
    day: Day = AS_USUAL,
) -> PrescriptionResult:
    """The calculation for one athlete and session, with capacity as known on the session's date."""
    movement_ids = {plan.movement(item.key).id for item in plan.block.work}
    capacities = {
        movement_id: capacity
        for (_, movement_id), capacity in capacities_for([athlete_id], movement_ids, plan.local_date).items()
    }
    choice = gather(plan, inputs, capacities, known_variations, day)
    return prescribe(
        plan.block,
        choice.candidates,
        multiplier=choice.multiplier,
        ruled_out=choice.ruled_out,
    )


def _basis(
    plan: SessionPlan, inputs: AthleteInputs, result: PrescriptionResult, ground: Ground
) -> dict[str, Any]:
    """Everything that the numbers can be traced to, with the candidates that were compared."""
    shown = result.to_json()
    return {
        "revision": str(plan.revision_id),
        "revision_sha256": plan.sha256,
        "session_version": plan.version,
        "kit": "athlete" if inputs.kit is not None else f"location v{plan.kit_version}",
        "body_mass_kg": inputs.body_mass_kg,
        "hazards_limited": sorted(inputs.hazards),
        "capacities": _traces(plan, ground.history),
        "check_sets": ground.checked.get(plan.session_id, []),
        "day_changes": [str(id_) for id_ in ground.days.get(plan.session_id, AS_USUAL).ids],
        "variation_versions": {
            one.work: str(plan.variations[one.option.variation_key].version_id) for one in result.chosen
        },
        "candidates": shown["candidates"],
        "p_all": result.p_all,
    }


def _traces(plan: SessionPlan, history: History) -> dict[str, dict[str, Any]]:
    """By work key the trace of the capacity that it needs."""
    return {
        item.key: history.capacities.get(plan.movement(item.key).id, {"observations": 0})
        for item in plan.block.work
    }
