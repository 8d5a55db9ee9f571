"""Whether an athlete's latest answers lie outside what is usual of them: their own baseline, their own limits.

Answers on a scale are whole steps, resemble those of the day before, and their centre is known from four weeks only.
Each of these makes tabulated limits of a chart flag more often than the table says. So the limits come from the
athlete: blocks of consecutive days are drawn from their own history (moving-block bootstrap: Kunsch 1989, Ann Statist
17:1217-1241) and put together to series of a baseline and a week; what the chart says at the end of the week, when
nothing has happened, is what the limit has to exceed as seldom as was asked for.

    28 answers are the baseline: their mean is the centre, and they are none of the 7 that are looked at;
    two charts look at the last 7: a weighted mean (a = 0.3), and sums that forget half a step a day;
    no limit is less than one step of the scale, whatever the bootstrap says;
    either chart outside its limit flags, so the rate that is told is that of either.

A flag is a question to the athlete, never a diagnosis and nothing that restrains anybody.
"""

from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.random import Generator

from athletes.calc.charts import cumulative_sums
from athletes.calc.load import TOO_SHORT, WEEK_DAYS
from programming.calc.arrays import FloatArray, IntArray

METHOD_VERSION: Final = 1
BASELINE_ANSWERS: Final = 28
LATEST_ANSWERS: Final = 7
NEEDED_ANSWERS: Final = BASELINE_ANSWERS + LATEST_ANSWERS
MOST_ANSWERS: Final = 365
"""Blocks come from the last year; who somebody was before says little of what is usual now."""
BLOCK_ANSWERS: Final = 7
"""A week, so that weekday and weekend stay together."""
WEIGHT: Final = 0.3
_WEIGHTS: Final = WEIGHT * (1.0 - WEIGHT) ** np.arange(LATEST_ANSWERS - 1, -1, -1)
"""Of the latest answers in the weighted mean at their end, as `athletes.calc.charts.weighted_values` has it."""
SLACK_STEPS: Final = 0.5
SERIES: Final = 2000
HISTORIES: Final = 12
SERIES_AGAIN: Final = 500
"""Series from each history that is drawn to tell how often found limits are passed."""
ROUNDING: Final = 1e-9
"""Sums of tenths that are the same on paper may differ by less."""
FALSE_FLAGS_PER_WEEK: Final = 0.1
"""Ours: with five items and thirty athletes some fifteen a week, about two a day."""

Side = Literal["high", "low"]


class Limits(NamedTuple):
    """centre: mean of the baseline. weighted_limit: distance of the weighted mean from it; sum_limit: of either sum.
    false_flags_per_week: how often either flags when nothing has happened, one answer a day."""

    centre: float
    weighted_limit: float
    sum_limit: float
    false_flags_per_week: float
    answers: int


class Ends(NamedTuple):
    """At the end of each series (S,): distance of the weighted mean from the centre, both sums."""

    weighted: FloatArray
    high: FloatArray
    low: FloatArray


class Flag(NamedTuple):
    """What the latest answers say. limits None: there are too few answers (reason). side: high or low of the scale's
    numbers, None where nothing is unusual; which of both is the worse is the item's own business."""

    limits: Limits | None
    reason: str | None
    weighted: float | None = None
    sum_high: float | None = None
    sum_low: float | None = None
    side: Side | None = None


def flag_of(
    answers: FloatArray, *, step: float, rng: Generator, wanted: float = FALSE_FLAGS_PER_WEEK
) -> Flag:
    """Of answers (N,) in the order of their days, the last of them the one that is asked about.

    step: of the scale; wanted: false flags a week of one item. Days without an answer are not filled in: an answer
    follows the one before. Raises ValueError for a step or a rate that is not positive, or an answer not finite.
    """
    if not (0.0 < step < np.inf and 0.0 < wanted <= WEEK_DAYS and np.all(np.isfinite(answers))):
        raise ValueError("step and rate must be positive, the answers finite")
    if answers.size < NEEDED_ANSWERS:
        return Flag(None, TOO_SHORT.format(days=NEEDED_ANSWERS))
    latest = answers[-LATEST_ANSWERS:]
    limits = limits_of(answers[:-LATEST_ANSWERS], step=step, rng=rng, wanted=wanted)
    ends = _ends(latest[None, :], np.array([limits.centre]), step)
    away, high, low = (float(one[0]) for one in ends)
    most_away, most = limits.weighted_limit + ROUNDING, limits.sum_limit + ROUNDING
    side: Side | None = None
    if away > most_away or high > most:
        side = "high"
    elif away < -most_away or low > most:
        side = "low"
    return Flag(limits, None, limits.centre + away, high, low, side)


