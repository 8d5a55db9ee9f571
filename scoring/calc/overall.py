"""One ranking over several blocks: places added up, or points of each score added up.

Points as in combined events: a (b - x)^c where less is better, a (x - b)^c where more is, rounded down, 0 where
the score is on the wrong side of b (World Athletics, Scoring Tables for Combined Events, 2001, p. 22-24, from
memory).
"""

from collections.abc import Mapping, Sequence
from math import floor

from programming.calc.revision import PointTable
from scoring.calc.ranking import RankedRow, rank_by_merit
from scoring.calc.value import Better

# 599.9999999 computed is 600 by hand.
DUST = 1e-9


def points(table: PointTable, value: float, better: Better) -> int:
    """Points of a score, whole and not below 0; the table is in the unit of the score."""
    distance = table.b - value if better == "lower" else value - table.b
    return 0 if distance <= 0.0 else floor(table.a * distance**table.c + DUST)


def total_of(parts: Sequence[float | None]) -> float | None:
    """The sum of places or points; None where a part is missing, or where there is none at all."""
    known = [part for part in parts if part is not None]
    return sum(known) if known and len(known) == len(parts) else None


def rank_totals(totals: Mapping[str, float | None], better: Better) -> list[RankedRow]:
    """Rank by total; equal ones share a rank and the next is skipped; whoever has no total has no rank."""
    sign = 1.0 if better == "lower" else -1.0
    return rank_by_merit({key: None if total is None else (sign * total,) for key, total in totals.items()})
