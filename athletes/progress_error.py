"""What an athlete's own tests err by, where enough of them were repeated soon after one another. No writes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from uuid import UUID

import numpy as np

from athletes.calc.typical_error import typical_error
from athletes.performed import Settings
from athletes.progress_rows import LastDone, Material

USUAL_ERROR: Final = "usual_error_of_such_tests"
OWN_ERROR: Final = "own_repeated_tests"
SOON_DAYS: Final = 14
"""Two tests so near to each other are taken to be of one ability (ours): it walks by 1.9 % in that time."""
FEWEST_PAIRS: Final = 10
"""Of fewer an error is itself uncertain by a quarter and more: 1 / sqrt(2 n)."""


def own_error(material: Material, movement_id: UUID, done: LastDone, *, maximum: bool) -> float | None:
    """In own terms, of sets to failure (or holds) as the movement was last done, or of tested maxima; None where too
    few were repeated."""
    found = [
        (row.local_date.toordinal(), float(row.settings.load_kg or 0.0) if maximum else row.repetitions)
        for row in material.rows.get(movement_id, ())
        if row.kind == ("one_rm" if maximum else "to_failure")
        and row.spent is None  # of a tired athlete
        and _is_same(row.variation_version_id, row.settings, done, maximum)
    ]
    found += [
        (row.local_date.toordinal(), row.amount)
        for row in material.amounts.get(movement_id, ())
        if row.kind == "to_failure" and _is_same(row.variation_version_id, row.settings, done, maximum)
    ]
    pairs = repeated(found)
    return typical_error(np.array(pairs)) if len(pairs) >= FEWEST_PAIRS else None


def repeated(tests: Sequence[tuple[int, float]]) -> list[tuple[float, float]]:
    """Values of tests (running day number, value) on two days at most SOON_DAYS apart; each test is in one pair."""
    ordered, pairs, n = sorted(tests), [], 0
    while n + 1 < len(ordered):
        (first, value), (second, again) = ordered[n], ordered[n + 1]
        if first < second <= first + SOON_DAYS:
            pairs.append((value, again))
            n += 1
        n += 1
    return pairs


def _is_same(version_id: UUID, settings: Settings, done: LastDone, maximum: bool) -> bool:
    return version_id == done.version.version_id and (maximum or settings == done.settings)
