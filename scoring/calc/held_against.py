"""A result held against the forecast that was frozen before it: where in the forecast it lies, and how far off it is.

The position is the share of the forecast that lies below the result (the probability integral transform): over many
results it is spread evenly from 0 to 1 where forecasts are as sure as they say (Dawid 1984; from memory). A result
that the forecast gives a probability of its own (a count, a score that many scenarios share, not finishing) takes a
range of positions, and a point of it by a draw, which keeps the spread even (Czado, Gneiting and Held 2009; from
memory). The draw comes from ids, so that the same result always has the same position.

What a first set shows goes by `first_set_range` of ``scoring.calc.aim``: r to failure is r <= n* < r + 1; with a
reserve told about r + s + 1, and the forecast is widened by the error of such words before it is asked, since it
says what the body can do and not what people say of it; all else shows that n* is r at least. The last is a lower
bound, whose position is where it begins; it is for ``scoring.calc.trust`` to make something of those, since to leave
them out would count failures alone, which come early.
"""

import hashlib
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite
from typing import Final, Literal, NamedTuple

from scipy.special import ndtri

from athletes.calc.constants import RIR_BIAS, RIR_BIAS_SD
from athletes.calc.observation import rir_noise
from programming.calc.revision import REPETITIONS
from scoring.calc.attempt import SetEntry
from scoring.calc.forecast import BlockForecast, WorkForecast
from scoring.calc.levels import FRESH_LEVELS
from scoring.calc.score import Score

Kind = Literal["shown", "told", "at_least"]

COUNTED: Final = frozenset({"repetitions", "intervals"})
"""Units of which there are no parts."""
HALF: Final = 0.5
_ERRORS: Final = tuple(float(ndtri((number + HALF) / 64)) for number in range(64))
"""Of a normal error in SDs: the middles of as many parts of the same probability."""


@dataclass(frozen=True)
class Held:
    """A result in its forecast.

    kind: "shown", "told" (by a reserve), or "at_least" (a lower bound). low, high: the range of positions (0 to 1)
    that it takes; position: the one in it that counts, of a lower bound the lowest. done, median: what it comes to
    and the middle of the forecast, in `unit`; None where a result has no amount, or the forecast no middle.
    difference: done - median, None of a lower bound, and where a part of the forecast has no amount, since those that
    have one would be the better ones only.
    """

    kind: Kind
    low: float
    high: float
    position: float
    done: float | None
    median: float | None
    difference: float | None
    unit: str


class Table(NamedTuple):
    """Points of a distribution: ascending finite values at levels; bottom, top: the parts of it that have no value
    below and above them end and begin there.
    """

    values: tuple[float, ...]
    levels: tuple[float, ...]
    bottom: float = 0.0
    top: float = 1.0


def draw_of(*ids: object) -> float:
    """A number in (0, 1) that the ids alone decide."""
    digest = hashlib.sha256(":".join(str(one) for one in ids).encode()).digest()
    return (int.from_bytes(digest[:6], "big") + HALF) / 2**48


def table_of(
    quantiles: Sequence[float | None],
    levels: Sequence[float],
    p_finish: float = 1.0,
    *,
    is_time: bool = False,
) -> Table:
    """A stored table, None where a scenario has no mark (before the values) or does not finish (after them).

    p_finish: the share of it that finishes; is_time: whether that is what lacks where there is no value at all.
    """
    known = [index for index, value in enumerate(quantiles) if value is not None]
    values = tuple(value for value in quantiles if value is not None)
    if not known:
        return Table((), (), 0.0, p_finish) if is_time else Table((), (), levels[-1], 1.0)
    first, last = known[0], known[-1]
    bottom = 0.0 if first == 0 else (levels[first - 1] + levels[first]) / 2.0
    top = 1.0 if last == len(levels) - 1 else max(p_finish, levels[last])
    return Table(values, tuple(levels[first : last + 1]), bottom, top)


def span(table: Table, left: float, right: float) -> tuple[float, float]:
    """The range of levels that [left, right] takes, left <= right; both may be the same.

    Between the points in proportion. Points that are the same are a value with a probability of its own, which
    reaches half way to the levels beside it. Outside of the points nothing is known but on which side it lies.
    """
    values, levels, bottom, top = table
    if not values:
        return bottom, top
    if right < values[0]:
        return bottom, levels[0]
    if left > values[-1]:
        return levels[-1], top
    return _level(table, left, is_left=True), _level(table, right, is_left=False)


