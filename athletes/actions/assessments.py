"""Tests: stored as sent, never changed; a correction is a new row that names the one it replaces."""

from __future__ import annotations

import datetime as dt
from typing import Final
from uuid import UUID

from django.db import IntegrityError, transaction

from athletes.actions.doubted_tests import refuse_doubted
from athletes.actions.observations import FROM_ASSESSMENT, replace_observations
from athletes.actions.support import (
    insert_once,
    local_date,
    refuse,
    refuse_future,
    refuse_long_ago,
    require_own_or_staff,
)
from athletes.actions.tested import (
    TIME_TRIAL,
    Performance,
    count_problems,
    observation_of,
    unit_problems,
)
from athletes.catalogue import CatalogueVersion, current_version
from athletes.errors import AlreadyCorrected, BodyMassMissing, NotALoad
from athletes.models import Assessment, Athlete
from athletes.performed import (
    MassHistory,
    effective_kg,
    fraction_of,
    setting_problems,
)
from athletes.queries import mass_histories
from services.changes.actions import record_change
from services.problems import FieldProblem
from services.tenancy.actor import Actor

CONTENT: Final = (
    "athlete_id",
    "variation_version_id",
    "kind",
    "load_kg",
    "assistance_kg",
    "height_cm",
    "repetitions",
    "rir",
    "hold_s",
    "distance_m",
    "energy_kcal",
    "elapsed_s",
    "ended_by",
    "performed_at",
    "replaces_id",
    "reason",
)


def record_assessment(
    *,
    actor: Actor,
    athlete: Athlete,
    variation_id: UUID,
    tested: Performance,
    now: dt.datetime,
    client_id: str | None = None,
    confirmed: bool = False,
    priority: int = 0,
) -> tuple[Assessment, bool]:
    """Store a test of the variation as it is now, with what it tells; (row, was created).

    confirmed: whoever records it says that it is right, however unlikely. priority: of the recompute. Raises Invalid,
    BodyMassMissing, NotALoad, ImplausibleTest, Forbidden, ClientIdReused.
    """
    require_own_or_staff(actor, athlete)
    version = checked_version(variation_id, tested, now)
    masses = mass_histories([athlete.id])[athlete.id]
    check_load(version, tested, athlete, masses)
    row = assessment_row(actor=actor, athlete=athlete, version=version, tested=tested, client_id=client_id)
    with transaction.atomic():
        assessment, created = insert_once(row, same=CONTENT)
        if created:  # what was stored before is answered as it was
            refuse_long_ago(tested.performed_at, now, athlete, "#/performed_at")
            refuse_doubted(
                actor, athlete, version, tested,
                masses=masses, day=assessment.local_date, confirmed=confirmed,
            )  # fmt: skip
            _observe(assessment, version)
            record_change(
                kind="athlete", subject=athlete.id, from_date=assessment.local_date, priority=priority
            )
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
    confirmed: bool = False,
) -> tuple[Assessment, bool]:
    """Replace a test by what it should have said; the old row stays, its observations go.

    Raises AlreadyCorrected, and what `record_assessment` raises.
    """
    athlete = assessment.athlete
    require_own_or_staff(actor, athlete)
    if not reason.strip():
        refuse([FieldProblem("#/reason", "blank", "Say why the test is corrected.")])
    version = checked_version(variation_id, tested, now)
    masses = mass_histories([athlete.id])[athlete.id]
    check_load(version, tested, athlete, masses)
    row = assessment_row(actor=actor, athlete=athlete, version=version, tested=tested, client_id=client_id)
    row.replaces, row.reason = assessment, reason
    with transaction.atomic():
        corrected, created = _insert_correction(row)
        if created:
            refuse_long_ago(tested.performed_at, now, athlete, "#/performed_at")
            refuse_doubted(
                actor, athlete, version, tested,
                masses=masses, day=corrected.local_date, confirmed=confirmed, replaced=assessment.id,
            )  # fmt: skip
            replace_observations(
                athlete_id=athlete.id, source=FROM_ASSESSMENT, source_id=assessment.id, rows=()
            )
            _observe(corrected, version)
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
        problems += unit_problems(version, tested)
    refuse(problems)
    assert version is not None  # else `refuse` has raised
    return version


def check_load(version: CatalogueVersion, tested: Performance, athlete: Athlete, masses: MassHistory) -> None:
    """Raise BodyMassMissing or NotALoad unless a load comes out; a time trial needs none."""
    if tested.kind == TIME_TRIAL:
        return
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
        hold_s=tested.hold_s,
        distance_m=tested.distance_m,
        energy_kcal=tested.energy_kcal,
        elapsed_s=tested.elapsed_s,
        ended_by=tested.ending,
        performed_at=tested.performed_at,
        zone=athlete.zone,
        local_date=local_date(tested.performed_at, athlete.zone),
        client_id=client_id,
        recorded_by_id=actor.person_id,
    )


def _observe(assessment: Assessment, version: CatalogueVersion) -> None:
    row = observation_of(assessment, version)
    replace_observations(
        athlete_id=assessment.athlete_id,
        source=FROM_ASSESSMENT,
        source_id=assessment.id,
        rows=() if row is None else (row,),
    )
