"""Tables coming in: looked over at the door, taken in pieces by the worker, each row at most once."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Final
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from athletes.actions.support import require_staff
from services.api.handler import translate
from services.changes.actions import LOW_PRIORITY, record_change
from services.exchange.actions.takers import FROM_COLUMN, INSTANTS, Taken, Taker
from services.exchange.kinds import Column, read_as
from services.exchange.models import Import, ImportRow
from services.exchange.states import CREATED, DONE, DUPLICATE, FAILED, INVALID, WORKING
from services.exchange.table import Row, TableError
from services.exchange.told import RowFaultError
from services.problems import DomainError, FieldProblem, Invalid
from services.tenancy.actor import Actor
from services.tenancy.queries import actor_for, locations_visible_to

PIECE: Final = 100
"""Rows of one transaction: a few seconds of it, where a lease is a minute."""
PIECES: Final = 5
"""Of one message, so that others of the organisation get their turn in between."""
MOST_PROBLEMS: Final = 10
LONGEST: Final = dt.timedelta(days=7)
NOT_DONE: Final = "It could not be worked off within a week; send it again."
NO_MEMBER: Final = "Whoever sent this is not a member of the organisation's staff any more."


@transaction.atomic
def make_import(
    *,
    actor: Actor,
    kind: str,
    text: str,
    columns: Sequence[Column],
    location_id: UUID | None,
    dry_run: bool,
) -> tuple[Import, bool]:
    """Look the table over, and let the worker take its rows; (import, was made now).

    The same table with the same columns is the same import. Raises Invalid for what cannot be read as a whole, or may
    be meant in two ways; Forbidden.
    """
    require_staff(actor)
    if location_id is not None and not locations_visible_to(actor).filter(id=location_id).exists():
        detail = "There is no such location in this organisation."
        raise Invalid(errors=[FieldProblem("#/location", "unknown_reference", detail)])
    try:
        written = read_as(kind, text, columns)
    except TableError as error:
        raise Invalid(errors=[FieldProblem("#/csv", "unreadable_table", str(error))]) from error
    told = [asdict(one) for one in columns]
    sha256 = _digest(kind, text, told, location_id)
    known = Import.objects.filter(made_by_id=actor.person_id, sha256=sha256, dry_run=False).exclude(
        state=FAILED
    )
    if not dry_run and (found := known.first()) is not None:
        return found, False
    try:
        with transaction.atomic():
            made = Import.objects.create(
                org_id=actor.org_id,
                kind=kind,
                dry_run=dry_run,
                columns=told,
                location_id=location_id,
                sha256=sha256,
                text=text,
                rows_total=len(written.table.rows),
                ignored_columns=list(written.table.ignored),
                made_by_id=actor.person_id,
            )
    except IntegrityError:  # sent twice at once
        return known.get(), False
    record_change(kind="import", subject=made.id, priority=LOW_PRIORITY)
    return made, True


def _digest(kind: str, text: str, columns: object, location_id: UUID | None) -> str:
    content = json.dumps([kind, columns, str(location_id), text], sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()


class Work:
    """An import being worked off: what its rows refer to is read once for all the pieces of a message."""

    def __init__(self, import_id: UUID, now: dt.datetime) -> None:
        """Raises nothing: an import that is gone, or done, has no pieces left."""
        self.now = now
        self.job = Import.objects.filter(id=import_id, finished_at=None).first()
        self.taker: Taker | None = None
        self.rows: Sequence[Row] = ()
        if self.job is None:
            return
        actor = actor_for(self.job.made_by_id, self.job.org_id)
        if actor is None or actor.role == "athlete":
            _end(self.job, FAILED, NO_MEMBER)
            return
        written = read_as(self.job.kind, self.job.text, [Column(**one) for one in self.job.columns])
        self.taker = Taker(self.job.kind, written, actor, self.job.location_id, now)
        self.rows = written.table.rows
        self.written = written

    def pieces(self) -> list[tuple[int, int]]:
        """(first, behind the last) position of each piece of this message."""
        if self.job is None or self.taker is None:
            return []
        done = self.job.rows_done
        last = min(len(self.rows), done + PIECE * PIECES)
        return [(first, min(first + PIECE, last)) for first in range(done, last, PIECE)]

    def take(self, first: int, behind: int) -> None:
        """Take one piece, in the caller's transaction; what an earlier try has taken is left alone."""
        assert self.job is not None and self.taker is not None
        held = Import.objects.select_for_update().get(id=self.job.id)
        if held.rows_done != first or held.finished_at is not None:
            return
        reports = [self._report(row) for row in self.rows[first:behind]]
        ImportRow.objects.bulk_create(reports)
        count = [report.outcome for report in reports].count
        Import.objects.filter(id=held.id).update(
            state=WORKING,
            rows_done=behind,
            created_rows=F("created_rows") + count(CREATED),
            duplicate_rows=F("duplicate_rows") + count(DUPLICATE),
            invalid_rows=F("invalid_rows") + count(INVALID),
        )
        if behind == len(self.rows):
            _end(held, DONE, "")
        elif behind == self.pieces()[-1][1]:
            record_change(kind="import", subject=held.id, priority=LOW_PRIORITY)

    def _report(self, row: Row) -> ImportRow:
        assert self.job is not None
        report = ImportRow(org_id=self.job.org_id, taken=self.job, number=row.number, outcome=INVALID)
        try:
            taken = self._taken(row)
        except RowFaultError as error:
            report.problems = [self._said(meaning, detail) for meaning, detail in error.faults]
        except Exception as error:
            refused = translate(error)
            if refused is None:
                raise
            report.problems = self._problems(refused)
        else:
            report.outcome = CREATED if taken.is_new else DUPLICATE
            if not (taken.is_new and self.job.dry_run):
                report.athlete_id, report.record = taken.athlete, taken.record
        return report

    def _taken(self, row: Row) -> Taken:
        """In a savepoint of its own, so that a row that is refused half-way leaves nothing; a dry run leaves none."""
        assert self.job is not None and self.taker is not None
        with transaction.atomic():
            taken = self.taker.take(row)
            if self.job.dry_run:
                transaction.set_rollback(True)
            return taken

    def _problems(self, error: DomainError) -> list[list[str]]:
        found = [self._said(_meaning(one.pointer), one.detail) for one in error.errors[:MOST_PROBLEMS]]
        return found or [self._said("", error.detail)]

    def _said(self, meaning: str, detail: str) -> list[str]:
        """Under the name that the column has in the file; of an instant that was made of a date, that of the date."""
        names = self.written.table.names
        made_of = "date" if meaning in INSTANTS and meaning not in names else meaning
        return [names.get(made_of, ""), detail]


def _meaning(pointer: str) -> str:
    """Of a field in a body, the meaning of the column it came from."""
    name = pointer.removeprefix("#/").split("/")[0]
    return FROM_COLUMN.get(name, name)


def give_up(*, now: dt.datetime) -> int:
    """End imports that a fault of ours holds up: their tables are not kept for ever. Part of the sweep."""
    hanging = Import.objects.filter(finished_at=None, created_at__lte=now - LONGEST)
    return hanging.update(state=FAILED, reason=NOT_DONE, text="", finished_at=now)


def _end(job: Import, state: str, reason: str) -> None:
    """What was sent is not kept longer than it is needed."""
    Import.objects.filter(id=job.id).update(state=state, reason=reason, text="", finished_at=timezone.now())
