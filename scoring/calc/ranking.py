"""Two rankings of one block of a scheduled session.

Official: finishers by score, then the capped by the amount done, ties broken as the rules say; equal results
share a rank and the next rank is skipped (1-2-2-4). By forecast: where the result
lies in the forecast frozen in the athlete's own prescription, which compares athletes on different versions.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, expm1, inf
from typing import Final, Literal, NamedTuple, get_args

from scoring.calc.value import Better, State

# Scores are sums of clocks noted to a tenth at best, or shares of a round, of which a metre is a small one; equal
# sums must not differ by floating-point dust.
SCORE_DIGITS: Final = 6
# A forecast of about a thousand scenarios says nothing finer than this about its tails.
TAIL: Final = 0.001
QUANTILE_DIGITS: Final = 3
ORDER_DIGITS: Final = 12


RANKED: Final = frozenset({"finished", "capped"})
TieBreak = Literal["none", "fewest_breaks", "fewest_misses", "split_time"]


@dataclass(frozen=True)
class OfficialRow:
    """One athlete's result; key: any sortable identifier.

    value: the official score, better in the direction of `better`, or the amount of a capped result, of which
    more is better. breaks, misses, split_s: what ties are broken by; None is unknown, and loses.
    """

    key: str
    state: State
    value: float | None
    better: Better = "lower"
    breaks: int | None = None
    misses: int | None = None
    split_s: float | None = None


@dataclass(frozen=True)
class RankedRow:
    """A place in the official ranking; rank None: unscored."""

    key: str
    rank: int | None


def rank_official(rows: Sequence[OfficialRow], *, tie_break: str) -> list[RankedRow]:
    """Rank by the official score; sorted by rank, then key, those without a place last.

    tie_break: one of TieBreak. A row that does not tell what breaks ties loses them.
    """
    if tie_break not in get_args(TieBreak):
        raise ValueError(f"unknown tie-break {tie_break!r}")
    return rank_by_merit(
        {row.key: _merit(row, tie_break) if row.state in RANKED else None for row in _distinct(rows)}
    )


def rank_by_merit(merits: Mapping[str, tuple[float, ...] | None]) -> list[RankedRow]:
    """Rank by merit, smaller first; equal ones share a rank and the next is skipped; without merit no rank."""
    known = {key: merit for key, merit in merits.items() if merit is not None}
    ordered = sorted(known.values())
    ranked = [RankedRow(key, 1 + bisect_left(ordered, merit)) for key, merit in known.items()]
    ranked.sort(key=lambda row: (row.rank or 0, row.key))
    return ranked + [RankedRow(key, None) for key in sorted(merits.keys() - known.keys())]


def _distinct(rows: Sequence[OfficialRow]) -> Sequence[OfficialRow]:
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("every row needs its own key")
    return rows


def _merit(row: OfficialRow, tie_break: str) -> tuple[float, ...]:
    """Smaller is better: finishers before capped, then score or amount, then what breaks ties."""
    if row.value is None:
        raise ValueError(f"{row.state} row {row.key} has no score")
    ties = {
        "none": 0.0, "fewest_breaks": row.breaks, "fewest_misses": row.misses, "split_time": row.split_s,
    }[tie_break]  # fmt: skip
    tie = inf if ties is None else round(float(ties), SCORE_DIGITS)
    value = round(row.value, SCORE_DIGITS)
    if row.state == "capped":
        return (1.0, -value, tie)
    return (0.0, value if row.better == "lower" else -value, tie)


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

    score: in the unit of the forecast; quantiles: at `levels`, which lie evenly about the middle, ascending in the
    score, None where that scenario of work for time does not finish; better: which end of the table is the better;
    least_step: what a step of the score is at least, lest a flat edge of the table divide by zero;
    observations: how much history the forecast had; eligible: False for those unranked by default (returners,
    minors); as_prescribed: False when something else was done than the forecast is of.
    """

    key: str
    score: float | None
    quantiles: tuple[float | None, ...] | None
    levels: tuple[float, ...]
    observations: int
    eligible: bool = True
    as_prescribed: bool = True
    better: Better = "lower"
    least_step: float = 1.0


@dataclass(frozen=True)
class ForecastRank:
    """quantile: share of the athlete's own forecast that is better than the result; smaller is better."""

    key: str
    rank: int | None
    quantile: float | None
    notes: tuple[ForecastNote, ...]


