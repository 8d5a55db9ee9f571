"""Issuing prescriptions: part of the recompute of an athlete.

Issued again only when the fingerprint of the rounded content moved, never once a result is stored, and inside
the freeze before a class only for what people changed and for a check set.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from athletes.actions.support import hold_athlete
from athletes.models import Athlete, Capacity, Observation
from athletes.participation import session_ids_for_athlete
from athletes.queries import AthleteInputs, capacities_for, prescribing_inputs
from programming.queries import PlanReader, SessionPlan
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import PRESCRIPTION_VERSION, PrescriptionResult
from scoring.candidates import gather
from scoring.content import content_of, fingerprint
from scoring.freeze import is_checked, still_holds
from scoring.models import Attempt, Prescription

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
    coming = session_ids_for_athlete(athlete, now, now + HORIZON)
    done = Attempt.objects.filter(athlete_id=athlete_id, session_id__in=coming)
    open_ids = set(coming) - set(done.values_list("session_id", flat=True))
    if not open_ids:
        return []
    of_session = (plans or PlanReader()).read(open_ids)
    standing = _standing(athlete_id, open_ids)
    history = _history(athlete_id)
    made = [
        row
        for plan in sorted(of_session.values(), key=lambda plan: (plan.starts_at, plan.session_id))
        if not _is_frozen(athlete, plan, standing.get(plan.session_id), history, now)
        and (row := _issue(athlete, plan, standing.get(plan.session_id), history, now)) is not None
    ]
    return _store(athlete_id, made)


def _store(athlete_id: UUID, made: list[Prescription]) -> list[UUID]:
    """Store what was worked out, except where a result has come meanwhile; the sessions stored for.

    The athlete's row is held, as by whoever stores a result, until the end of the transaction.
    """
    if not made:
        return []
    hold_athlete(athlete_id)
    come = Attempt.objects.filter(
        athlete_id=athlete_id, session_id__in=[row.session_id for row in made]
    ).values_list("session_id", flat=True)
    done = set(come)
    kept = [row for row in made if row.session_id not in done]
    Prescription.objects.bulk_create(kept)
    return [row.session_id for row in kept]


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


def _standing(athlete_id: UUID, session_ids: Collection[UUID]) -> dict[UUID, Standing]:
    rows = Prescription.objects.filter(athlete_id=athlete_id, session_id__in=session_ids).order_by("number")
    return {
        session_id: Standing(number, print_)
        for session_id, number, print_ in rows.values_list("session_id", "number", "fingerprint")
    }


def _is_frozen(
    athlete: Athlete, plan: SessionPlan, standing: Standing | None, history: History, now: dt.datetime
) -> bool:
    """Shortly before a class what is learned re-issues nothing; who has none yet still gets one.

    What people changed does, and so does a check set that the prescription asked for.
    """
    if standing is None or now < plan.starts_at - dt.timedelta(minutes=plan.freeze_minutes):
        return False
    rows = Prescription.objects.filter(
        athlete_id=athlete.id, session_id=plan.session_id, number=standing.number
    )
    content, basis = rows.values_list("content", "basis").get()
    inputs = prescribing_inputs([athlete.id], plan.local_date)[athlete.id]
    seen_then = {work: trace["observations"] for work, trace in basis["capacities"].items()}
    seen_now = {work: trace["observations"] for work, trace in _traces(plan, history).items()}
    return still_holds(content, plan, inputs) and not is_checked(content, seen_then, seen_now)


def _issue(
    athlete: Athlete, plan: SessionPlan, standing: Standing | None, history: History, now: dt.datetime
) -> Prescription | None:
    inputs = prescribing_inputs([athlete.id], plan.local_date)[athlete.id]
    result = prescribe_for(plan, athlete.id, inputs, history.variations)
    content = content_of(plan, inputs, result)
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
        basis=_basis(plan, inputs, result, history),
        fingerprint=print_,
        method_version=PRESCRIPTION_VERSION,
        issued_at=now,
    )


def prescribe_for(
    plan: SessionPlan, athlete_id: UUID, inputs: AthleteInputs, known_variations: frozenset[UUID]
) -> PrescriptionResult:
    """The calculation for one athlete and session, with capacity as known on the session's date."""
    movement_ids = {plan.movement(item.key).id for item in plan.block.work}
    capacities = {
        movement_id: capacity
        for (_, movement_id), capacity in capacities_for([athlete_id], movement_ids, plan.local_date).items()
    }
    choice = gather(plan, inputs, capacities, known_variations)
    return prescribe(
        plan.block,
        choice.candidates,
        multiplier=choice.multiplier,
        ruled_out=choice.ruled_out,
    )


def _basis(
    plan: SessionPlan, inputs: AthleteInputs, result: PrescriptionResult, history: History
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
        "capacities": _traces(plan, history),
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
