"""What kinds of table come in, and what their columns may mean. The same columns go out, so that what is exported
here can be imported there.

A meaning that ends in ":" stands for all that begin so: `repetitions:row` are the repetitions of the work item "row".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from services.exchange.cells import DISTANCE, MASS, ORDERS, TIMES, is_clock, is_iso_day
from services.exchange.table import Table, TableError, is_known, read_table

ATHLETES, WEIGHINGS, TESTS, RESULTS = "athletes", "weighings", "tests", "results"
TRAINING = "training"

# By meaning, whether the table cannot do without it.
MEANINGS: Final[Mapping[str, Mapping[str, bool]]] = {
    ATHLETES: {
        "client_id": False,
        "name": True,
        "location": False,
        "sex": False,
        "born_on": False,
        "zone": False,
        "trains_alone": False,
        "kit": False,
    },
    WEIGHINGS: {
        "client_id": False,
        "athlete": True,
        "body_mass": True,
        "measured_at": False,
        "date": False,
    },
    TESTS: {
        "client_id": False,
        "athlete": True,
        "variation": True,
        "kind": True,
        "performed_at": False,
        "date": False,
        "repetitions": False,
        "rir": False,
        "load": False,
        "assistance": False,
        "height_cm": False,
        "hold": False,
        "distance": False,
        "energy_kcal": False,
        "elapsed": False,
        "ended_by": False,
    },
    RESULTS: {
        "client_id": False,
        "athlete": True,
        "session": False,
        "session_starts_at": False,
        "session_date": False,
        "location": False,
        "title": False,
        "performed_at": False,
        "elapsed": False,
        "breaks": False,
        "effort": False,
        "note": False,
        "report": False,
        "repetitions:": False,
        "hold_s:": False,
        "distance_m:": False,
        "energy_kcal:": False,
    },
    TRAINING: {
        "client_id": False,
        "athlete": True,
        "modality": True,
        "effort": True,
        "minutes": True,
        "started_at": False,
        "date": False,
        "distance": False,
        "mean_heart_rate": False,
        "highest_heart_rate": False,
        "note": False,
    },
}
KINDS: Final = tuple(MEANINGS)

MASSES: Final = frozenset({"body_mass", "load", "assistance"})
DISTANCES: Final = frozenset({"distance"})
DURATIONS: Final = frozenset({"elapsed", "hold", "minutes"})
DAYS: Final = frozenset({"born_on", "date", "session_date"})
UNITS: Final = (*MASS, *DISTANCE, *TIMES)


@dataclass(frozen=True)
class Column:
    """What the sender says of a column: its own name, its meaning, and how its cells are written, "" for unsaid."""

    name: str
    means: str
    unit: str = ""
    order: str = ""


@dataclass(frozen=True)
class Written:
    """A table with how the cells of each meaning are written."""

    table: Table
    units: Mapping[str, str]
    orders: Mapping[str, str]


def read_as(kind: str, text: str, columns: Sequence[Column]) -> Written:
    """Raises TableError for what cannot be read as this kind, and for what may be meant in two ways."""
    named = [one.name for one in columns]
    twice = sorted({name for name in named if named.count(name) > 1})
    if twice:
        raise TableError(f"Say once what a column means: {', '.join(twice)}.")
    table = read_table(text, {one.name: one.means for one in columns}, MEANINGS[kind])
    units, orders = {}, {}
    for one in columns:
        if one.unit:
            units[one.means] = _unit(one)
        if one.order:
            if one.means not in DAYS:
                raise TableError(f"{one.name} holds no days, so it has no order of day, month and year.")
            orders[one.means] = one.order
    _refuse_doubtful(table, units, orders)
    return Written(table, units, orders)


def _unit(column: Column) -> str:
    allowed: tuple[str, ...] = ()
    if column.means in MASSES:
        allowed = tuple(MASS)
    elif column.means in DISTANCES:
        allowed = tuple(DISTANCE)
    elif column.means in DURATIONS:
        allowed = TIMES
    if column.unit not in allowed:
        words = ", ".join(allowed) or "none: what it means says it"
        raise TableError(f"{column.name} cannot be in {column.unit}; its units are {words}.")
    return column.unit


def _refuse_doubtful(table: Table, units: Mapping[str, str], orders: Mapping[str, str]) -> None:
    """Ask, instead of guessing, where the cells of a column may be meant in two ways and nobody has said how."""
    for meaning, name in table.names.items():
        cells = [(row.number, row.cells.get(meaning, "")) for row in table.rows]
        if meaning in DURATIONS and meaning not in units:
            found = next((one for one in cells if is_clock(one[1])), None)
            if found is not None:
                raise TableError(
                    f"{name}, row {found[0]}: {found[1]} may be hours and minutes, or minutes and seconds. Map the"
                    f" column with its unit: min:s (38:31, and 38:31:00 from a spreadsheet) or h:min:s."
                )
        if meaning in DAYS and meaning not in orders:
            found = next((one for one in cells if one[1] and not is_iso_day(one[1])), None)
            if found is not None:
                raise TableError(
                    f"{name}, row {found[0]}: {found[1]} is not written like 2030-01-31. Map the column with its"
                    f" order: {', '.join(ORDERS)}."
                )


def amounts_named(meanings: Sequence[str]) -> list[tuple[str, str, str]]:
    """(meaning, unit, work) of the columns that hold amounts of work items."""
    found = []
    for meaning in meanings:
        unit, colon, work = meaning.partition(":")
        if colon and is_known(meaning, MEANINGS[RESULTS]):
            found.append((meaning, unit, work))
    return found
