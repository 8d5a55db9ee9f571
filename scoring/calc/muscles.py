"""Which muscle groups the work of a block takes, as few as tell the same.

Beside the groups of the catalogue each movement has one of its own, for what only it asks of the body: that much of
its fatigue stays with it, and of two movements that take the same muscles each feels the other by two thirds, about.
With nothing of its own, rows after pull-ups would be the pull-ups over again (ours; no study of such pairs was at
hand).

Groups that all work takes in the same proportion tire and rest together: their fatigue counts as that of one group,
of which each work takes the root of the sum of squares. So one movement has one group, and nothing changes.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from scoring.calc.candidate import Candidate

ALIKE = 1e-12


Groups = tuple[tuple[str, float], ...]

OWN: Final = 1.0
"""Weight of the group that a movement has to itself, where the largest of the others is 1 (ours)."""


def groups_of(movement: str, listed: Groups) -> Groups:
    """The groups of the catalogue with the movement's own, by the movement's key; the listed weights as they are."""
    largest = max((weight for _, weight in listed), default=1.0)
    return (*listed, (f"of {movement}", OWN * largest))


def muscle_weights(block: Block, candidates: Sequence[Candidate]) -> FloatArray:
    """(M, G) of `block.items`, the largest of each row 1 before groups are merged; 0 where nothing limits the work.

    Raises ValueError for a weight that is not positive.
    """
    pairs = zip(block.items, candidates, strict=True)
    return _kept_weights(
        tuple((item.movement, one.groups) if one.is_limited else None for item, one in pairs)
    )


@lru_cache(maxsize=256)
def _kept_weights(work: tuple[tuple[str, Groups] | None, ...]) -> FloatArray:
    """Of movements with their listed groups: most combinations of a block take the same. Nobody changes them."""
    return weights_of([() if one is None else groups_of(*one) for one in work])


def weights_of(work: Sequence[Groups]) -> FloatArray:
    """(M, G) for M pieces of work, each with its groups; a row of zeros where it has none. Raises as above."""
    found: dict[str, FloatArray] = {}
    for row, groups in enumerate(work):
        largest = max((weight for _, weight in groups), default=1.0)
        for group, weight in groups:
            if not weight > 0.0:
                raise ValueError(f"weights must be positive, got {weight!r} for {group}")
            found.setdefault(group, np.zeros(len(work)))[row] = weight / largest
    merged: list[FloatArray] = []
    for column in found.values():
        twin = next((n for n, known in enumerate(merged) if _proportional(known, column)), None)
        if twin is None:
            merged.append(column)
        else:
            merged[twin] = np.hypot(merged[twin], column)
    return np.ascontiguousarray(np.column_stack(merged)) if merged else np.zeros((len(work), 0))


def _proportional(one: FloatArray, other: FloatArray) -> bool:
    """By Cauchy and Schwarz, with equality for these alone."""
    return bool((one @ other) ** 2 >= (one @ one) * (other @ other) * (1.0 - ALIKE))
