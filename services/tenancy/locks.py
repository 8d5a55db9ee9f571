"""Advisory locks by a name, each until the transaction ends (or the savepoint that took it is taken back).

Names are of the whole database: what belongs to an organisation begins with its id.
"""

from __future__ import annotations

from services.tenancy.cursors import kept_cursor


def wait_for(name: str) -> None:
    """Take the lock, as soon as nobody else has it. One query."""
    cursor = kept_cursor()
    cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [name])


def try_to_take(name: str) -> bool:
    """Take the lock unless somebody else has it; False then. One query."""
    cursor = kept_cursor()
    cursor.execute("SELECT pg_try_advisory_xact_lock(hashtextextended(%s, 0))", [name])
    return bool(cursor.fetchone()[0])
