"""Tests: stored as sent, never changed; a correction is a new row that names the one it replaces."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import IntegrityError, transaction

from athletes.actions.observations import FROM_ASSESSMENT, ObservationRow, replace_observations
from athletes.actions.support import insert_once, local_date, refuse, refuse_future, require_own_or_staff
from athletes.catalogue import CatalogueVersion, current_version
from athletes.errors import AlreadyCorrected, BodyMassMissing, NotALoad
from athletes.models import Assessment, Athlete
from athletes.performed import (
    LARGEST_RIR,
    MOST_REPETITIONS,
    NOTHING_ADJUSTED,
    MassHistory,
    Settings,
    effective_kg,
    fraction_of,
    setting_problems,
)
from athletes.queries import mass_histories
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

ONE_RM: Final = "one_rm"
TO_FAILURE: Final = "to_failure"
WITH_RIR: Final = "with_rir"
PLANNED: Final = "planned"

# What each kind may be ended by; the first is assumed when nothing is said.
ENDINGS: Final = {
    ONE_RM: ("planned", "failure"),
    TO_FAILURE: ("failure", "pain", "no_rep", "clock", "other"),
    WITH_RIR: ("planned", "pain", "no_rep", "clock", "other"),
    PLANNED: ("planned", "pain", "no_rep", "clock", "other"),
}
KINDS: Final = tuple(ENDINGS)
WEAK_ENDINGS: Final = frozenset({"pain", "no_rep", "clock", "other"})

CONTENT: Final = (
    "athlete_id",
    "variation_version_id",
    "kind",
    "load_kg",
    "assistance_kg",
    "height_cm",
    "repetitions",
    "rir",
    "ended_by",
    "performed_at",
    "replaces_id",
    "reason",
)


@dataclass(frozen=True)
class Performance:
    """One test as it is told. ended_by None: what goes without saying for the kind (see ENDINGS).

    kind one_rm: the settings are the maximum (repetitions 1), or were missed (0). to_failure: this many and
    not one more. with_rir: stopped with `rir` left. planned: stopped as planned, more were possible.
    """

    kind: str
    repetitions: int
    performed_at: dt.datetime
    settings: Settings = NOTHING_ADJUSTED
    rir: int | None = None
    ended_by: str | None = None

    @property
    def ending(self) -> str:
        return self.ended_by or ENDINGS[self.kind][0]


def record_assessment(
    *,
    actor: Actor,
    athlete: Athlete,
    variation_id: UUID,
    tested: Performance,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[Assessment, bool]:
    """Store a test of the variation as it is now, with what it tells; (row, was created).

    Raises Invalid, BodyMassMissing, NotALoad, Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    version = checked_version(variation_id, tested, now)
    check_load(version, tested, athlete, mass_histories([athlete.id])[athlete.id])
    row = assessment_row(actor=actor, athlete=athlete, version=version, tested=tested, client_id=client_id)
    with transaction.atomic():
        assessment, created = insert_once(row, same=CONTENT)
        if created:
            _observe(assessment, version.movement_id, version.curve_applies)
            record_change(kind="athlete", subject=athlete.id, from_date=assessment.local_date)
    return assessment, created


def correct_assessment(
    *,
    actor: Actor,
    assessment: Assessment,
    variation_id: UUID,
    tested: Performance,
    reason: str,
    now: dt.datetime,
    client_id: str | None = None,
) -> tuple[Assessment, bool]:
    """Replace a test by what it should have said; the old row stays, its observations go.

    Raises AlreadyCorrected, and what `record_assessment` raises.
    """
    athlete = assessment.athlete
    require_own_or_staff(actor, athlete)
    if not reason.strip():
        refuse([FieldProblem("#/reason", "blank", "Say why the test is corrected.")])
    version = checked_version(variation_id, tested, now)
    check_load(version, tested, athlete, mass_histories([athlete.id])[athlete.id])
    row = assessment_row(actor=actor, athlete=athlete, version=version, tested=tested, client_id=client_id)
    row.replaces, row.reason = assessment, reason
    with transaction.atomic():
        corrected, created = _insert_correction(row)
        if created:
            replace_observations(
                athlete_id=athlete.id, source=FROM_ASSESSMENT, source_id=assessment.id, rows=()
            )
            _observe(corrected, version.movement_id, version.curve_applies)
            earliest = min(assessment.local_date, corrected.local_date)
            record_change(kind="athlete", subject=athlete.id, from_date=earliest)
    return corrected, created


def _insert_correction(row: Assessment) -> tuple[Assessment, bool]:
    """Two corrections of one row at once: the unique key lets one through."""
    known = None if row.client_id is None else Assessment.objects.filter(client_id=row.client_id).first()
    if known is None and Assessment.objects.filter(replaces=row.replaces_id).exists():
        raise AlreadyCorrected()
    try:
        with transaction.atomic():
            return insert_once(row, same=CONTENT)
    except IntegrityError as error:
        if Assessment.objects.filter(replaces=row.replaces_id).exists():
            raise AlreadyCorrected() from error
        raise


