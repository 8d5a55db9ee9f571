"""Observations as columns: what the estimate reads of them, converted once, and not by every step again."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import attrgetter
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from athletes.calc.observation import CODE, KIND_RANK, KINDS, History, Observation, history_of
from programming.calc.arrays import FloatArray, IntArray

TWO_SIDED_KINDS: Final = ("one_rm", "to_failure", "rir")
_IS_TWO_SIDED: Final = np.array([kind in TWO_SIDED_KINDS for kind in KINDS])
_IS_BOUNDED: Final = np.array([kind in (*TWO_SIDED_KINDS, "zero") for kind in KINDS])

_day, _kind, _variation = attrgetter("day"), attrgetter("kind"), attrgetter("variation")
_load_kg, _repetitions, _rir = attrgetter("load_kg"), attrgetter("repetitions"), attrgetter("rir")
_weight, _hour, _body_mass_kg = attrgetter("weight"), attrgetter("hour"), attrgetter("body_mass_kg")


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
    size = len(observations)

    def numbers(of: Callable[[Observation], Any]) -> FloatArray:
        return np.fromiter(map(of, observations), np.float64, size)

    rir = numbers(_rir)  # None becomes NaN
    names, variation = _variations(observations)
    return Seen(
        day=numbers(_day).astype(np.int64),
        kind=_places(map(_kind, observations), CODE, size),
        load_kg=numbers(_load_kg),
        repetitions=numbers(_repetitions),
        rir=np.where(np.isnan(rir), 0.0, rir),
        weight=numbers(_weight),
        hour=numbers(_hour),
        body_mass_kg=numbers(_body_mass_kg),
        variation=variation,
        names=names,
    )


def _variations(observations: Sequence[Observation]) -> tuple[tuple[str, ...], IntArray]:
    """The names that there are, ascending, and the place of each observation's among them."""
    names = tuple(sorted(set(map(_variation, observations))))
    if len(names) < 2:
        return names, np.zeros(len(observations), dtype=np.int64)
    place = {name: n for n, name in enumerate(names)}
    return names, _places(map(_variation, observations), place, len(observations))


def _places(found: Iterable[Any], place: dict[Any, int], size: int) -> IntArray:
    places: Iterator[int] = map(place.__getitem__, found)
    return np.fromiter(places, np.int64, size)


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
