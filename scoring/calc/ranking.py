"""Two rankings of one scheduled session.

Official: finishers by score, then the capped by repetitions done, ties broken by fewest breaks where the
rules say so; equal results share a rank and the next rank is skipped (1-2-2-4). By forecast: where the result
lies in the forecast frozen in the athlete's own prescription, which compares athletes on different versions.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf
from typing import Final, Literal

from scoring.calc.score import State

# Scores are sums of clocks noted to a tenth at best; equal sums must not differ by floating-point dust.
SCORE_DIGITS: Final = 3
# A forecast of about a thousand scenarios says nothing finer than this about its tails.
TAIL: Final = 0.001
QUANTILE_DIGITS: Final = 3


@dataclass(frozen=True)
class OfficialRow:
    """One athlete's result; key: any sortable identifier."""

    key: str
    state: State
    score_s: float | None
    repetitions: int
    breaks: int | None


@dataclass(frozen=True)
class RankedRow:
    """A place in the official ranking; rank None: unscored."""

    key: str
    rank: int | None


def rank_official(rows: Sequence[OfficialRow], *, tie_break: str) -> list[RankedRow]:
    """Rank by the official score; sorted by rank, then key, the unscored last.

    tie_break: "fewest_breaks" or "none". A capped row whose breaks are unknown loses the tie-break.
    """
    if tie_break not in {"fewest_breaks", "none"}:
        raise ValueError(f"unknown tie-break {tie_break!r}")
    merits = {row.key: _merit(row, tie_break == "fewest_breaks") for row in rows if row.state != "unscored"}
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("every row needs its own key")
    ordered = sorted(merits.values())
    ranked = [RankedRow(key, 1 + bisect_left(ordered, merit)) for key, merit in merits.items()]
    ranked.sort(key=lambda row: (row.rank or 0, row.key))
    return ranked + [RankedRow(key, None) for key in sorted(row.key for row in rows if row.key not in merits)]


def _merit(row: OfficialRow, by_breaks: bool) -> tuple[float, ...]:
    """Smaller is better: finishers before capped, score or repetitions, breaks."""
    breaks = 0.0 if not by_breaks else inf if row.breaks is None else float(row.breaks)
    if row.state == "capped":
        return (1.0, -float(row.repetitions), breaks)
    if row.score_s is None:
        raise ValueError(f"finished row {row.key} has no score")
    return (0.0, round(row.score_s, SCORE_DIGITS), breaks)


ForecastNote = Literal[
    "no_forecast",
    "history_too_short",
    "another_version",
    "not_finished",
    "not_eligible",
    "beyond_forecast_range",
]


@dataclass(frozen=True)
class ForecastRow:
    """A result and the forecast it was frozen with.

    quantiles: score in seconds at `levels`, ascending, None where that scenario does not finish;
    observations: how much history the forecast had; eligible: False for those unranked by default (returners,
    minors); as_prescribed: False when something else was done than the forecast is of.
    """

    key: str
    score_s: float | None
    quantiles: tuple[float | None, ...] | None
    observations: int
    eligible: bool = True
    as_prescribed: bool = True


@dataclass(frozen=True)
class ForecastRank:
    """quantile: share of the athlete's own forecast that is better than the result; smaller is better."""

    key: str
    rank: int | None
    quantile: float | None
    notes: tuple[ForecastNote, ...]


def rank_by_forecast(
    rows: Sequence[ForecastRow], *, levels: Sequence[float], min_observations: int
) -> list[ForecastRank]:
    """Rank by the quantile of the result in the athlete's own frozen forecast; ties share a rank.

    Never the only ranking: holding back earlier makes one's own forecast easy to beat. Only rows with at
    least `min_observations` in their forecast are ranked; the others say why not.
    """
    judged = [_judge(row, levels, min_observations) for row in rows]
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("every row needs its own key")
    ordered = sorted(row.quantile for row in judged if row.quantile is not None)
    ranked = [
        ForecastRank(row.key, 1 + bisect_left(ordered, row.quantile), row.quantile, row.notes)
        if row.quantile is not None
        else row
        for row in judged
    ]
    return sorted(ranked, key=lambda row: (inf if row.rank is None else row.rank, row.key))


def _judge(row: ForecastRow, levels: Sequence[float], min_observations: int) -> ForecastRank:
    reason: ForecastNote | None = None
    if not row.eligible:
        reason = "not_eligible"
    elif row.quantiles is None or row.quantiles[0] is None:
        reason = "no_forecast"
    elif row.observations < min_observations:
        reason = "history_too_short"
    elif not row.as_prescribed:
        reason = "another_version"
    elif row.score_s is None:
        reason = "not_finished"
    if reason is not None or row.quantiles is None or row.score_s is None:
        return ForecastRank(row.key, None, None, (reason or "no_forecast",))
    quantile, beyond = forecast_quantile(row.score_s, row.quantiles, levels)
    return ForecastRank(row.key, None, quantile, ("beyond_forecast_range",) if beyond else ())


def forecast_quantile(
    score_s: float, quantiles: Sequence[float | None], levels: Sequence[float]
) -> tuple[float, bool]:
    """Level of `score_s` in a quantile table, and whether it lies outside the table.

    Linear between entries; at a flat piece the middle of it. Outside, an exponential tail that continues the
    slope of the outermost piece keeps the order of results and stays inside (0, 1); so does a result slower
    than the last scenario that finishes, below the level of the first one that does not. Needs one finite
    entry.
    """
    scores = [value for value in quantiles if value is not None]
    count = len(scores)
    if not count or count > len(levels):
        raise ValueError("the table needs at least one finite entry and a level for each")
    left, right = bisect_left(scores, score_s), bisect_right(scores, score_s)
    if left < right:
        level, beyond = (levels[left] + levels[right - 1]) / 2, False
    elif left == 0:
        level, beyond = levels[0] * exp(-(scores[0] - score_s) / _slope(scores, 0)), True
    elif left == count:
        room = (levels[count] if count < len(levels) else 1.0) - levels[count - 1]
        level = levels[count - 1] + room * (1 - exp(-(score_s - scores[-1]) / _slope(scores, count - 2)))
        beyond = True
    else:
        share = (score_s - scores[left - 1]) / (scores[left] - scores[left - 1])
        level, beyond = levels[left - 1] + share * (levels[left] - levels[left - 1]), False
    return round(min(max(level, TAIL), 1 - TAIL), QUANTILE_DIGITS), beyond


def _slope(scores: Sequence[float], index: int) -> float:
    """Seconds per step of the table at its edge; at least one, lest a flat edge divide by zero."""
    if not 0 <= index < len(scores) - 1:
        return 1.0
    return max(scores[index + 1] - scores[index], 1.0)