def _level(table: Table, value: float, *, is_left: bool) -> float:
    values, levels, bottom, top = table
    below, reached = bisect_left(values, value), bisect_right(values, value)
    if reached == 0:
        return (bottom + levels[0]) / 2.0
    if below == len(values):
        return (levels[-1] + top) / 2.0
    if reached > below:
        return _ends(table, below)[0 if is_left else 1]
    share = (value - values[below - 1]) / (values[below] - values[below - 1])
    low, high = _ends(table, below - 1)[1], _ends(table, below)[0]
    return low + share * (high - low)


def _ends(table: Table, index: int) -> tuple[float, float]:
    """Where the levels of the value at an index begin and end; one that is there once has its level alone."""
    values, levels, bottom, top = table
    first, last = bisect_left(values, values[index]), bisect_right(values, values[index]) - 1
    if first == last:
        return levels[first], levels[first]
    before = levels[first - 1] if first else bottom
    after = levels[last + 1] if last + 1 < len(levels) else top
    return (levels[first] + before) / 2.0, (levels[last] + after) / 2.0


def hold_first_set(entry: SetEntry, part: WorkForecast, draw: float) -> Held | None:
    """The first set of a work against what was foreseen to be available fresh; None where nothing was, where it was
    counted otherwise, and where it was ended by pain or by a judge, which tells neither.

    draw: in (0, 1), as `draw_of`.
    """
    if part.fresh_quantiles is None or part.unit != entry.unit or entry.ended_by in ("pain", "no_rep"):
        return None
    table = table_of(part.fresh_quantiles, FRESH_LEVELS)
    done, median = float(entry.amount), part.fresh_quantiles[FRESH_LEVELS.index(0.5)]
    whole = 1.0 if entry.unit == REPETITIONS else 0.0
    if entry.ended_by == "failure" or entry.rir == 0:
        low, high = span(table, done, done + whole)
        # In the middle of what it shows, or all forecasts would seem half a repetition too high.
        difference = done + whole / 2.0 - median
        return _held("shown", (low, high), draw, (done, median, difference), entry.unit)
    if entry.rir is None or entry.unit != REPETITIONS:
        low = span(table, done, done)[0]
        return Held("at_least", low, 1.0, low, done, median, None, entry.unit)
    able = done + entry.rir + RIR_BIAS
    between = _widened(table, able, hypot(rir_noise(done, float(entry.rir)), RIR_BIAS_SD))
    return _held("told", between, draw, (able, median, able - median), entry.unit)


def _widened(table: Table, value: float, sd: float) -> tuple[float, float]:
    """The range of a whole number in the distribution with a normal error of `sd` added to it."""
    ranges = [span(table, value - HALF - error * sd, value + HALF - error * sd) for error in _ERRORS]
    low, high = (sum(ends) / len(ranges) for ends in zip(*ranges, strict=True))
    return low, high


def hold_score(score: Score, forecast: BlockForecast, draw: float) -> Held | None:
    """The official score of a block against its forecast; None where there is no score, or the forecast is of none.

    Work for time that was not finished lies above all that finish, a mark that was not made below all others.
    draw: in (0, 1), as `draw_of`.
    """
    unit = forecast.unit
    if unit is None or score.state not in ("finished", "capped", "no_mark"):
        return None
    is_time = forecast.better == "lower"
    table = table_of(forecast.score_quantiles, forecast.levels, forecast.p_finish, is_time=is_time)
    if score.state == "capped":
        return _held("shown", (table.top, 1.0), draw, (None, forecast.p50, None), unit)
    if score.state == "no_mark":
        return _held("shown", (0.0, table.bottom), draw, (None, forecast.p50, None), unit)
    fits = score.unit == unit
    if score.value is None or not isfinite(score.value) or not fits:
        return None
    half = HALF if unit in COUNTED else 0.0
    between = span(table, score.value - half, score.value + half)
    median = forecast.p50
    difference = None if median is None or None in forecast.score_quantiles else score.value - median
    return _held("shown", between, draw, (score.value, median, difference), unit)


def _held(
    kind: Kind,
    between: tuple[float, float],
    draw: float,
    amounts: tuple[float | None, float | None, float | None],
    unit: str,
) -> Held:
    low, high = between
    return Held(kind, low, high, low + draw * (high - low), *amounts, unit)
