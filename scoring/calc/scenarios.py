"""The common scenarios of a block: what everybody who does it may have in them, one draw beside the other."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, compiled
from programming.calc.kept import kept
from programming.calc.revision import Block
from scoring.calc.candidate import Candidate
from scoring.calc.engine import check_engine
from scoring.calc.items import (
    CRITICAL,
    FRESH,
    PER_UNIT,
    PERSON_ROWS,
    RESERVE,
    TEMPO,
    Items,
    column_of,
    joined,
)

NUMBER: Final = (float, int)
"""What is the same in all scenarios, where it is no array."""


@dataclass(frozen=True, eq=False)
class Scenarios:
    """Common scenarios: people (N, 5, M) by rows FRESH, CRITICAL, RESERVE (1 without), PER_UNIT: what a unit
    takes of the muscles, TEMPO: factor of a unit's usual seconds; slow fatigue (N,).

    They come in an order of which every beginning is like the whole, as the points of a Sobol sequence do: 32 of its
    points tell a mean as well as a hundred taken at random.
    """

    items: Items
    people: FloatArray
    multiplier: FloatArray

    @property
    def fresh(self) -> FloatArray:
        """What is available fresh (N, M)."""
        return self.people[:, FRESH]

    def subset(self, count: int) -> "Scenarios":
        """The first `count` of the scenarios."""
        return Scenarios(self.items, self.people[:count], self.multiplier[:count])

    def after(self, count: int) -> "Scenarios":
        """Those behind the first `count`."""
        return Scenarios(self.items, self.people[count:], self.multiplier[count:])

    def middle(self) -> tuple[FloatArray, float]:
        """The median of everything that is drawn: a person (5, M) and a multiplier."""
        drawn = np.column_stack((self.people.reshape(len(self.people), -1), self.multiplier))
        # Several times as quick as the medians of the columns of an array with rows side by side.
        ordered = np.sort(np.ascontiguousarray(drawn.T), axis=1)
        middle = (ordered[:, (len(drawn) - 1) // 2] + ordered[:, len(drawn) // 2]) / 2.0
        return middle[:-1].reshape(self.people.shape[1:]), float(middle[-1])

    def stronger(self, group: int | None, factor: float) -> "Scenarios":
        """With the fresh capacity of a group, or the engines (None), multiplied by `factor`."""
        by = np.ones(self.people.shape[1:])
        if group is None:
            by[CRITICAL : RESERVE + 1] = factor
        else:
            by[FRESH, self.items.group == group] = factor
        return Scenarios(self.items, self.people * by, self.multiplier)


class Common:
    """What all options of a block are played in: multiplier (N,), and whether sets to failure may be planned.

    What is known of an option is kept, since each comes in many combinations. Raises ValueError as `make_scenarios`.
    """

    def __init__(self, block: Block, multiplier: FloatArray, *, to_failure: bool = True) -> None:
        self._block, self._to_failure = block, to_failure
        self._multiplier = np.ascontiguousarray(multiplier, dtype=float)
        self._columns: dict[tuple[int, Candidate], FloatArray] = {}
        if self._multiplier.ndim != 1 or not self._multiplier.size:
            raise ValueError(f"multiplier {self._multiplier.shape}")
        if not 0.0 <= self._multiplier.min() <= self._multiplier.max() < np.inf:
            raise ValueError("the multipliers must be finite and not negative")

    def scenarios(self, candidates: Sequence[Candidate], count: int | None = None) -> Scenarios:
        """The first `count` scenarios, or all, with one candidate for each of `block.items`, in that order."""
        if len(candidates) != len(self._block.items):
            raise ValueError(f"{len(candidates)} candidates for {len(self._block.items)} items")
        columns = [self._column(index, one) for index, one in enumerate(candidates)]
        multiplier = self._multiplier[:count]
        people = np.empty((len(multiplier), PERSON_ROWS, len(candidates)))
        people[:, CRITICAL : RESERVE + 1] = 1.0
        for index, one in enumerate(candidates):
            takes, tempo = one.per_unit, one.tempo
            people[:, FRESH, index] = one.fresh[:count]
            people[:, PER_UNIT, index] = takes if isinstance(takes, NUMBER) else takes[:count]
            people[:, TEMPO, index] = tempo if isinstance(tempo, NUMBER) else tempo[:count]
            if one.engine is not None:
                people[:, CRITICAL, index] = one.engine.critical[:count]
                people[:, RESERVE, index] = one.engine.reserve[:count]
        return Scenarios(joined(self._block, candidates, columns), people, multiplier)

    def _column(self, index: int, one: Candidate) -> FloatArray:
        """An item's column of the table; of a candidate that was not seen before after a look at its numbers."""
        if (index, one) not in self._columns:
            _check(one, len(self._multiplier))
            self._columns[index, one] = column_of(self._block, index, one, self._to_failure)
        return self._columns[index, one]


@kept
def _ranges(one: Candidate) -> tuple[float, float, float, float]:
    """The least and the most that is available fresh, and that a unit takes; NaN where a number is none."""
    takes = one.per_unit
    of_unit = (takes, takes) if isinstance(takes, NUMBER) else _least_and_most(_numbers(takes))
    return *_least_and_most(_numbers(one.fresh)), *of_unit


def _numbers(values: FloatArray) -> FloatArray:
    return np.ascontiguousarray(values, dtype=np.float64)


@compiled
def _least_and_most(values: FloatArray) -> tuple[float, float]:
    """Of values (N,), N > 0, in one pass; NaN where one of them is."""
    least = most = values[0]
    for value in values:
        if np.isnan(value):
            return np.nan, np.nan
        least, most = min(least, value), max(most, value)
    return least, most


def _check(one: Candidate, count: int) -> None:
    """Raises ValueError where the numbers of a candidate do not fit N scenarios, or are not in their range."""
    if np.shape(one.fresh) != (count,) or np.shape(one.per_unit) not in ((count,), ()):
        shapes = np.shape(one.fresh), np.shape(one.per_unit)
        raise ValueError(
            f"fresh {shapes[0]} and what a unit takes {shapes[1]} do not fit {count} multipliers"
        )
    least, most, takes_least, takes_most = _ranges(one)
    # No comparison holds of a number that is none.
    if not least >= 0.0:
        raise ValueError("what is available must not be negative")
    if one.is_limited and not most < np.inf:
        raise ValueError("what is available must be finite")
    if not 0.0 < takes_least <= takes_most < np.inf:
        raise ValueError("what a unit takes must be finite and positive")
    if one.engine is not None:
        check_engine(one.engine, count)


def make_scenarios(
    block: Block,
    candidates: Sequence[Candidate],
    multiplier: FloatArray,
    *,
    to_failure: bool = True,
    count: int | None = None,
) -> Scenarios:
    """Check and stack: one candidate for each of `block.items`, in that order; the first `count` scenarios, or all.

    The arrays of two items should come from independent uniforms, unless the same movement is meant. to_failure
    False, or a candidate below failure: a repetition of it is always kept. Raises ValueError on other shapes and
    on values that are not finite or not in their range.
    """
    return Common(block, multiplier, to_failure=to_failure).scenarios(candidates, count)
