"""The figures of `athletes.calc.running_load` for every day of a history at once, in columns.

For charts and for what looks at years: the same numbers, in array operations over all days. Each window is summed
anew, by as many additions of whole columns as it has days; the weighted means go through a recursive filter.
"""

from typing import NamedTuple

import numpy as np
from scipy.signal import lfilter

from athletes.calc.load import ALIKE, WEEK_DAYS, Days, Ddof
from athletes.calc.load_means import ACUTE_DAYS, CHRONIC_DAYS, FADED, smoothing
from programming.calc.arrays import BoolArray, FloatArray


class Column(NamedTuple):
    """values (D,), 0 where nothing is told; told (D,)."""

    values: FloatArray
    told: BoolArray


class LoadHistory(NamedTuple):
    """Of each day: load, monotony and strain of the seven days up to it, the change from the seven days before, means
    in AU a day."""

    week_load: Column
    monotony: Column
    strain: Column
    change: Column
    acute: Column
    chronic: Column
    uncoupled_chronic: Column
    weighted_acute: Column
    weighted_chronic: Column


def load_history(days: Days, ddof: Ddof = 0) -> LoadHistory:
    """Of days whose first is known, as `athletes.calc.load.days_of` gives them. Nothing is changed."""
    week = _window_sum(days, WEEK_DAYS)
    month = _window_sum(days, CHRONIC_DAYS)
    monotony = _monotony(days, week, ddof)
    before = _later(week, WEEK_DAYS)
    based = before.told & week.told & (before.values > 0.0)
    return LoadHistory(
        week_load=week,
        monotony=monotony,
        strain=Column(monotony.values * week.values, monotony.told),
        change=_where(based, week.values - before.values, before.values),
        acute=Column(week.values / ACUTE_DAYS, week.told),
        chronic=Column(month.values / CHRONIC_DAYS, month.told),
        uncoupled_chronic=_later(_scaled(_window_sum(days, CHRONIC_DAYS - ACUTE_DAYS)), ACUTE_DAYS),
        weighted_acute=_weighted(days, ACUTE_DAYS),
        weighted_chronic=_weighted(days, CHRONIC_DAYS),
    )


def _scaled(three_weeks: Column) -> Column:
    return Column(three_weeks.values / (CHRONIC_DAYS - ACUTE_DAYS), three_weeks.told)


def _where(told: BoolArray, numerator: FloatArray, denominator: FloatArray) -> Column:
    values = np.zeros(numerator.shape)
    np.divide(numerator, denominator, out=values, where=told)
    return Column(values, told)


def _window_sum(days: Days, length: int) -> Column:
    """Sums of the `length` days up to each; told from the first day on that has as many, all known, behind it."""
    size = days.loads.size
    values, known = np.zeros(size), np.zeros(size, dtype=np.int64)
    if size >= length:
        count = size - length + 1
        for first in range(length):
            values[length - 1 :] += days.loads[first : first + count]
            known[length - 1 :] += days.known[first : first + count]
    told = known == length
    return Column(np.where(told, values, 0.0), told)


def _later(column: Column, days: int) -> Column:
    """What the column said so many days ago."""
    values, told = np.zeros(column.values.size), np.zeros(column.told.size, dtype=np.bool_)
    values[days:], told[days:] = column.values[:-days], column.told[:-days]
    return Column(values, told)


def _monotony(days: Days, week: Column, ddof: Ddof) -> Column:
    size = days.loads.size
    mean, squares = week.values / WEEK_DAYS, np.zeros(size)
    least, greatest = np.full(size, np.inf), np.zeros(size)
    last = slice(WEEK_DAYS - 1, None)
    for first in range(WEEK_DAYS if size >= WEEK_DAYS else 0):
        day = days.loads[first : first + size - WEEK_DAYS + 1]
        squares[last] += (day - mean[last]) ** 2
        least[last], greatest[last] = np.minimum(least[last], day), np.maximum(greatest[last], day)
    differ = week.told & (greatest - least > ALIKE * greatest)
    return _where(differ, mean, np.sqrt(squares / (WEEK_DAYS - ddof)))


def _weighted(days: Days, span: int) -> Column:
    a = smoothing(span)
    known = days.known.astype(np.float64)
    parts = []
    for column in (days.loads, known):
        into = a * column
        into[0] = column[0]
        parts.append(lfilter([1.0], [1.0, a - 1.0], into))
    told = (np.arange(days.loads.size) >= span - 1) & (parts[1] > FADED)
    return _where(told, parts[0], parts[1])
