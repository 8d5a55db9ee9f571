"""Tables far too long: refused at the door with what to do, having read and kept no more than the limits.

And one that is as long as may be.
"""

from __future__ import annotations

import csv
import io
import tracemalloc
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from services.exchange import table
from services.exchange.models import Import
from services.exchange.table import MOST_BYTES, MOST_LINES, MOST_ROWS
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, make_world, url

MILLION = 1_000_000
MIB = 1024 * 1024
MOST_MEMORY = 64 * MIB
"""Python's own: eight times the longest body, where the longest file of a million rows has more than thirty MiB."""


@pytest.fixture
def world(db: None) -> World:
    return make_world()


class CountedStream(io.BytesIO):
    """A body that knows how much of it was asked for."""

    taken = 0

    def read(self, size: int | None = -1, /) -> bytes:
        raw = super().read(size)
        self.taken += len(raw)
        return raw


def streamed(world: World, raw: bytes, content_type: str = "text/csv") -> tuple[Any, CountedStream]:
    """The answer to a body, and the body."""
    stream = CountedStream(raw)
    query = {"kind": "weighings"} if content_type == "text/csv" else {}
    client = Client(headers={"Authorization": f"Bearer {world.cast.coach.token}"})
    answer = client.generic(
        "POST", url(world, "imports"), b"", content_type, query_params=query,
        **{"wsgi.input": stream, "CONTENT_LENGTH": str(len(raw)), "CONTENT_TYPE": content_type},
    )  # fmt: skip
    return answer, stream


@contextmanager
def peak() -> Iterator[list[int]]:
    """The most memory that Python had at once inside, in bytes; as the only item of the list afterwards."""
    found: list[int] = []
    tracemalloc.start()
    try:
        yield found
        found.append(tracemalloc.get_traced_memory()[1])
    finally:
        tracemalloc.stop()


@pytest.fixture
def lines_read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A list that grows with every line of a table that is read."""
    counted: list[int] = []
    real = csv.reader

    def reader(source: Any, **options: Any) -> Iterator[list[str]]:
        for line in real(source, **options):
            counted.append(1)
            yield line

    monkeypatch.setattr(table.csv, "reader", reader)
    return counted


def test_a_file_of_a_million_rows_is_read_to_the_limit_and_no_further(world: World) -> None:
    """Its refusal says to split it, and into how long ones."""
    raw = b"athlete,date,body_mass\n" + b"Ruta Penn,2026-11-02,61.5\n" * MILLION
    with peak() as memory:
        answer, stream = streamed(world, raw)
    problem = assert_problem(answer, "too_large", 413)
    assert "several files" in problem["detail"] and "20000 rows" in problem["detail"]
    assert stream.taken <= MOST_BYTES + 1 < len(raw)
    assert memory[0] < MOST_MEMORY
    with world.cast.inside():
        assert not Import.objects.exists()


def test_a_million_short_rows_are_not_read_to_the_end(world: World, lines_read: list[int]) -> None:
    """They fit into the bytes, and are still refused after the last row that may be."""
    raw = b"athlete,body_mass\n" + b"a,1\n" * MILLION
    assert len(raw) < MOST_BYTES
    with peak() as memory:
        answer, _ = streamed(world, raw)
    problem = assert_problem(answer, "invalid_input", 400, at="#/csv")
    assert "more than 20000 rows; send it in several files" in problem["errors"][0]["detail"]
    assert MOST_ROWS < len(lines_read) <= MOST_ROWS + 5
    assert memory[0] < MOST_MEMORY


def test_a_million_rows_in_json_are_read_to_the_limit_and_no_further(world: World) -> None:
    raw = b'{"kind": "weighings", "csv": "athlete,body_mass' + b"\\nRuta Penn,61.51" * MILLION + b'"}'
    answer, stream = streamed(world, raw, "application/json")
    assert "several files" in assert_problem(answer, "too_large", 413)["detail"]
    assert stream.taken <= 2 * MOST_BYTES + 1 < len(raw)


def test_a_million_rows_in_json_that_may_come_in_are_refused_as_a_table(world: World) -> None:
    raw = b'{"kind": "weighings", "csv": "athlete,body_mass' + b"\\nRuta P,61.5" * MILLION + b'"}'
    answer, _ = streamed(world, raw, "application/json")
    problem = assert_problem(answer, "invalid_input", 400, at="#/csv")
    assert "several files, each of at most 20000 rows" in problem["errors"][0]["detail"]


def test_a_million_empty_lines_are_no_way_round(world: World, lines_read: list[int]) -> None:
    """They are no rows, and reading them takes as long."""
    raw = b"athlete,body_mass\n" + b"\n" * (8 * MILLION) + b"Ruta Penn,61.5\n"
    answer, _ = streamed(world, raw)
    problem = assert_problem(answer, "invalid_input", 400, at="#/csv")
    assert "most of them empty" in problem["errors"][0]["detail"]
    assert len(lines_read) <= MOST_LINES + 5


@pytest.mark.parametrize(
    "cell", ["x" * (7 * MIB), '"' + "y\n" * (2 * MIB) + '"', '"' + "z" * 1000], ids=["long", "quoted", "open"]
)
def test_one_cell_as_long_as_a_file_is_one_cell(world: World, cell: str) -> None:
    """A row that cannot be read, or no CSV; never an error of ours."""
    answer, _ = streamed(world, f"athlete,body_mass\n{cell},1\n".encode())
    assert answer.status_code in (201, 400)
    if answer.status_code == 400:
        assert "not CSV" in assert_problem(answer, "invalid_input", 400, at="#/csv")["errors"][0]["detail"]


def test_the_longest_table_is_looked_over_with_as_many_queries_as_a_short_one(world: World) -> None:
    """And waits then for the worker: 20 000 rows are none too many."""
    client, counts = ApiClient(world.cast.coach.token), []
    client.get(url(world, "imports"))
    for rows in (3, MOST_ROWS):
        text = "athlete,date,body_mass\n" + "".join(
            f"Ruta Penn,2026-11-02,{50 + n / 1000}\n" for n in range(rows)
        )
        with CaptureQueriesContext(connection) as queries:
            made = client.post(url(world, "imports"), {"kind": "weighings", "csv": text})
        assert (made.status_code, made.json()["rows_total"], made.json()["state"]) == (201, rows, "waiting")
        counts.append(len(queries))
    assert counts[0] == counts[1]
