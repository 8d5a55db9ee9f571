"""Issuing prescriptions: part of the recompute of an athlete.

Issued again only when the fingerprint of the rounded content moved, never once a result is stored, and from the
freeze before a class on only for what people changed and for a check set. A coach's override stands until it is
lifted or what it rests on changes; nothing that is learned replaces it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final
from uuid import UUID

from django.db.models import QuerySet

from athletes.actions.support import hold_athlete
from athletes.day import AS_USUAL
from athletes.known import CapacityReader
from athletes.models import Athlete
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.plans import SessionPlan
from scoring.actions.desk import Desk, movements_of, states_at
from scoring.actions.session_work import Foreseen, book_planned
from scoring.basis import Floor, basis_of, traces
from scoring.calc.prescription import PRESCRIPTION_VERSION
from scoring.content import OverrideTold, Setting, content_of, fingerprint
from scoring.freeze import is_checked, still_holds
from scoring.ground import FELL, Ground, Standing, StandingOverride, standing_of, taken_of
from scoring.models import OverrideEnd, Prescription
from scoring.overriding import why_fallen
from scoring.restraint import restraint_of
from scoring.working_out import Worked, work_out
from services.tenancy.compiled import Given, compiled
from services.tenancy.inserted import insert

LATEST_FIRST: Final = dt.timedelta(hours=2)
"""After its start nobody gets a first prescription of a session any more than this later: by then a class is over,
and a forecast must not be made after the result (ours)."""


def issue_prescriptions(
    *,
    athlete_id: UUID,
    now: dt.datetime,
    desk: Desk | None = None,
    only: Collection[UUID] | None = None,
) -> list[UUID]:
    """Bring the athlete's prescriptions up to date, of all open sessions or of some of them; the sessions newly
    issued for.

    One calculation for each session, all stored at the end; running it twice issues nothing more. What is written
    while one is worked out is read before the next one. Asked for what has meanwhile a result, or is not the
    athlete's any more, it does nothing.
    """
    desk = desk or Desk(athlete_id, now)
    read = desk.read(only)
    plans = () if read is None else read.plans
    asked = [one.session_id for one in plans if only is None or one.session_id in only]
    made, fallen, about, foreseen = [], [], {}, {}
    for number, session_id in enumerate(asked):
        read = desk.read(only) if number else read
        plan = None if read is None else read.plan(session_id)
        if read is None or plan is None or _is_too_late(plan, read.ground, now):
            continue
        athlete, ground = read.athlete, read.ground
        inputs = read.inputs[plan.local_date]
        ended = _fallen(plan, inputs, ground)
        fallen += ended
        if not ended and _is_frozen(athlete, plan, inputs, ground, now):
            continue
        override = None if ended else ground.overrides.get(plan.session_id)
        states = states_at(plan, athlete.id, inputs.zone, read.capacities)
        day = ground.days.get(plan.session_id, AS_USUAL)
        work = None if override is None else override.work
        worked = work_out(plan, inputs, ground.known(plan.session_id, states), day, work)
        row = issue(
            athlete=athlete,
            plan=plan,
            inputs=inputs,
            ground=ground,
            states=states,
            override=override,
            worked=worked,
            now=now,
        )
        if row is not None:
            made.append(row)
            about[row.session_id] = plan
            foreseen[row.session_id] = {key: one.forecast for key, one in worked.results.items()}
    return store(athlete_id, made, about, fallen, foreseen)


def _is_too_late(plan: SessionPlan, ground: Ground, now: dt.datetime) -> bool:
    """Whether somebody without a prescription would get a first one when the class is over."""
    return plan.session_id not in ground.standing and now > plan.starts_at + LATEST_FIRST


def store(
    athlete_id: UUID,
    made: list[Prescription],
    plans: Mapping[UUID, SessionPlan],
    fallen: Sequence[OverrideEnd] = (),
    foreseen: Mapping[UUID, Foreseen] = MappingProxyType({}),
) -> list[UUID]:
    """Store what was worked out, except where a result or another one has come meanwhile; the sessions stored for.
    plans, foreseen: by session, the latter where it is at hand.

    The athlete's row is held, as by whoever stores a result, until the end of the transaction.
    """
    if not made and not fallen:
        return []
    hold_athlete(athlete_id)
    if fallen:  # asking for nothing takes the query builder as long as all else here
        OverrideEnd.objects.bulk_create(fallen, ignore_conflicts=True)
    sessions = [row.session_id for row in made]
    done = taken_of(athlete_id, sessions)
    issued = standing_of(athlete_id, sessions)
    kept = [row for row in made if row.session_id not in done and _follows(row, issued.get(row.session_id))]
    insert(kept)
    book_planned(kept, plans, foreseen)
    return [row.session_id for row in kept]


def _follows(row: Prescription, standing: Standing | None) -> bool:
    """Whether nobody has issued one meanwhile: who did has asked for a recompute as well."""
    return row.number == (1 if standing is None else standing.number + 1)


def _fallen(plan: SessionPlan, inputs: AthleteInputs, ground: Ground) -> list[OverrideEnd]:
    """The end of the session's override where what it rests on has changed."""
    override = ground.overrides.get(plan.session_id)
    if override is None:
        return []
    codes = why_fallen(
        plan,
        inputs,
        ground.days.get(plan.session_id, AS_USUAL),
        restraint_of(plan, inputs.safety),
        override.work,
        override.acknowledged,
    )
    if not codes:
        return []
    return [OverrideEnd(org_id=ground.org_id, override_id=override.id, kind=FELL, codes=codes)]


