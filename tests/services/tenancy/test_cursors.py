"""The cursor that is kept for a connection belongs to that connection alone, and hides no statement."""

import threading

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext

from services.tenancy.cursors import kept_cursor

pytestmark = pytest.mark.usefixtures("committed")


def answer(statement: str) -> object:
    cursor = kept_cursor()
    cursor.execute(statement)
    return cursor.fetchone()[0]


def test_it_is_opened_once_for_a_connection() -> None:
    first = kept_cursor()
    assert answer("SELECT 7") == 7 and kept_cursor() is first


@pytest.mark.parametrize("from_outside", [False, True])
def test_another_connection_has_another_one(from_outside: bool) -> None:
    """After a connection was closed, by us or by the server's end of it, as after CONN_MAX_AGE."""
    first = kept_cursor()
    if from_outside:
        connection.connection.close()
        connection.close_if_unusable_or_obsolete()
    else:
        connection.close()
    assert answer("SELECT 7") == 7 and kept_cursor() is not first


def test_every_thread_has_its_own() -> None:
    first, found = kept_cursor(), []

    def other() -> None:
        found.append(kept_cursor())
        connection.close()

    thread = threading.Thread(target=other)
    thread.start()
    thread.join()
    assert found[0] is not first


def test_statements_are_counted_while_somebody_counts() -> None:
    assert answer("SELECT 1") == 1
    with CaptureQueriesContext(connection) as queries:
        assert answer("SELECT 2") == 2
    assert [one["sql"] for one in queries.captured_queries] == ["SELECT 2"]
    assert answer("SELECT 3") == 3 and len(queries) == 1


def test_a_statement_that_failed_leaves_it_usable() -> None:
    """With the error of the library around it, as from any cursor."""
    first = kept_cursor()
    with pytest.raises(DatabaseError), transaction.atomic():
        answer("SELECT nothing_of_the_kind")
    assert answer("SELECT 7") == 7 and kept_cursor() is first