def limits_of(
    history: FloatArray, *, step: float, rng: Generator, wanted: float = FALSE_FLAGS_PER_WEEK
) -> Limits:
    """From answers (N,), N at least BASELINE_ANSWERS, the newest of which are the baseline.

    Each chart gets half of the wanted rate; a limit is a value of the statistic that it exceeds seldom enough, so
    that equal values, of which a scale has many, do not pass it. What is told is how often limits that are found like
    this pass, which is more than wanted of a short history: histories of the same length are drawn from it, limits
    found from each, and held against series from the history itself.
    """
    own = history[-MOST_ANSWERS:]
    rare = wanted / WEEK_DAYS / 2.0
    ends = _ended(own, SERIES, step, rng)
    weighted_limit, sum_limit = _exceeded_by(ends, rare, step)
    flagged = [
        _flagged(ends, *_exceeded_by(_ended(_another(own, rng), SERIES_AGAIN, step, rng), rare, step))
        for _ in range(HISTORIES)
    ]
    centre = float(history[-BASELINE_ANSWERS:].mean())
    return Limits(centre, weighted_limit, sum_limit, WEEK_DAYS * float(np.mean(flagged)), own.size)


def _another(own: FloatArray, rng: Generator) -> FloatArray:
    drawn: FloatArray = own[_blocks(own.size, own.size, 1, rng)[0]]
    return drawn


def _ended(own: FloatArray, series: int, step: float, rng: Generator) -> Ends:
    """What the charts say at the end of so many series of a baseline and a week."""
    drawn = own[_blocks(own.size, NEEDED_ANSWERS, series, rng)]
    centres = drawn[:, :BASELINE_ANSWERS].mean(axis=1)
    return _ends(drawn[:, BASELINE_ANSWERS:], centres, step)


def _exceeded_by(ends: Ends, rare: float, step: float) -> tuple[float, float]:
    """Limits of the weighted mean and of the sums that this share of the series exceeds, at most."""
    away, most = np.abs(ends.weighted), np.maximum(ends.high, ends.low)
    limits = [float(np.quantile(one, 1.0 - rare, method="higher")) for one in (away, most)]
    return max(limits[0], step), max(limits[1], step)


def _flagged(ends: Ends, weighted_limit: float, sum_limit: float) -> float:
    """Share of the series of which either chart lies outside."""
    outside = np.abs(ends.weighted) > weighted_limit + ROUNDING
    return float(np.mean(outside | (np.maximum(ends.high, ends.low) > sum_limit + ROUNDING)))


def _blocks(size: int, length: int, series: int, rng: Generator) -> IntArray:
    """Positions (series, length) of whole blocks of consecutive answers of `size`, drawn with equal chance."""
    count = -(-length // BLOCK_ANSWERS)
    starts = rng.integers(0, size - BLOCK_ANSWERS + 1, size=(series, count))
    drawn: IntArray = (starts[:, :, None] + np.arange(BLOCK_ANSWERS)).reshape(series, -1)
    return drawn[:, :length]


def _ends(latest: FloatArray, centres: FloatArray, step: float) -> Ends:
    """What both charts say after the latest answers (S, LATEST_ANSWERS) about the centres (S,)."""
    away: FloatArray = (latest - centres[:, None]) @ _WEIGHTS
    sums = cumulative_sums(latest, centre=centres, slack=SLACK_STEPS * step)
    return Ends(away, sums.high[:, -1], sums.low[:, -1])