def _is_frozen(
    athlete: Athlete, plan: SessionPlan, inputs: AthleteInputs, ground: Ground, now: dt.datetime
) -> bool:
    """Shortly before a class, and in it, what is learned re-issues nothing; who has none yet still gets one.

    What people changed does, and so does a check set, whether the prescription asked for it or not.
    """
    standing = ground.standing.get(plan.session_id)
    if standing is None or now < plan.starts_at - dt.timedelta(minutes=plan.freeze_minutes):
        return False
    ((content, basis),) = _issued(athlete=athlete.id, session=plan.session_id, number=standing.number)
    if basis["revision"] != str(plan.revision_id):
        return False
    override = ground.overrides.get(plan.session_id)
    if basis.get("override") != (None if override is None else str(override.id)):
        return False
    if basis.get("check_sets", []) != ground.checked.get(plan.session_id, []):
        return False
    seen_then = {work: trace["observations"] for work, trace in basis["capacities"].items()}
    seen_now = {work: trace["observations"] for work, trace in traces(plan, ground.capacities).items()}
    day = ground.days.get(plan.session_id, AS_USUAL)
    return still_holds(content, plan, inputs, day) and not is_checked(content, seen_then, seen_now)


@compiled
def _issued(athlete: Given, session: Given, number: Given) -> QuerySet[Prescription, tuple[Any, Any]]:
    rows = Prescription.objects.filter(athlete_id=athlete, session_id=session, number=number)
    return rows.values_list("content", "basis")


def issue(
    *,
    athlete: Athlete,
    plan: SessionPlan,
    inputs: AthleteInputs,
    ground: Ground,
    states: Mapping[UUID, CapacityState],
    override: StandingOverride | None,
    worked: Worked,
    now: dt.datetime,
) -> Prescription | None:
    """The next prescription, not stored; None when the standing one says the same.

    worked: what the calculation gave for plan, inputs, ground, states and override.
    """
    standing, day = ground.standing.get(plan.session_id), ground.days.get(plan.session_id, AS_USUAL)
    told = None if override is None else _told(override)
    content = content_of(plan, inputs, worked, Setting(day, told))
    print_ = fingerprint(content)
    if standing is not None and standing.fingerprint == print_:
        return None
    floor = Floor(day, ground.checked.get(plan.session_id, []), None if override is None else override.id)
    ranked = worked.results.get(plan.block.key)
    forecast = None if ranked is None else ranked.forecast
    return Prescription(
        org_id=athlete.org_id,
        session_id=plan.session_id,
        athlete_id=athlete.id,
        number=1 if standing is None else standing.number + 1,
        feasible=worked.feasible,
        content=content,
        forecast=None if forecast is None else forecast.to_json(),
        basis=basis_of(plan, inputs, worked, ground.capacities, states, floor),
        fingerprint=print_,
        method_version=PRESCRIPTION_VERSION,
        issued_at=now,
    )


def _told(override: StandingOverride) -> OverrideTold:
    return OverrideTold(override.id, override.made_by, override.reason, tuple(override.acknowledged))


def states_of(plan: SessionPlan, athlete_id: UUID, zone: str) -> dict[UUID, CapacityState]:
    """Capacity by movement as known on the session's date, at its start by the clock of the athlete's zone."""
    return states_at(plan, athlete_id, zone, CapacityReader([athlete_id], movements_of(plan)))
