"""What prescriptions store is compressed by lz4 where the server has it, and no server fails that has not."""

from __future__ import annotations

import pytest
from django.db import connection

from services.tenancy.operations import compress_quickly

pytestmark = pytest.mark.django_db

LZ4 = "l"


def compression_of(table: str) -> dict[str, str]:
    """By column of JSON, as PostgreSQL's catalogue tells it: one letter, nothing for what the server does anyway."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT attname, attcompression::text FROM pg_attribute"
            " WHERE attrelid = %s::regclass AND atttypid = 'jsonb'::regtype",
            [table],
        )
        return {name: told.strip("\0") for name, told in cursor.fetchall()}


def has_lz4() -> bool:
    """Asked of the server itself, which knows a method only where it was built with it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT enumvals FROM pg_settings WHERE name = 'default_toast_compression'")
        return "lz4" in cursor.fetchone()[0]


def test_prescriptions_are_compressed_quickly() -> None:
    wanted = LZ4 if has_lz4() else ""
    assert compression_of("scoring_prescription") == dict.fromkeys(("content", "forecast", "basis"), wanted)


def test_no_server_is_asked_for_what_it_was_built_without() -> None:
    """Of a server that offers nothing but its own: a table of the session's own stands before the catalogue's."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TEMPORARY TABLE long_values (content jsonb) ON COMMIT DROP")
        cursor.execute(
            "CREATE TEMPORARY TABLE pg_settings ON COMMIT DROP AS"
            " SELECT 'default_toast_compression' AS name, '{pglz}'::text[] AS enumvals"
        )
        cursor.execute(compress_quickly("long_values", ("content",)))
    assert compression_of("long_values") == {"content": ""}
