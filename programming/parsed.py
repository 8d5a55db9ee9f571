"""Parsed documents of rows that never change (revisions, variation versions), kept from one use to the next."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from typing import Any, Final, Generic, TypeVar
from uuid import UUID

from programming.calc.catalogue import VariationDocument, parse_variation
from programming.calc.document import parse_revision
from programming.calc.revision import RevisionDoc

T = TypeVar("T")

MOST_REVISIONS: Final = 1_000
MOST_VARIATIONS: Final = 10_000


class Parsed(Generic[T]):
    """At most `most` results of `parse` by the id of their row; the oldest makes room.

    Nothing passes from one organisation to another: who has the id has read the row, under its own policy.
    """

    def __init__(self, parse: Callable[[Any], T], most: int) -> None:
        self._parse, self._most = parse, most
        self._kept: dict[UUID, T] = {}
        self._lock = Lock()

    def of(self, row_id: UUID, document: Any) -> T:
        """The parsed document of this row; raises what `parse` raises."""
        found = self._kept.get(row_id)
        if found is None:
            found = self._parse(document)
            with self._lock:
                while len(self._kept) >= self._most:
                    del self._kept[next(iter(self._kept))]
                self._kept[row_id] = found
        return found


revisions: Parsed[RevisionDoc] = Parsed(parse_revision, MOST_REVISIONS)
variations: Parsed[VariationDocument] = Parsed(parse_variation, MOST_VARIATIONS)
