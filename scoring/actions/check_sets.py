"""Check sets: stored as sent, seen as an observation of that day, and the prescription follows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, cast
from uuid import UUID

from django.db import transaction

from athletes.actions.observations import replace_observations
from athletes.actions.support import hold_athlete, insert_once, local_date, refuse, refuse_future
from athletes.moments import Moment, hours_into
from athletes.performed import NOTHING_ADJUSTED, MassHistory, Settings, setting_problems
from athletes.queries import mass_histories
from programming.calc.reader import child
from programming.calc.revision import WorkItem
from programming.horizon import PRESCRIBED_AHEAD
from programming.models import ScheduledSession
from programming.plans import VariationEntry, session_plan
from scoring.actions.check_pain import spare_after_pain, spare_no_longer
from scoring.actions.floor import require_floor, require_open
from scoring.actions.weighed import is_unweighed
from scoring.blocks import find_item, work_keys
from scoring.calc.attempt import EndedBy, SetEntry
from scoring.check_advice import asking_content
from scoring.errors import CheckSetReplaced, ImplausibleSet
from scoring.models import CheckSet, Prescription
from scoring.names import names_of
from scoring.observed import Logged, observations_of
from scoring.plausible import surprises
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor

FROM_CHECK_SET: Final = "check_set"
BEFORE_START: Final = PRESCRIBED_AHEAD
"""No earlier is a session prescribed, and a check set asked for."""
SETTINGS: Final = ("load_kg", "assistance_kg", "height_cm")
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


@dataclass(frozen=True)
class Checked:
    """A check set as it is told. performed_at None: just now, or whenever it was when it is sent again; variation
    None: the version that the prescription asks to check with, of a correction that with which the first was done.
    """

    work: str
    amount: float
    unit: str
    rir: int | None
    ended_by: str
    performed_at: dt.datetime | None = None
    variation: str | None = None
    settings: Settings = NOTHING_ADJUSTED
    replaces: UUID | None = None


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

    Raises Invalid, Forbidden, NotYourLocation, SessionOver, ResultStored, ImplausibleSet, CheckSetReplaced,
    ClientIdReused.
    """
    athlete = prescription.athlete
    require_floor(actor, athlete, prescription.session)
    done = _done(checked, prescription)
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
    _store(actor, prescription, checked, _done(checked, prescription), now, None)


def _store(
    actor: Actor,
    prescription: Prescription,
    checked: Checked,
    done: tuple[WorkItem, VariationEntry, Settings],
    now: dt.datetime,
    client_id: str | None,
) -> tuple[CheckSet, bool]:
    athlete, session = prescription.athlete, prescription.session
    item, entry, settings = done
    before = None if client_id is None else CheckSet.objects.filter(client_id=client_id).first()
    performed_at = checked.performed_at or (now if before is None else before.performed_at)
    if before is None:
        refuse_future(performed_at, now, "#/performed_at")
        _refuse_long_before(performed_at, session)
        require_open(athlete, session, now)
        _refuse_replaced(checked)
    replaced = _replaced(checked, prescription)
    day = local_date(performed_at, athlete.zone)
    logged = Logged(_set_entry(item, checked, entry, settings), entry)
    masses = mass_histories([athlete.id])[athlete.id]
    _refuse_implausible(logged, masses, day)
    row, stored = insert_once(
        CheckSet(
            org_id=actor.org_id,
            prescription=prescription,
            session=session,
            athlete=athlete,
            work=item.key,
            variation_version_id=entry.version_id,
            amount=checked.amount,
            unit=checked.unit,
            rir=checked.rir,
            ended_by=checked.ended_by,
            performed_at=performed_at,
            zone=athlete.zone,
            local_date=day,
            replaces=replaced,
            client_id=client_id,
            sent_by_id=actor.person_id,
            **{name: getattr(settings, name) for name in SETTINGS},
        ),
        same=CONTENT,
    )
    if stored:
        # Of an unknown load nobody can say whether it can be true, and today nothing follows from it anyway.
        _observe(row, replaced, () if is_unweighed([logged], masses) else (logged,))
        if replaced is not None:
            spare_no_longer(actor=actor, replaced=replaced)
        spare_after_pain(actor=actor, row=row, variation=entry.variation)
    return row, stored


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


def _done(checked: Checked, prescription: Prescription) -> tuple[WorkItem, VariationEntry, Settings]:
    """What was done with what. Raises Invalid."""
    plan = session_plan(prescription.session_id)
    found = find_item(plan, checked.work)
    if found is None:
        detail = f"The session's work is: {', '.join(work_keys(plan))}."
        raise Invalid(errors=[FieldProblem(child("#", "work"), "unknown_work", detail)])
    item = found[1]
    key, settings = checked.variation, checked.settings
    if key is None:  # with the version asked for; what was sent of its settings was done
        key, asked = _asked(checked.work, asking_content(prescription, checked.replaces))
        told = {name: getattr(settings, name) for name in SETTINGS if getattr(settings, name) is not None}
        settings = replace(asked, **told)
    entry = plan.variations.get(key)
    if entry is None or entry.movement.key != item.movement:
        named = names_of(plan).movement(item.movement)
        detail = f"Name a variation of {named} from the organisation's catalogue."
        raise Invalid(errors=[FieldProblem(child("#", "variation"), "unknown_variation", detail)])
    if checked.unit not in entry.variation.counted_in:
        detail = f"{entry.name} is counted in {', '.join(entry.variation.counted_in)}."
        raise Invalid(errors=[FieldProblem(child("#", checked.unit), "wrong_unit", detail)])
    refuse(setting_problems(entry.variation, settings, "#"))
    return item, entry, settings


def _asked(work: str, content: Mapping[str, Any]) -> tuple[str, Settings]:
    """The version that the prescription asks to check with, else the one that it prescribes."""
    for one in (*content["check_sets"], *content["work"]):
        if one["work"] == work:
            return one["variation"], Settings(**{name: one[name] for name in SETTINGS})
    detail = "The prescription names no version of this work; say which one was done."
    raise Invalid(errors=[FieldProblem("#/variation", "required", detail)])


def _replaced(checked: Checked, prescription: Prescription) -> CheckSet | None:
    if checked.replaces is None:
        return None
    mine = CheckSet.objects.filter(athlete_id=prescription.athlete_id, session_id=prescription.session_id)
    row = mine.filter(id=checked.replaces).first()
    if row is None:
        detail = "There is no such check set of this athlete in this session."
        raise Invalid(errors=[FieldProblem("#/replaces", "unknown_reference", detail)])
    return row


def _refuse_replaced(checked: Checked) -> None:
    if checked.replaces is not None and CheckSet.objects.filter(replaces_id=checked.replaces).exists():
        raise CheckSetReplaced()


def _set_entry(item: WorkItem, checked: Checked, entry: VariationEntry, settings: Settings) -> SetEntry:
    return SetEntry(
        item.key,
        checked.amount,
        cast(EndedBy, checked.ended_by),
        rir=checked.rir,
        variation=entry.variation.key,
        load_kg=settings.load_kg,
        assistance_kg=settings.assistance_kg,
        height_cm=settings.height_cm,
        unit=checked.unit,
    )


def _refuse_implausible(logged: Logged, masses: MassHistory, day: dt.date) -> None:
    findings = surprises([logged], masses, day)
    if findings:
        raise ImplausibleSet(f"{findings[0].detail} {ImplausibleSet.if_true}")
