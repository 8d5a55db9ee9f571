"""A coach's override: what is prescribed instead of what was worked out, with its reason and its cost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import transaction

from athletes.actions.holds import require_release
from athletes.actions.support import hold_athlete, insert_once, require_staff
from athletes.states import CapacityState
from scoring.actions.floor import require_floor, require_open
from scoring.actions.override_cost import cost_of
from scoring.actions.override_work import Wish, set_work_up, whole_work
from scoring.actions.prescriptions import issue, states_of, store
from scoring.errors import HeldForSafety, NeedsAcknowledgement, OverrideEnded
from scoring.ground import REPLACED, WITHDRAWN, Ground, as_standing
from scoring.models import Override, OverrideEnd, Prescription
from scoring.of_the_person import is_old, unlikely_at_age
from scoring.overriding import Chosen, Named, held_by
from scoring.seen import Seen, refuse_superseded, see
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

CONTENT = ("session_id", "athlete_id", "work", "reason")
LARGEST_AMOUNT = 100_000.0


@transaction.atomic
def make_override(
    *,
    actor: Actor,
    prescription: Prescription,
    wish: Wish,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[Override, bool]:
    """Store the override, and the next prescription that follows it; (row, was stored now).

    Work that is not named stays as the prescription has it. Raises Invalid for what cannot be set up,
    NeedsAcknowledgement, HeldForSafety, OwnHold, NotYourHold, PrescriptionSuperseded, SessionOver, ResultStored,
    Forbidden, NotYourLocation, ClientIdReused.
    """
    athlete, session = prescription.athlete, prescription.session
    require_staff(actor)
    require_floor(actor, athlete, session)
    told = _Told(actor, prescription, wish, client_id)
    if not told.is_stored:
        _refuse_late(prescription, now)
    seen = see(prescription)
    # Before the athlete is held: others would wait for as long as this takes.
    row, made = _worked(told, seen, now)
    hold_athlete(athlete.id)
    if not told.is_stored:
        _refuse_late(prescription, now)
        again = see(prescription)
        if again != seen:
            seen = again
            row, made = _worked(told, seen, now)
    row, stored = insert_once(row, same=CONTENT)
    if stored:
        _replace_standing(actor, seen.ground, session.id)
        store(athlete.id, [] if made is None else [made], {session.id: seen.plan})
        record_change(kind="athlete", subject=athlete.id, from_date=session.local_date)
    return row, stored


@dataclass(frozen=True)
class _Told:
    """Who wishes what."""

    actor: Actor
    prescription: Prescription
    wish: Wish
    client_id: str | None

    @property
    def is_stored(self) -> bool:
        """Whether it was sent and stored before (one query with a client_id)."""
        return self.client_id is not None and Override.objects.filter(client_id=self.client_id).exists()


def _refuse_late(prescription: Prescription, now: dt.datetime) -> None:
    """Raise where nothing is prescribed any more, or something else is by now."""
    require_open(prescription.athlete, prescription.session, now)
    refuse_superseded(prescription)


def _worked(told: _Told, seen: Seen, now: dt.datetime) -> tuple[Override, Prescription | None]:
    """The override with its cost and the prescription that follows it, neither of them stored.

    Of one that was stored before only what it says is made, to be compared.
    """
    plan, athlete = seen.plan, told.prescription.athlete
    work = whole_work(plan, told.prescription.content, told.wish)
    chosen = set_work_up(plan, seen.inputs, seen.day, work, told.wish.work)
    states = states_of(plan, athlete.id, seen.inputs.zone)
    against = _against(told, seen, chosen, states)
    is_stored = told.is_stored
    # Of the old all that is to be acknowledged is told at once, which takes longer.
    if is_stored or not is_old(seen.inputs.safety):
        _refuse_unacknowledged(told, against)
    if is_stored:
        return _row(told, work, against, {}), None
    known = seen.ground.known(plan.session_id, states)
    cost, worked = cost_of(plan, seen.inputs, known, seen.day, work)
    against |= unlikely_at_age(plan, seen.inputs.safety, worked)
    _refuse_unacknowledged(told, against)
    row = _row(told, work, against, cost)
    made = issue(
        athlete=athlete,
        plan=plan,
        inputs=seen.inputs,
        ground=seen.ground,
        states=states,
        override=as_standing(row),
        worked=worked,
        now=now,
    )
    return row, made


def _row(told: _Told, work: Sequence[Named], against: Mapping[str, str], cost: Mapping[str, Any]) -> Override:
    return Override(
        org_id=told.actor.org_id,
        session=told.prescription.session,
        athlete=told.prescription.athlete,
        against=told.prescription,
        work=[named.to_json() for named in work],
        acknowledged=sorted(against),
        cost=cost,
        reason=told.wish.reason,
        client_id=told.client_id,
        made_by_id=told.actor.person_id,
    )


@transaction.atomic
def withdraw_override(*, actor: Actor, override: Override, reason: str) -> OverrideEnd:
    """End the override; the recompute prescribes again. Raises OverrideEnded, Forbidden, NotYourLocation."""
    require_staff(actor)
    require_floor(actor, override.athlete, override.session)
    hold_athlete(override.athlete_id)
    if OverrideEnd.objects.filter(override=override).exists():
        raise OverrideEnded()
    end = OverrideEnd.objects.create(
        org_id=actor.org_id,
        override=override,
        kind=WITHDRAWN,
        reason=reason,
        ended_by_id=actor.person_id,
    )
    record_change(kind="athlete", subject=override.athlete_id, from_date=override.session.local_date)
    return end


def _replace_standing(actor: Actor, ground: Ground, session_id: Any) -> None:
    before = ground.overrides.get(session_id)
    if before is not None:
        OverrideEnd.objects.create(
            org_id=actor.org_id, override_id=before.id, kind=REPLACED, ended_by_id=actor.person_id
        )


def _against(
    told: _Told, seen: Seen, chosen: Sequence[Chosen], states: Mapping[UUID, CapacityState]
) -> dict[str, str]:
    """What speaks against it by code, apart from how it is foreseen.

    Raises HeldForSafety, OwnHold and NotYourHold for a hold.
    """
    against = seen.concerns(chosen) | seen.beyond(chosen, states)
    if held := held_by(against):
        raise HeldForSafety(errors=held)
    require_release(told.actor, told.prescription.athlete, seen.inputs.safety.holds)
    if not told.is_stored:
        against |= seen.of_the_person(told.prescription, chosen)
    return against


def _refuse_unacknowledged(told: _Told, against: Mapping[str, str]) -> None:
    """All that speaks against it must be named. Raises NeedsAcknowledgement."""
    missing = [code for code in against if code not in told.wish.acknowledged]
    if missing:
        raise NeedsAcknowledgement(
            errors=[FieldProblem("#/acknowledged", code, against[code]) for code in missing]
        )