def rank_by_forecast(rows: Sequence[ForecastRow], *, min_observations: int) -> list[ForecastRank]:
    """Rank by the quantile of the result in the athlete's own frozen forecast; ties share a rank.

    Never the only ranking: holding back earlier makes one's own forecast easy to beat. Only rows with at
    least `min_observations` in their forecast are ranked; the others say why not.
    """
    if len({row.key for row in rows}) != len(rows):
        raise ValueError("every row needs its own key")
    places = [_place(row, min_observations) for row in rows]
    ordered = sorted(place.order for place in places if isinstance(place, Place))
    ranked = [
        ForecastRank(row.key, 1 + bisect_left(ordered, place.order), place.shown, place.notes)
        if isinstance(place, Place)
        else ForecastRank(row.key, None, None, (place,))
        for row, place in zip(rows, places, strict=True)
    ]
    return sorted(ranked, key=lambda row: (inf if row.rank is None else row.rank, row.key))


class Place(NamedTuple):
    """Where a result lies in a forecast.

    level: in 0 to 1, as far as floats tell levels apart; steps: how far outside the table, in steps of its
    outermost piece, negative below it, 0 inside.
    """

    level: float
    steps: float

    @property
    def order(self) -> tuple[float, float]:
        """Sorts results, better ones first: equal only for equal results, floating-point dust apart."""
        return round(self.level, ORDER_DIGITS), self.steps

    @property
    def shown(self) -> float:
        """The level for people, who are never told 0 or 1: the far tails all look alike."""
        return round(min(max(self.level, TAIL), 1 - TAIL), QUANTILE_DIGITS)

    @property
    def notes(self) -> tuple[ForecastNote, ...]:
        return ("beyond_forecast_range",) if self.steps else ()


def _place(row: ForecastRow, min_observations: int) -> Place | ForecastNote:
    """The place of a row that can be compared, or why it cannot."""
    if not row.eligible:
        return "not_eligible"
    if row.quantiles is None or all(value is None for value in row.quantiles):
        return "no_forecast"
    if row.observations < min_observations:
        return "history_too_short"
    if not row.as_prescribed:
        return "another_version"
    if row.score is None:
        return "not_finished"
    if row.better == "lower":
        return place_in_forecast(row.score, row.quantiles, row.levels, row.least_step)
    # Turned round, so that the better end comes first: the levels lie evenly about the middle.
    table = [None if value is None else -value for value in reversed(row.quantiles)]
    return place_in_forecast(-row.score, table, row.levels, row.least_step)


def place_in_forecast(
    score_s: float, quantiles: Sequence[float | None], levels: Sequence[float], least_step: float = 1.0
) -> Place:
    """Place of `score_s` in a quantile table.

    Linear between entries; at a flat piece the middle of it. Outside, an exponential tail that continues the
    slope of the outermost piece stays inside (0, 1), and the steps keep the order where its levels are too
    close for floats; so does a result slower than the last scenario that finishes, below the level of the
    first one that does not. Needs one finite entry.
    """
    scores = [value for value in quantiles if value is not None]
    count = len(scores)
    if not count or count > len(levels):
        raise ValueError("the table needs at least one finite entry and a level for each")
    left, right = bisect_left(scores, score_s), bisect_right(scores, score_s)
    if left < right:
        return Place((levels[left] + levels[right - 1]) / 2, 0.0)
    if left == 0:
        steps = (score_s - scores[0]) / _slope(scores, 0, least_step)
        return Place(levels[0] * exp(steps), steps)
    if left == count:
        room = (levels[count] if count < len(levels) else 1.0) - levels[count - 1]
        width = levels[count - 1] - levels[count - 2] if count > 1 else room
        steps = (score_s - scores[-1]) / (_slope(scores, count - 2, least_step) * room / width)
        return Place(levels[count - 1] - room * expm1(-steps), steps)
    share = (score_s - scores[left - 1]) / (scores[left] - scores[left - 1])
    return Place(levels[left - 1] + share * (levels[left] - levels[left - 1]), 0.0)


def _slope(scores: Sequence[float], index: int, least_step: float) -> float:
    """Size of a step of the table at its edge; at least `least_step`, lest a flat edge divide by zero."""
    if not 0 <= index < len(scores) - 1:
        return least_step
    return max(scores[index + 1] - scores[index], least_step)