def checked_version(variation_id: UUID, tested: Performance, now: dt.datetime) -> CatalogueVersion:
    """The variation's current version, when the test suits it (one query). Raises Invalid."""
    refuse_future(tested.performed_at, now, "#/performed_at")
    version = current_version(variation_id)
    problems = count_problems(tested)
    if version is None:
        detail = "There is no such variation in this organisation; list the variations and choose one."
        problems.append(FieldProblem("#/variation", "unknown_variation", detail))
    else:
        problems += setting_problems(version.variation, tested.settings)
    refuse(problems)
    assert version is not None  # else `refuse` has raised
    return version


def count_problems(tested: Performance, pointer: str = "#") -> list[FieldProblem]:
    """What contradicts itself in kind, repetitions, repetitions in reserve and ending."""
    found = []
    if tested.kind not in ENDINGS:
        return [FieldProblem(f"{pointer}/kind", "unknown_kind", f"Use one of: {', '.join(KINDS)}.")]
    if not 0 <= tested.repetitions <= MOST_REPETITIONS:
        detail = f"Must be a whole number from 0 to {MOST_REPETITIONS}."
        found.append(FieldProblem(f"{pointer}/repetitions", "out_of_range", detail))
    elif tested.kind == ONE_RM and tested.repetitions > 1:
        detail = "A one-repetition maximum has 1 repetition, or 0 when it was missed; else use to_failure."
        found.append(FieldProblem(f"{pointer}/repetitions", "contradiction", detail))
    elif tested.kind in (PLANNED, WITH_RIR) and tested.repetitions == 0:
        detail = "Stopping before the first repetition tells nothing; leave the test out."
        found.append(FieldProblem(f"{pointer}/repetitions", "out_of_range", detail))
    if (tested.rir is not None) != (tested.kind == WITH_RIR):
        detail = "Repetitions in reserve belong to the kind with_rir, and only there."
        found.append(FieldProblem(f"{pointer}/rir", "contradiction", detail))
    elif tested.rir is not None and not 0 <= tested.rir <= LARGEST_RIR:
        detail = f"Must be a whole number from 0 to {LARGEST_RIR}."
        found.append(FieldProblem(f"{pointer}/rir", "out_of_range", detail))
    if tested.ending not in ENDINGS[tested.kind]:
        detail = f"A test of the kind {tested.kind} ends by one of: {', '.join(ENDINGS[tested.kind])}."
        found.append(FieldProblem(f"{pointer}/ended_by", "contradiction", detail))
    return found


def check_load(version: CatalogueVersion, tested: Performance, athlete: Athlete, masses: MassHistory) -> None:
    """Raise BodyMassMissing or NotALoad unless a load comes out."""
    mass = masses.on(local_date(tested.performed_at, athlete.zone))
    if mass is None and fraction_of(version.variation, tested.settings.height_cm) > 0.0:
        raise BodyMassMissing()
    if effective_kg(version.variation, tested.settings, mass) is None:
        raise NotALoad()


def assessment_row(
    *,
    actor: Actor,
    athlete: Athlete,
    version: CatalogueVersion,
    tested: Performance,
    client_id: str | None = None,
) -> Assessment:
    """The row, not yet stored."""
    return Assessment(
        org_id=actor.org_id,
        athlete=athlete,
        variation_version_id=version.version_id,
        kind=tested.kind,
        load_kg=tested.settings.load_kg,
        assistance_kg=tested.settings.assistance_kg,
        height_cm=tested.settings.height_cm,
        repetitions=tested.repetitions,
        rir=tested.rir,
        ended_by=tested.ending,
        performed_at=tested.performed_at,
        zone=athlete.zone,
        local_date=local_date(tested.performed_at, athlete.zone),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )


def observation_of(assessment: Assessment, movement_id: UUID) -> ObservationRow | None:
    """What the test tells of capacity; None when it tells nothing."""
    kind, rir = _kind_seen(assessment)
    if kind in ("at_least", "at_least_weak") and assessment.repetitions == 0:
        return None
    return ObservationRow(
        ordinal=0,
        movement_id=movement_id,
        variation_version_id=assessment.variation_version_id,
        local_date=assessment.local_date,
        kind=kind,
        load_kg=assessment.load_kg,
        assistance_kg=assessment.assistance_kg,
        height_cm=assessment.height_cm,
        repetitions=float(assessment.repetitions),
        rir=rir,
    )


def _kind_seen(assessment: Assessment) -> tuple[str, float | None]:
    """(kind of athletes.calc.observation, repetitions in reserve): the way it ended decides what it tells."""
    if assessment.ended_by in WEAK_ENDINGS:
        return "at_least_weak", None
    if assessment.kind == WITH_RIR:
        return "rir", float(assessment.rir or 0)
    if assessment.kind == PLANNED:
        return "at_least", None
    if assessment.repetitions == 0:
        return "zero", None
    return assessment.kind, None


def _observe(assessment: Assessment, movement_id: UUID, curve_applies: bool) -> None:
    row = observation_of(assessment, movement_id) if curve_applies else None
    replace_observations(
        athlete_id=assessment.athlete_id,
        source=FROM_ASSESSMENT,
        source_id=assessment.id,
        rows=() if row is None else (row,),
    )
