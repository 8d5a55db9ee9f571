"""All rows of an organisation as one value for each table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import connection, transaction

from services.tenancy.context import person, tenant

if TYPE_CHECKING:
    from tests.contracts.stage import Side

_TABLES = """
SELECT c.relname FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'org_id'
WHERE n.nspname = 'public' AND c.relkind IN ('r', 'p') ORDER BY 1
"""


# What reading notes: that somebody has read, and how often.
_NOTED = {"exchange_feed": "to_jsonb(t) - '{reads,reads_since,last_read_at}'::text[]"}

_MEMBERS = "id IN (SELECT person_id FROM tenancy_membership WHERE org_id = %s)"


def fingerprint(side: Side) -> dict[str, str]:
    """(number of rows, MD5 of all rows) of each table of the organisation, of itself, its people, a token."""
    org_id = side.cast.org.id
    coach = side.people["coach"].person.id
    with transaction.atomic(), tenant(org_id), person(coach), connection.cursor() as cursor:
        cursor.execute(_TABLES)
        tables = [name for (name,) in cursor.fetchall()]
        assert len(tables) > 20, "the tables of the organisation are not seen"
        wanted = [(table, "org_id = %s", org_id) for table in tables]
        wanted.append(("tenancy_organisation", "id = %s", org_id))
        wanted.append(("tenancy_person", _MEMBERS, org_id))
        parts = [
            f"SELECT '{table}', count(*), md5(string_agg(md5(({_NOTED.get(table, 't')})::text), '' ORDER BY id))"
            f" FROM {table} t WHERE {where}"
            for table, where, _ in wanted
        ]
        # Not the whole row: the use of a token is noted in it.
        parts.append(
            "SELECT 'tokens', count(*), md5(string_agg(digest || scopes::text, '' ORDER BY digest))"
            " FROM access_apitoken WHERE user_id = %s"
        )
        cursor.execute(" UNION ALL ".join(parts), [*(value for *_, value in wanted), coach])
        return {table: f"{count} {digest}" for table, count, digest in cursor.fetchall()}


def differences(before: dict[str, str], after: dict[str, str]) -> list[str]:
    return sorted(table for table in before if before[table] != after.get(table))
