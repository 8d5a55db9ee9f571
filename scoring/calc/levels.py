"""The levels at which a frozen forecast tells the points of its distributions."""

from collections.abc import Sequence
from typing import Final

LEVELS: Final = (0.025, *(round(0.05 * step, 2) for step in range(1, 20)), 0.975)
"""Of the score. They lie evenly about the middle, which the ranking relies on."""
LEVELS_UNTIL_2: Final = LEVELS[1:-1]
"""Of the score in forecasts until version 2."""
FRESH_LEVELS: Final = (0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975)
"""Of what is available fresh: the middle, and the ends of the intervals of 50, 80 and 95 %."""


def levels_of(score_quantiles: Sequence[float | None]) -> tuple[float, ...]:
    """The levels of a table of the score, whichever version wrote it. Raises ValueError for another length."""
    found = {len(levels): levels for levels in (LEVELS, LEVELS_UNTIL_2)}.get(len(score_quantiles))
    if found is None:
        raise ValueError(f"no version has {len(score_quantiles)} quantiles")
    return found
