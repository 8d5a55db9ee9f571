"""Rows put into a table by a statement that is written once for a process.

What the library's way of inserting many spends on one or two rows is several times what PostgreSQL takes for them;
a recompute inserts into five tables.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TypeVar

from django.db import connection, models

from services.tenancy.cursors import kept_cursor

ModelT = TypeVar("ModelT", bound=models.Model)

MOST_STATEMENTS = 256


def insert(rows: Sequence[ModelT], *, key: tuple[str, ...] = (), written: tuple[str, ...] = ()) -> None:
    """Insert instances of one model, with the ids that they have (one query, none for no rows).

    key, written: names of fields. Where a row with the same `key` is there already, it takes the `written` ones and
    keeps the others. Meant for few rows: each number of them is a statement of its own.
    """
    if bool(key) != bool(written):
        raise ValueError("Name both key and written, or neither.")
    if not rows:
        return
    fields = rows[0]._meta.concrete_fields
    values = [
        field.get_db_prep_save(field.pre_save(row, add=True), connection) for row in rows for field in fields
    ]
    cursor = kept_cursor()
    cursor.execute(_statement(type(rows[0]), len(rows), key, written), values)
    for row in rows:
        row._state.adding, row._state.db = False, connection.alias


@lru_cache(maxsize=MOST_STATEMENTS)
def _statement(model: type[models.Model], count: int, key: tuple[str, ...], written: tuple[str, ...]) -> str:
    quote, named = connection.ops.quote_name, model._meta.get_field
    columns = [quote(str(field.column)) for field in model._meta.concrete_fields]
    row = f"({', '.join('%s' for _ in columns)})"
    statement = (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(columns)}) VALUES {', '.join([row] * count)}"
    )
    if not key:
        return statement
    told = (quote(str(named(name).column)) for name in key)  # type: ignore[union-attr]
    taken = (quote(str(named(name).column)) for name in written)  # type: ignore[union-attr]
    updates = ", ".join(f"{column} = EXCLUDED.{column}" for column in taken)
    return f"{statement} ON CONFLICT ({', '.join(told)}) DO UPDATE SET {updates}"
