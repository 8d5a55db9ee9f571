"""Observations as columns: what the estimate reads of them, converted once, and not by every step again."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from athletes.calc.observation import CODE, KIND_RANK, KINDS, History, Observation, history_of
from programming.calc.arrays import FloatArray, IntArray, numbers

TWO_SIDED_KINDS: Final = ("one_rm", "to_failure", "rir")
_IS_TWO_SIDED: Final = np.array([kind in TWO_SIDED_KINDS for kind in KINDS])
_IS_BOUNDED: Final = np.array([kind in (*TWO_SIDED_KINDS, "zero") for kind in KINDS])


class Seen(NamedTuple):
    """Observations, columns (M,): day, kind as the place in KINDS, load in kg, repetitions, reserve said (0 without),
    weight, hour, body mass in kg (NaN: unknown), variation as the place in `names`, which ascend.
    """

    day: IntArray
    kind: IntArray
    load_kg: FloatArray
    repetitions: FloatArray
    rir: FloatArray
    weight: FloatArray
    hour: FloatArray
    body_mass_kg: FloatArray
    variation: IntArray
    names: tuple[str, ...]

    def picked(self, rows: IntArray | NDArray[np.bool_]) -> "Seen":
        """Those that `rows` says, in its order."""
        return Seen(
            self.day[rows], self.kind[rows], self.load_kg[rows], self.repetitions[rows], self.rir[rows],
            self.weight[rows], self.hour[rows], self.body_mass_kg[rows], self.variation[rows], self.names,
        )  # fmt: skip

    @property
    def two_sided(self) -> NDArray[np.bool_]:
        """Whether each (M,) is of a kind that bounds what was available from both sides."""
        return np.asarray(_IS_TWO_SIDED[self.kind])

    @property
    def bounded(self) -> NDArray[np.bool_]:
        """Whether each (M,) is of a kind that says what was not possible; a missed single is one, too."""
        return np.asarray(_IS_BOUNDED[self.kind])


def columns_of(observations: Sequence[Observation]) -> Seen:
    """In the order in which they come."""
    rir = numbers([one.rir for one in observations])  # None becomes NaN
    names, variation = _variations([one.variation for one in observations])
    return Seen(
        day=numbers([one.day for one in observations]).astype(np.int64),
        kind=places([one.kind for one in observations], CODE),
        load_kg=numbers([one.load_kg for one in observations]),
        repetitions=numbers([one.repetitions for one in observations]),
        rir=np.where(np.isnan(rir), 0.0, rir),
        weight=numbers([one.weight for one in observations]),
        hour=numbers([one.hour for one in observations]),
        body_mass_kg=numbers([one.body_mass_kg for one in observations]),
        variation=variation,
        names=names,
    )


def places(column: Sequence[str], place: Mapping[str, int]) -> IntArray:
    """Where each (M,) stands."""
    return np.fromiter([place[one] for one in column], np.int64, len(column))


def _variations(column: Sequence[str]) -> tuple[tuple[str, ...], IntArray]:
    """The names that there are, ascending, and the place of each observation's among them."""
    names = tuple(sorted(set(column)))
    if len(names) < 2:
        return names, np.zeros(len(column), dtype=np.int64)
    return names, places(column, {name: n for n, name in enumerate(names)})


def history_and_rows(seen: Seen) -> tuple[History, IntArray]:
    """Columns of what the observations tell, sorted so that their order of entry does not matter, and the index (M,)
    of each kept one among them.

    Left out is what tells nothing beside the others (covering). Within a day counts and loads known with
    error come first, then ranges, then one-sided ranges: each step's normal approximation is best where the
    state is already narrow.
    """
    order = np.lexsort(
        (
            seen.variation, seen.hour, seen.weight, seen.rir, seen.repetitions, seen.load_kg,
            KIND_RANK[seen.kind], seen.day,
        )
    )  # fmt: skip
    history, keep = history_of(
        seen.day[order], seen.kind[order], np.log(seen.load_kg)[order], seen.repetitions[order], seen.rir[order],
        seen.weight[order], seen.variation[order], len(seen.names),
    )  # fmt: skip
    return history.picked(keep), order[keep]


def as_history(observations: Sequence[Observation]) -> History:
    """Of observations as they come (see :func:`history_and_rows`)."""
    return history_and_rows(columns_of(observations))[0]
