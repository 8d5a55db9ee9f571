"""Documents of rows that never change are read once, and not without bound."""

from __future__ import annotations

from uuid import uuid4

import pytest

from programming.parsed import Parsed


def test_each_row_is_read_once() -> None:
    """The second use of an id does not parse; another id does, although its document is the same."""
    read: list[object] = []
    kept = Parsed(lambda document: read.append(document) or len(read), most=5)
    first, second = uuid4(), uuid4()
    assert [kept.of(first, "a"), kept.of(first, "a"), kept.of(second, "a")] == [1, 1, 2]
    assert read == ["a", "a"]


def test_the_oldest_makes_room() -> None:
    """With two places the third row takes that of the first, which is read again when it is needed."""
    read: list[object] = []
    kept = Parsed(lambda document: read.append(document) or document, most=2)
    ids = [uuid4() for _ in range(3)]
    for number in (0, 1, 2, 2, 1, 0):
        assert kept.of(ids[number], number) == number
    assert read == [0, 1, 2, 0]


def test_what_cannot_be_read_is_not_kept() -> None:
    """An error is raised each time, and a good document under that id is read later."""
    kept = Parsed(lambda document: 10 // document, most=2)
    row = uuid4()
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            kept.of(row, 0)
    assert kept.of(row, 5) == 2
