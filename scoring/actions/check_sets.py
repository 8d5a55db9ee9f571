"""Check sets: stored as sent, seen as an observation of that day, and the prescription follows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Final, cast

from django.db import transaction

from athletes.actions.observations import replace_observations
from athletes.actions.support import hold_athlete, insert_once, local_date, refuse_future
from athletes.moments import Moment, hours_into
from athletes.participation import takes_part
from athletes.queries import mass_histories
from programming.horizon import PRESCRIBED_AHEAD
from programming.models import ScheduledSession
from scoring.actions.check_pain import PAIN, spare_after_pain, spare_no_longer
from scoring.actions.floor import require_floor, require_open
from scoring.actions.weighed import is_unweighed
from scoring.calc.attempt import EndedBy, SetEntry
from scoring.check_advice import held_now
from scoring.checked import SETTINGS, Checked, Done, done_of
from scoring.doubted_check_sets import refuse_doubted_set
from scoring.errors import CheckSetReplaced, ImplausibleSet, NotTakingPart
from scoring.models import CheckSet, Prescription
from scoring.observed import Logged, observations_of
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

FROM_CHECK_SET: Final = "check_set"
BEFORE_START: Final = PRESCRIBED_AHEAD
"""No earlier is a session prescribed, and a check set asked for."""
CONTENT: Final = (
    "prescription_id",
    "work",
    "variation_version_id",
    *SETTINGS,
    "amount",
    "unit",
    "rir",
    "ended_by",
    "performed_at",
    "replaces_id",
)


@transaction.atomic
def send_check_set(
    *,
    actor: Actor,
    prescription: Prescription,
    checked: Checked,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[CheckSet, bool]:
    """Store a check set with what it tells, and ask for the prescription; (row, was stored now).

    Raises Invalid, Forbidden, NotYourLocation, SessionOver, ResultStored, NotTakingPart, ImplausibleSet,
    CheckSetReplaced, ClientIdReused.
    """
    athlete = prescription.athlete
    require_floor(actor, athlete, prescription.session)
    done = done_of(checked, prescription)
    hold_athlete(athlete.id)
    row, stored = _store(actor, prescription, checked, done, now, client_id)
    if stored:
        record_change(kind="athlete", subject=athlete.id, from_date=row.local_date)
    return row, stored


def try_check_set(*, actor: Actor, prescription: Prescription, checked: Checked, now: dt.datetime) -> None:
    """What `send_check_set` stores, for a savepoint that is taken back: nobody is kept waiting, nothing is asked for.

    Without a client_id, lest the same set sent at the same time waits for this one. Raises as `send_check_set`.
    """
    require_floor(actor, prescription.athlete, prescription.session)
    _store(actor, prescription, checked, done_of(checked, prescription), now, None)


def _store(
    actor: Actor,
    prescription: Prescription,
    checked: Checked,
    done: Done,
    now: dt.datetime,
    client_id: str | None,
) -> tuple[CheckSet, bool]:
    athlete, session = prescription.athlete, prescription.session
    before = None if client_id is None else CheckSet.objects.filter(client_id=client_id).first()
    performed_at = checked.performed_at or (now if before is None else before.performed_at)
    if before is None:
        refuse_future(performed_at, now, "#/performed_at")
        _refuse_long_before(performed_at, session)
        require_open(athlete, session, now)
        if checked.ended_by != PAIN:  # which spares other sessions too
            _refuse_absent(prescription)
        _refuse_replaced(checked)
    replaced = _replaced(checked, prescription)
    logged = Logged(_set_entry(checked, done), done.entry)
    masses = mass_histories([athlete.id])[athlete.id]
    told = _row(actor, prescription, checked, done, performed_at)
    told.replaces, told.client_id = replaced, client_id
    # What was stored before is answered as it was; of a set that pain ended no more is believed than the pain.
    if before is None and checked.ended_by != PAIN:
        try:
            refuse_doubted_set(
                actor=actor,
                athlete=athlete,
                row=told,
                plan=done.plan,
                asked=done.asked,
                mass=masses.on(told.local_date),
                confirmed=checked.confirmed,
            )
        except ImplausibleSet as doubted:
            raise _with_hold(doubted, prescription, checked.ended_by) from doubted
    row, stored = insert_once(told, same=CONTENT)
    if stored:
        # Of an unknown load nobody can say whether it can be true, and today nothing follows from it anyway.
        _observe(row, replaced, () if is_unweighed([logged], masses) else (logged,))
        if replaced is not None:
            spare_no_longer(actor=actor, replaced=replaced)
        spare_after_pain(actor=actor, row=row, variation=done.entry.variation)
    return row, stored


def _with_hold(doubted: ImplausibleSet, prescription: Prescription, ended_by: str) -> ImplausibleSet:
    """Whoever is held reads that first, whether the set is believed or not."""
    held = held_now(prescription, ended_by)
    return doubted if held is None else ImplausibleSet(f"{held.text} {doubted.detail}", errors=doubted.errors)


def _row(
    actor: Actor, prescription: Prescription, checked: Checked, done: Done, performed_at: dt.datetime
) -> CheckSet:
    athlete = prescription.athlete
    return CheckSet(
        org_id=actor.org_id,
        prescription=prescription,
        session=prescription.session,
        athlete=athlete,
        work=done.item.key,
        variation_version_id=done.entry.version_id,
        amount=checked.amount,
        unit=checked.unit,
        rir=checked.rir,
        ended_by=checked.ended_by,
        performed_at=performed_at,
        zone=athlete.zone,
        local_date=local_date(performed_at, athlete.zone),
        sent_by_id=actor.person_id,
        **{name: getattr(done.settings, name) for name in SETTINGS},
    )


def _refuse_long_before(performed_at: dt.datetime, session: ScheduledSession) -> None:
    """Raise Invalid for what was done before the session could be prescribed; that it is over is said elsewhere."""
    earliest = session.starts_at - BEFORE_START
    if performed_at < earliest:
        detail = (
            f"A check set is done in the days before its session, from {earliest:%Y-%m-%dT%H:%M}Z on. Check the date;"
            " what was done before that is a test, or the result of another session."
        )
        raise Invalid(errors=[FieldProblem("#/performed_at", "too_long_before_the_session", detail)])


def _observe(row: CheckSet, replaced: CheckSet | None, logged: Sequence[Logged]) -> None:
    if replaced is not None:
        replace_observations(athlete_id=row.athlete_id, source=FROM_CHECK_SET, source_id=replaced.id, rows=())
    at = Moment(row.local_date, hours_into(row.local_date, row.performed_at, row.zone))
    rows = observations_of(logged, at)
    replace_observations(athlete_id=row.athlete_id, source=FROM_CHECK_SET, source_id=row.id, rows=rows)


def _replaced(checked: Checked, prescription: Prescription) -> CheckSet | None:
    if checked.replaces is None:
        return None
    mine = CheckSet.objects.filter(athlete_id=prescription.athlete_id, session_id=prescription.session_id)
    row = mine.filter(id=checked.replaces).first()
    if row is None:
        detail = "There is no such check set of this athlete in this session."
        raise Invalid(errors=[FieldProblem("#/replaces", "unknown_reference", detail)])
    return row


def _refuse_absent(prescription: Prescription) -> None:
    """Nothing would follow from the set of somebody whose session it is no longer (one query)."""
    if not Prescription.objects.filter(takes_part(), id=prescription.id).exists():
        raise NotTakingPart()


def _refuse_replaced(checked: Checked) -> None:
    if checked.replaces is not None and CheckSet.objects.filter(replaces_id=checked.replaces).exists():
        raise CheckSetReplaced()


def _set_entry(checked: Checked, done: Done) -> SetEntry:
    settings = done.settings
    return SetEntry(
        done.item.key,
        checked.amount,
        cast(EndedBy, checked.ended_by),
        rir=checked.rir,
        variation=done.entry.variation.key,
        load_kg=settings.load_kg,
        assistance_kg=settings.assistance_kg,
        height_cm=settings.height_cm,
        unit=checked.unit,
    )
