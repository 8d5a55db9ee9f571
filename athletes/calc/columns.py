"""Observations as columns: what the estimate reads of them, converted once, and not by every step again."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from athletes.calc.observation import CODE, KIND_RANK, KINDS, History, Observation, history_of
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined, table

TWO_SIDED_KINDS: Final = ("one_rm", "to_failure", "rir")
_IS_TWO_SIDED: Final = np.array([kind in TWO_SIDED_KINDS for kind in KINDS])
_IS_BOUNDED: Final = np.array([kind in (*TWO_SIDED_KINDS, "zero") for kind in KINDS])


class Seen(NamedTuple):
    """Observations, columns (M,): day, kind as the place in KINDS, load in kg, repetitions, reserve said (0 without),
    weight, hour, body mass in kg (NaN: unknown), repetitions spent before with their SD (0: none), variation as the
    place in `names`, which ascend.
    """

    day: IntArray
    kind: IntArray
    load_kg: FloatArray
    repetitions: FloatArray
    rir: FloatArray
    weight: FloatArray
    hour: FloatArray
    body_mass_kg: FloatArray
    spent: FloatArray
    spent_sd: FloatArray
    variation: IntArray
    names: tuple[str, ...]

    def picked(self, rows: IntArray | NDArray[np.bool_]) -> "Seen":
        """Those that `rows` says, in its order."""
        return Seen(
            self.day[rows], self.kind[rows], self.load_kg[rows], self.repetitions[rows], self.rir[rows],
            self.weight[rows], self.hour[rows], self.body_mass_kg[rows], self.spent[rows], self.spent_sd[rows],
            self.variation[rows], self.names,
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
    numbers = table(
        [
            (
                o.day, CODE[o.kind], o.load_kg, o.repetitions, o.rir, o.weight, o.hour, o.body_mass_kg, o.spent,
                o.spent_sd,
            )
            for o in observations
        ],
        10,
    )  # fmt: skip
    day, kind, load_kg, repetitions, rir, weight, hour, body_mass_kg, spent, spent_sd = numbers
    rir[np.isnan(rir)] = 0.0
    names, variation = _variations([one.variation for one in observations])
    return Seen(
        day.astype(np.int64), kind.astype(np.int64), load_kg, repetitions, rir, weight, hour, body_mass_kg,
        spent, spent_sd, variation, names,
    )  # fmt: skip


def _variations(column: Sequence[str]) -> tuple[tuple[str, ...], IntArray]:
    """The names that there are, ascending, and the place of each observation's among them."""
    names = tuple(sorted(set(column)))
    if len(names) < 2:
        return names, np.zeros(len(column), dtype=np.int64)
    place = {name: n for n, name in enumerate(names)}
    return names, np.fromiter([place[name] for name in column], np.int64, len(column))


def history_and_rows(seen: Seen) -> tuple[History, IntArray]:
    """Columns of what the observations tell, sorted so that their order of entry does not matter, and the index (M,)
    of each kept one among them.

    Left out is what tells nothing beside the others (covering). Within a day counts and loads known with
    error come first, then ranges, then one-sided ranges: each step's normal approximation is best where the
    state is already narrow.
    """
    order = in_order(seen)
    history, keep = history_of(
        seen.day[order], seen.kind[order], np.log(seen.load_kg)[order], seen.repetitions[order], seen.rir[order],
        seen.weight[order], seen.variation[order], len(seen.names), seen.spent[order], seen.spent_sd[order],
    )  # fmt: skip
    return history.picked(keep), order[keep]


def in_order(seen: Seen) -> IntArray:
    rows = np.argsort(seen.day, kind="stable")
    keys = np.stack(
        (
            KIND_RANK[seen.kind], seen.load_kg, seen.repetitions, seen.rir, seen.weight, seen.hour, seen.variation,
            seen.spent, seen.spent_sd,
        )
    )  # fmt: skip
    sort_days(rows, seen.day, keys)
    return rows


@compiled
def sort_days(rows: IntArray, day: IntArray, keys: FloatArray) -> None:
    """Put rows (M,), ascending in `day`, in the order of the keys (C, M) within each day, the first key first.

    By insertion: a day has few sights.
    """
    for n in range(1, rows.size):
        row, at = rows[n], n
        while at > 0 and day[rows[at - 1]] == day[row] and precedes(keys, row, rows[at - 1]):
            rows[at] = rows[at - 1]
            at -= 1
        rows[at] = row


@inlined
def precedes(keys: FloatArray, one: int, other: int) -> bool:
    for key in range(keys.shape[0]):
        if keys[key, one] != keys[key, other]:
            return bool(keys[key, one] < keys[key, other])
    return False


def as_history(observations: Sequence[Observation]) -> History:
    """Of observations as they come (see :func:`history_and_rows`)."""
    return history_and_rows(columns_of(observations))[0]
