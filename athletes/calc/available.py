"""What was available before each set that was logged, so that it can be told which share of it was taken.

The same people as the multiplier is learned with (`athletes.calc.multiplier`) do the sets that were logged, each
weighted by how well all of them fit. Who failed after nine had nine.
"""

from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS, rest, shared_by, spent_of, tire, total
from athletes.calc.multiplier import FAILURE, Able, SetsDone, fits
from athletes.calc.rested import decay
from programming.calc.arrays import FloatArray, compiled

LEVELS: Final = (0.1, 0.5, 0.9)
FEWEST_FITTING: Final = 8.0  # people, by the sum of their squared weights (ours)


def available_before(done: SetsDone, able: Able, multiplier: float) -> FloatArray:
    """(S, 3): units available before each set, at LEVELS; never less than what was done, and after a failure no more.

    Where too few of the people fit to tell how sure that is, all of them count alike.

    Raises ValueError for sets that overlap or go back in time, and for amounts that are not positive and finite.
    """
    fit = fits(done, able, multiplier)
    weight = np.exp(fit - fit.max())
    weight /= weight.sum()
    if 1.0 / (weight @ weight) < FEWEST_FITTING:
        weight = np.full(len(weight), 1.0 / len(weight))
    most = np.where(done.ended == FAILURE, done.amount, np.inf)
    there = np.clip(_there(done, able, multiplier), done.amount, most)
    return np.array([_levels(column, weight) for column in there.T])


def _levels(values: FloatArray, weight: FloatArray) -> list[float]:
    """The points below which LEVELS of the weight lie."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order])
    places = np.searchsorted(reached, np.array(LEVELS) * reached[-1])
    return [float(values[order[min(place, len(values) - 1)]]) for place in places.tolist()]


@compiled
def _there(done: SetsDone, able: Able, multiplier: float) -> FloatArray:
    """(N, S), of each person."""
    people, sets = len(able.fresh), len(done.piece)
    found = np.zeros((people, sets))
    body, shared = np.zeros((BODY_ROWS, able.weights.shape[1])), shared_by(able.weights)
    for n in range(people):
        body[:], end = 0.0, done.start[0]
        for s in range(sets):
            p = done.piece[s]
            rest(body, decay(done.start[s] - end))
            before = total(spent_of(body, able.weights[p], able.per_unit[n, p]))
            found[n, s] = able.fresh[n, p] - before
            tire(
                body, able.weights, shared[p], able.per_unit[n], able.fresh[n], p, multiplier, before,
                done.amount[s], done.seconds[s], done.ended[s] == FAILURE,
            )  # fmt: skip
            end = done.start[s] + done.seconds[s]
    return found
