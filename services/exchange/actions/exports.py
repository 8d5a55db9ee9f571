"""Everything of an athlete, or of the organisation, going out: asked for, written by the worker, fetched, expired."""

from __future__ import annotations

import datetime as dt
from contextlib import AbstractContextManager, nullcontext
from itertools import groupby
from typing import Final
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from athletes.models import Athlete
from athletes.queries import athletes_visible_to
from services.api.errors import InsufficientScope
from services.changes.actions import LOW_PRIORITY, record_change
from services.exchange.archive import Part, archive, lines_of_csv, lines_of_json
from services.exchange.errors import ExportNotReady, TooManyExports
from services.exchange.kept import About, about
from services.exchange.models import Export, ExportPiece
from services.exchange.sheets import Sheet, sheets
from services.exchange.states import DONE, EXPIRED, FAILED, WAITING, WORKING
from services.problems import FieldProblem, Forbidden, Invalid
from services.tenancy.actor import Actor, Role, Scope
from services.tenancy.context import person
from services.tenancy.locks import wait_for
from services.tenancy.queries import actor_for

LIFE: Final = dt.timedelta(days=7)
MOST_EXPORTS: Final = 5
MOST_BYTES: Final = 64 * 1024 * 1024
"""Compressed; the file is put together in memory when it is fetched."""
STEPS: Final = 25
"""Pieces of one message, so that others of the organisation get their turn in between."""
NO_RIGHT: Final = "Whoever asked for this may not see it any more."
TOO_LARGE: Final = (
    "There is more than one file can hold; ask for single athletes, or the operator for the database."
)
# An export tells all of somebody; a token that may not read all of that makes none.
NEEDED: Final = (Scope.ATHLETES_READ, Scope.RESULTS_READ, Scope.PROGRAMME_READ)


@transaction.atomic
def make_export(*, actor: Actor, athlete_id: UUID | None) -> Export:
    """Ask for everything of an athlete, or (None) of the organisation.

    Of an athlete the athlete, owners and coaches; of the organisation owners alone, with the scope admin. Raises
    Forbidden, InsufficientScope, Invalid, TooManyExports.
    """
    needed = (*NEEDED, *(() if athlete_id else (Scope.ADMIN,)))
    missing = [str(scope) for scope in needed if scope not in actor.scopes]
    if missing:
        raise InsufficientScope(f"An export needs a token with the scopes {', '.join(missing)} as well.")
    if not _may(actor, athlete_id):
        if athlete_id is None:
            raise Forbidden("Only an owner takes everything of the organisation along.")
        if actor.role == Role.LOCATION_STAFF:
            raise Forbidden("An export tells of health; the athlete, an owner or a coach asks for it.")
        detail = "You see no athlete with this id."
        raise Invalid(errors=[FieldProblem("#/athlete", "unknown_reference", detail)])
    wait_for(f"{actor.org_id}/exports/{actor.person_id}")
    open_ones = Export.objects.filter(made_by_id=actor.person_id, state__in=(WAITING, WORKING, DONE))
    if open_ones.count() >= MOST_EXPORTS:
        raise TooManyExports()
    made = Export(org_id=actor.org_id, athlete_id=athlete_id, made_by_id=actor.person_id)
    made.sheets_total = len(sheets(_whom(made)))
    made.save(force_insert=True)
    record_change(kind="export", subject=made.id, priority=LOW_PRIORITY)
    return made


def _may(actor: Actor, athlete_id: UUID | None) -> bool:
    if athlete_id is None:
        return actor.role == Role.OWNER
    if actor.role == Role.LOCATION_STAFF:
        return False
    return athletes_visible_to(actor).filter(id=athlete_id).exists()


def _whom(export: Export) -> About | None:
    return None if export.athlete_id is None else about(Athlete.objects.get(id=export.athlete_id))


def write_next(export_id: UUID, now: dt.datetime, *, is_last: bool) -> None:
    """The next piece, in the caller's transaction; nothing where the export is done. is_last: of this message."""
    export = Export.objects.select_for_update(of=("self",)).filter(id=export_id, finished_at=None).first()
    if export is None:
        return
    actor = actor_for(export.made_by_id, export.org_id)
    if actor is None or not _may(actor, export.athlete_id):
        _end(export, FAILED, now, NO_RIGHT)
        return
    whom = _whom(export)
    with _own_rows(whom, actor):
        _write(export, sheets(whom)[export.sheets_done])
    if export.size > MOST_BYTES:
        _end(export, FAILED, now, TOO_LARGE)
    elif export.sheets_done == export.sheets_total:
        _end(export, DONE, now, "")
    elif is_last:
        record_change(kind="export", subject=export.id, priority=LOW_PRIORITY)


def _own_rows(whom: About | None, actor: Actor) -> AbstractContextManager[None]:
    """What belongs to a person, as their tokens do, goes out to that person alone."""
    mine = whom is not None and whom.person_id == actor.person_id
    return person(actor.person_id) if mine else nullcontext()


def _write(export: Export, sheet: Sheet) -> None:
    lines, cursor = sheet.piece(export.cursor)
    piece = ExportPiece(
        org_id=export.org_id,
        export=export,
        sheet=sheet.name,
        ordinal=ExportPiece.objects.filter(export=export).count(),
        rows=len(lines),
        csv=lines_of_csv(lines),
        json_lines=lines_of_json(sheet.header, lines),
    )
    piece.save(force_insert=True)
    export.state, export.cursor = WORKING, cursor
    export.size += len(piece.csv) + len(piece.json_lines)
    export.sheets_done += 0 if cursor else 1
    export.save(update_fields=["state", "cursor", "size", "sheets_done"])


def _end(export: Export, state: str, now: dt.datetime, reason: str) -> None:
    if state == FAILED:
        ExportPiece.objects.filter(export=export).delete()
    Export.objects.filter(id=export.id).update(
        state=state, reason=reason, finished_at=now, expires_at=now + LIFE if state == DONE else None
    )


def file_of(export: Export, actor: Actor, now: dt.datetime) -> bytes:
    """The archive. Raises ExportNotReady, Forbidden where the right to it has gone since."""
    if not _may(actor, export.athlete_id):
        raise Forbidden(NO_RIGHT)
    if export.state != DONE or export.expires_at is None or export.expires_at <= now:
        raise ExportNotReady()
    headers = {sheet.name: sheet.header for sheet in sheets(_whom(export))}
    pieces = ExportPiece.objects.filter(export=export).order_by("ordinal")
    parts = []
    for name, group in groupby(pieces, key=lambda piece: piece.sheet):
        found = list(group)
        parts.append(
            Part(
                name,
                headers[name],
                [bytes(piece.csv) for piece in found],
                [bytes(piece.json_lines) for piece in found],
                sum(piece.rows for piece in found),
            )
        )
    told = {
        "organisation": str(export.org_id),
        "athlete": None if export.athlete_id is None else str(export.athlete_id),
        "finished_at": None if export.finished_at is None else export.finished_at.isoformat(),
    }
    return archive(told, parts)


@transaction.atomic
def delete_export(*, export: Export) -> None:
    """At once, whether it is written or not."""
    ExportPiece.objects.filter(export=export).delete()
    Export.objects.filter(id=export.id).delete()


def drop_expired(*, now: dt.datetime) -> int:
    """Remove what exports hold whose time is over; how many there were. Part of the sweep."""
    over = Export.objects.filter(Q(state=DONE) & Q(expires_at__lte=now))
    ids = list(over.values_list("id", flat=True))
    ExportPiece.objects.filter(export_id__in=ids).delete()
    return over.update(state=EXPIRED, size=0)
