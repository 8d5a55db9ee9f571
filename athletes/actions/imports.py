"""Taking in a roster: athletes, weighings and tests of many rows at once, each of them at most once.

Every row and everything in it has a `client_id` made from the row (athletes.roster), so the same file again
finds what it made. A row with a fault stores nothing; the other rows are not held up by it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar
from uuid import UUID

from django.db import transaction

from athletes.actions.doubted_tests import Doubter
from athletes.actions.import_rows import Known, Made, Outcome, RowImport, RowReport, weighing_key
from athletes.actions.observations import FROM_ASSESSMENT, add_observations
from athletes.actions.support import require_staff
from athletes.actions.tested import observation_of
from athletes.catalogue import current_versions_by_key
from athletes.models import Assessment, Athlete, BodyMass
from athletes.queries import mass_histories
from athletes.roster import Roster, RosterError, read_roster
from services.changes.actions import LOW_PRIORITY, record_changes
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor
from services.tenancy.queries import locations_visible_to

RowT = TypeVar("RowT", Athlete, BodyMass, Assessment)


@dataclass(frozen=True)
class ImportReport:
    dry_run: bool
    rows: tuple[RowReport, ...]
    ignored_columns: tuple[str, ...]

    def count(self, outcome: Outcome) -> int:
        return sum(row.outcome == outcome for row in self.rows)


def import_athletes(
    *,
    actor: Actor,
    text: str,
    mapping: Mapping[str, str],
    location_id: UUID | None,
    now: dt.datetime,
    dry_run: bool,
) -> ImportReport:
    """Take in a roster, or with `dry_run` say what would become of each row (a fixed number of queries).

    `location_id` is the location of rows that name none. Raises Invalid when the file as a whole cannot be
    read, Forbidden.
    """
    require_staff(actor)
    try:
        roster = read_roster(text, mapping)
        known = _known(actor, roster, location_id)
    except RosterError as error:
        raise Invalid(errors=[FieldProblem("#/csv", "unreadable_roster", str(error))]) from error
    made, reports = Made(), []
    first_line: dict[str, int] = {}
    for row in roster.rows:
        earlier = first_line.setdefault(row.client_key, row.number)
        if row.name and earlier != row.number:
            row.faults.append(("name", f"The same athlete as in row {earlier}; give each a client_id."))
        reports.append(RowImport(actor, row, known, now).take(made))
    if not dry_run:
        _store(made, now)
    return ImportReport(dry_run, tuple(reports), roster.ignored_columns)


def _known(actor: Actor, roster: Roster, location_id: UUID | None) -> Known:
    locations = list(locations_visible_to(actor))
    default = next((location for location in locations if location.id == location_id), None)
    if location_id is not None and default is None:
        raise RosterError("The location named for the whole file does not exist in this organisation.")
    versions = current_versions_by_key({column.variation for column in roster.test_columns})
    unknown = sorted({column.variation for column in roster.test_columns} - versions.keys())
    if unknown:
        raise RosterError(f"There are no variations with the keys {', '.join(unknown)}.")
    athletes = _by_client_id(Athlete, [row.client_key for row in roster.rows])
    return Known(
        locations={location.name.casefold(): location for location in locations},
        default_location=default,
        versions=versions,
        athletes=athletes,
        weighings=_by_client_id(BodyMass, [weighing_key(row) for row in roster.rows]),
        assessments=_by_client_id(Assessment, [t.client_key for row in roster.rows for t in row.tests]),
        masses=mass_histories([athlete.id for athlete in athletes.values()]),
        doubter=Doubter(
            [athlete.id for athlete in athletes.values()],
            {version.movement_id for version in versions.values()},
        ),
    )


def _by_client_id(model: type[RowT], keys: list[str]) -> dict[str, RowT]:
    return {str(row.client_id): row for row in model.objects.filter(client_id__in=keys)}


def _store(made: Made, now: dt.datetime) -> None:
    """Everything in one transaction, one statement for each table, and the changes behind it."""
    days = [row.local_date for row in made.weighings] + [row.local_date for row, _ in made.assessments]
    subjects = {row.id for row in made.athletes} | {row.athlete_id for row in made.weighings}
    subjects |= {row.athlete_id for row, _ in made.assessments}
    seen = [
        (row.athlete_id, row.id, observation)
        for row, version in made.assessments
        if (observation := observation_of(row, version)) is not None
    ]
    with transaction.atomic():
        Athlete.objects.bulk_create(made.athletes)
        BodyMass.objects.bulk_create(made.weighings)
        Assessment.objects.bulk_create(row for row, _ in made.assessments)
        add_observations(source=FROM_ASSESSMENT, rows=seen)
        # A roster is no hurry: results of a class that come in meanwhile go first.
        record_changes(
            kind="athlete", subjects=subjects, from_date=min(days, default=None), priority=LOW_PRIORITY
        )
