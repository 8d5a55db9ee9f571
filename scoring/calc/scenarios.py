"""The common scenarios of a block: what everybody who does it may have in them, one draw beside the other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from scoring.calc.candidate import Candidate
from scoring.calc.engine import check_engine
from scoring.calc.items import CRITICAL, FRESH, PER_UNIT, PERSON_ROWS, RESERVE, Items, items_of


@dataclass(frozen=True, eq=False)
class Scenarios:
    """Common scenarios: people (N, 4, M) by rows FRESH, CRITICAL, RESERVE (1 without), PER_UNIT: what a unit
    takes of the muscles; slow fatigue (N,).

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

    def middle(self) -> tuple[FloatArray, float]:
        """The median of everything that is drawn: a person (4, M) and a multiplier."""
        return np.median(self.people, axis=0), float(np.median(self.multiplier))

    def stronger(self, group: int | None, factor: float) -> "Scenarios":
        """With the fresh capacity of a group, or the engines (None), multiplied by `factor`."""
        by = np.ones(self.people.shape[1:])
        if group is None:
            by[CRITICAL : RESERVE + 1] = factor
        else:
            by[FRESH, self.items.group == group] = factor
        return Scenarios(self.items, self.people * by, self.multiplier)


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
    all_m = np.ascontiguousarray(multiplier, dtype=float)
    if len(candidates) != len(block.items) or all_m.ndim != 1 or not all_m.size:
        raise ValueError(
            f"{len(candidates)} candidates for {len(block.items)} items, multiplier {all_m.shape}"
        )
    shapes = {np.shape(one.fresh) for one in candidates}
    if shapes != {all_m.shape} or {np.shape(one.per_unit) for one in candidates} - {all_m.shape, ()}:
        raise ValueError(f"fresh {shapes}, what a unit takes, and multiplier {all_m.shape} do not fit")
    m = all_m[:count]
    people = np.ones((len(m), PERSON_ROWS, len(candidates)))
    for index, one in enumerate(candidates):
        takes = one.per_unit if np.ndim(one.per_unit) == 0 else np.asarray(one.per_unit)[:count]
        people[:, FRESH, index], people[:, PER_UNIT, index] = one.fresh[:count], takes
    least, most = people.min(axis=0), people.max(axis=0)
    limited = np.array([one.is_limited for one in candidates])
    # A number that is none is neither the least nor the most, and no comparison holds of it.
    if not (most[FRESH, limited] < np.inf).all() or not -np.inf < m.min() <= m.max() < np.inf:
        raise ValueError("what is available and the multipliers must be finite")
    if not ((least[PER_UNIT] > 0.0) & (most[PER_UNIT] < np.inf)).all():
        raise ValueError("what a unit takes must be finite and positive")
    if not (least[FRESH] >= 0.0).all() or m.min() < 0.0:
        raise ValueError("what is available and the multipliers must not be negative")
    items = items_of(block, candidates, to_failure=to_failure)
    for index, one in enumerate(candidates):
        if one.engine is not None:
            check_engine(one.engine, len(all_m))
            people[:, CRITICAL, index] = one.engine.critical[:count]
            people[:, RESERVE, index] = one.engine.reserve[:count]
    return Scenarios(items, people, m)
