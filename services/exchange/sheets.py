"""The sheets of an export: each table by the export map, and five that an import takes as they are.

A sheet gives its rows in pieces. Those by the map go by id, so that what is stored meanwhile moves nothing; the
others are read whole, in an order that does not depend on ids: two organisations with the same content have the same.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Final
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from athletes.models import Assessment, Athlete, BodyMass, TrainingLog
from programming.calc.revision import UNITS
from scoring.models import Attempt, SetLog
from scoring.sent import AS_PRESCRIBED, SETTINGS
from services.exchange.kept import TABLES, About, all_rows, columns_of, own_part, rows_about
from services.exchange.kinds import ATHLETES, MEANINGS, RESULTS, TESTS, TRAINING, WEIGHINGS
from services.exchange.known import reported
from services.tenancy.personal import Kept

ROWS_OF_A_PIECE: Final = 2000
_OF_A_SET: Final = (*SETTINGS, *UNITS, "rest_before_s", "duration_s", "rir", "interval")

Line = list[Any]


@dataclass(frozen=True)
class Sheet:
    """piece: the rows after a cursor ("" for the first ones), and the cursor of the next, "" at the end."""

    name: str
    header: tuple[str, ...]
    piece: Callable[[str], tuple[list[Line], str]]


def sheets(whom: About | None) -> list[Sheet]:
    """Of one athlete, or (None) of the organisation; for the same one always the same."""
    return [*(_by_map(table, whom) for table in TABLES if _goes_out(table, whom)), *_to_take_along(whom)]


def _goes_out(table: Kept, whom: About | None) -> bool:
    """Of an athlete what the export map names; what an export is made of goes into none."""
    if table.model == "exchange.ExportPiece":
        return False
    return whom is None or bool(table.personal or table.actors)


def _by_map(table: Kept, whom: About | None) -> Sheet:
    return Sheet(table.model, columns_of(table, whole=whom is None), partial(_rows_by_map, table, whom))


def _rows_by_map(table: Kept, whom: About | None, cursor: str) -> tuple[list[Line], str]:
    header = columns_of(table, whole=whom is None)
    rows = (all_rows(table) if whom is None else rows_about(table, whom)).order_by("pk").values(*header)
    if "id" not in header:  # its key is a secret, and stands in no cursor; nobody has many of these
        return [list(row.values()) for row in rows], ""
    if cursor:
        rows = rows.filter(pk__gt=UUID(cursor))
    found = list(rows[: ROWS_OF_A_PIECE + 1])
    here = found[:ROWS_OF_A_PIECE]
    following = str(here[-1]["id"]) if len(found) > len(here) else ""
    told = here if whom is None else [own_part(table, row, whom) for row in here]
    return [[row[name] for name in header] for row in told], following


def _to_take_along(whom: About | None) -> list[Sheet]:
    makers: tuple[tuple[str, Callable[[About | None], list[Line]]], ...] = (
        (ATHLETES, _athletes),
        (WEIGHINGS, _weighings),
        (TESTS, _tests),
        (RESULTS, _results),
        (TRAINING, _training),
    )
    return [Sheet(kind, plain_header(kind), partial(_whole, make, whom)) for kind, make in makers]


def plain_header(kind: str) -> tuple[str, ...]:
    """The columns of a kind that have a name of their own."""
    return tuple(meaning for meaning in MEANINGS[kind] if not meaning.endswith(":"))


def _whole(
    make: Callable[[About | None], list[Line]], whom: About | None, cursor: str
) -> tuple[list[Line], str]:
    return make(whom), ""


def _of(rows: QuerySet[Any], whom: About | None, path: str = "athlete_id") -> QuerySet[Any]:
    return rows if whom is None else rows.filter(**{path: whom.athlete_id})


def _athletes(whom: About | None) -> list[Line]:
    rows = _of(Athlete.objects.select_related("location"), whom, "id")
    return _ordered(
        [
            {
                "client_id": key_of(row),
                "name": row.name,
                "location": row.location.name,
                "sex": row.sex,
                "born_on": row.born_on,
                "zone": row.zone,
                "trains_alone": row.trains_alone,
                "kit": None if row.kit is None else _json(row.kit),
            }
            for row in rows
        ],
        ATHLETES,
    )


def _weighings(whom: About | None) -> list[Line]:
    rows = _of(BodyMass.objects.select_related("athlete"), whom)
    return _ordered(
        [
            {
                "client_id": key_of(row),
                "athlete": key_of(row.athlete),
                "body_mass": row.body_mass_kg,
                "measured_at": _instant(row.measured_at),
            }
            for row in rows
        ],
        WEIGHINGS,
    )


def _tests(whom: About | None) -> list[Line]:
    """Those that hold: of a corrected test, the correction."""
    later = Assessment.objects.filter(replaces=OuterRef("id"))
    rows = _of(Assessment.objects.filter(~Exists(later)), whom)
    return _ordered(
        [
            {
                "client_id": key_of(row),
                "athlete": key_of(row.athlete),
                "variation": row.variation_version.variation.key,
                "kind": row.kind,
                "performed_at": _instant(row.performed_at),
                "repetitions": row.repetitions,
                "rir": row.rir,
                "load": row.load_kg,
                "assistance": row.assistance_kg,
                "height_cm": row.height_cm,
                "hold": row.hold_s,
                "distance": row.distance_m,
                "energy_kcal": row.energy_kcal,
                "elapsed": row.elapsed_s,
                "ended_by": row.ended_by,
            }
            for row in rows.select_related("athlete", "variation_version__variation")
        ],
        TESTS,
    )


def _results(whom: About | None) -> list[Line]:
    """The version of each result that counts; where it was sent "as prescribed", the sets that this meant."""
    later = Attempt.objects.filter(replaces=OuterRef("id"))
    rows = _of(Attempt.objects.filter(~Exists(later)), whom)
    found = list(rows.select_related("athlete", "session__location", "session__revision"))
    sets = _sets([row.id for row in found if row.kind == AS_PRESCRIBED])
    return _ordered(
        [
            {
                "client_id": key_of(row),
                "athlete": key_of(row.athlete),
                "session_starts_at": _instant(row.session.starts_at),
                "location": row.session.location.name,
                "title": row.session.revision.document["title"],
                "performed_at": _instant(row.performed_at),
                "report": _json(_as_reported(row, sets.get(row.id, []))),
            }
            for row in found
        ],
        RESULTS,
    )


def _training(whom: About | None) -> list[Line]:
    rows = _of(TrainingLog.objects.select_related("athlete"), whom)
    return _ordered(
        [
            {
                "client_id": key_of(row),
                "athlete": key_of(row.athlete),
                "modality": row.modality,
                "effort": row.effort,
                "minutes": row.minutes,
                "started_at": _instant(row.started_at),
                "distance": row.distance_m,
                "mean_heart_rate": row.mean_heart_rate,
                "highest_heart_rate": row.highest_heart_rate,
                "note": row.note,
            }
            for row in rows
        ],
        TRAINING,
    )


def _as_reported(row: Attempt, sets: Sequence[dict[str, Any]]) -> dict[str, Any]:
    told = reported(row.as_sent)
    if sets:
        elapsed = {} if row.elapsed_s is None else {"elapsed_s": row.elapsed_s}
        told.pop(AS_PRESCRIBED, None)
        told["set_log"] = {"sets": list(sets), **elapsed}
    return told


def _sets(attempts: Sequence[UUID]) -> dict[UUID, list[dict[str, Any]]]:
    found: dict[UUID, list[dict[str, Any]]] = {}
    rows = SetLog.objects.filter(attempt_id__in=attempts).select_related("variation_version__variation")
    for row in rows.order_by("attempt_id", "ordinal"):
        told = {name: getattr(row, name) for name in _OF_A_SET}
        one = {"work": row.work, "variation": row.variation_version.variation.key, "ended_by": row.ended_by}
        found.setdefault(row.attempt_id, []).append(
            one | {name: value for name, value in told.items() if value is not None}
        )
    return found


def _ordered(rows: list[dict[str, Any]], kind: str) -> list[Line]:
    lines = [[row.get(name) for name in plain_header(kind)] for row in rows]
    return sorted(lines, key=lambda line: [str(cell) for cell in line])


def key_of(row: Athlete | BodyMass | Assessment | Attempt | TrainingLog) -> str:
    """By which an import knows the row again: its client_id, else its id."""
    return row.client_id or str(row.id)


def _instant(value: dt.datetime) -> str:
    return value.astimezone(dt.UTC).isoformat().replace("+00:00", "Z")


def _json(value: Any) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=False)
