"""The loads of attempts at a maximum: an opener that is nearly sure, then up, the last near the estimated best.

Of what can be loaded, those are chosen with which the heaviest load that succeeds is expected to be highest. As if
attempts did not tire, that is a sum: with loads l_1 < ... < l_N, l_0 = 0 and p_j the probability of l_j, the heaviest
success is expected to be sum_j (l_j - l_{j-1}) p_j, since who makes a load makes every lighter one; dynamic
programming finds the best of it. From there the loads are moved by single steps as long as the simulation, in which
attempts tire, gains by it. The opener is chosen beforehand: whoever misses it has nothing (common practice, no
source: about 90 % of the best, lower where more attempts follow).

Somebody who was never seen in the lift, or is not used to it at present, is not brought to a maximum that the numbers
alone tell: the loads go up to the heaviest that nine in ten make, and what was lifted tells where to begin next time.
Who must not go to failure keeps three repetitions in reserve with it. Where no load is likelier made than missed,
there are no attempts.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import REPETITIONS, Block
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.effort import Budget
from scoring.calc.first_set import LIGHT_ENOUGH, Judged
from scoring.calc.items import MARGIN
from scoring.calc.prescription import AttemptLoad
from scoring.calc.rising_block import foresee_attempts, heaviest_of, may_rise

OPENER_SURE: Final = 0.95
"""Ours: the probability of an opener that is made nearly surely."""
OPENER_SHARE: Final = 0.92
"""Of the estimated best, the most that an opener of three attempts is: about 90 % with what can be loaded."""
EARLIER_SHARE: Final = 0.05
LEAST_SHARE: Final = 0.6
"""Ours: with each attempt beyond three the opener is so much lower, down to the least share."""
LEAST_TRIED: Final = 0.05
"""Ours: nobody is put under a load that is made less often."""
LEAST_OF_ONE: Final = 0.5
"""Ours: where no load is likelier made than missed, there is nothing to begin with."""
LIGHT_SHARE: Final = 0.8
"""Of the heaviest load of who works up lightly, the first (ours)."""


@dataclass(frozen=True)
class Rising:
    """The attempts in order; is_light: of somebody unseen or unaccustomed, who is not brought to a maximum."""

    attempts: tuple[AttemptLoad, ...]
    is_light: bool


def rising_loads(
    block: Block, judged: Sequence[Judged], multiplier: FloatArray, budget: Budget | None = None
) -> Rising | None:
    """The loads of a block's attempts from all options of its item; None where attempts do not rise here: another
    kind of block, no external load, or a single one.
    """
    ladder = _ladder(judged) if may_rise(block) else []
    if len(ladder) < 2:
        return None
    count, asked = block.rules.attempts or 1, block.work[0].amount or 1.0
    sure = np.array([float((one.fresh >= asked).mean()) for one in ladder])
    is_light = any(one.is_unbounded or one.below_failure for one in ladder)
    loads = np.array([_kg(one) for one in ladder])
    if is_light:
        near = [one for one in ladder if not one.is_far] or ladder[:1]
        places = _lightly(loads[: len(near)], _spared(near, asked), count)
    else:
        places = _opened(loads, _efforts(ladder), sure, count)
        places = _moved(block, ladder, sure, multiplier, places, budget or Budget())
    chosen = [ladder[place] for place in places]
    seen = foresee_attempts(block, chosen, multiplier=multiplier, budget=budget)
    return Rising(attempts_of(block, [one.option for one in chosen], seen.probabilities), is_light)


def is_hopeless(block: Block, judged: Sequence[Judged]) -> bool:
    """Whether a miss is to be expected with every load of the block's attempts."""
    ladder = _ladder(judged) if may_rise(block) else []
    asked = block.work[0].amount or 1.0
    return bool(ladder) and max(float((one.fresh >= asked).mean()) for one in ladder) < LEAST_OF_ONE


def attempts_of(
    block: Block, options: Sequence[Option], probabilities: Sequence[float]
) -> tuple[AttemptLoad, ...]:
    """The attempts of a block with these loads, in order."""
    item = block.work[0]
    return tuple(
        AttemptLoad(item.key, number, option, item.amount or 1.0, probability)
        for number, (option, probability) in enumerate(zip(options, probabilities, strict=True), 1)
    )


def _ladder(judged: Sequence[Judged]) -> list[Candidate]:
    """The loads of one version, ascending: of that as written, else of the one with the most of them."""
    loaded = [
        one.candidate
        for one in judged
        if one.candidate.is_limited
        and one.candidate.option.load_kg is not None
        and one.candidate.option.assistance_kg is None
    ]
    if not loaded:
        return []
    written = [one.option.variation_key for one in loaded if one.is_as_written]
    names = [one.option.variation_key for one in loaded]
    name = written[0] if written else max(sorted(set(names)), key=names.count)
    own = [one for one in loaded if one.option.variation_key == name]
    own = [one for one in own if one.option.height_cm == own[0].option.height_cm]
    return sorted(own, key=_kg)


def _kg(one: Candidate) -> float:
    return one.option.load_kg or 0.0


def _efforts(ladder: Sequence[Candidate]) -> FloatArray:
    """What is really moved [kg] (K,)."""
    return np.array([one.option.effective_kg for one in ladder])


def _spared(ladder: Sequence[Candidate], asked: float) -> FloatArray:
    """The probability (K,) of what an attempt takes together with what it must leave: nothing for somebody unseen,
    whose loads are light for how little is known; the margin of every other set for who must not go to failure,
    since of somebody well known nine in ten make a load that is nearly a maximum.
    """
    kept = MARGIN[REPETITIONS] if any(one.below_failure for one in ladder) else 0.0
    return np.array([float((one.fresh >= asked + kept).mean()) for one in ladder])


def _opened(loads: FloatArray, efforts: FloatArray, sure: FloatArray, count: int) -> list[int]:
    """Places (N,) of the attempts on the ladder, as if attempts did not tire."""
    best = float(np.interp(0.5, sure[::-1], efforts[::-1]))
    share = max(OPENER_SHARE - EARLIER_SHARE * max(0, count - 3), LEAST_SHARE)
    openers = np.flatnonzero((sure >= OPENER_SURE) & (efforts <= share * best))
    opener = int(openers[-1]) if openers.size else 0
    return [opener, *_upward(loads, sure, opener, count - 1)]


def _upward(loads: FloatArray, sure: FloatArray, opener: int, count: int) -> list[int]:
    """`count` places above the opener with the highest expected heaviest success; the last ones repeat the heaviest
    worth trying where there are fewer.
    """
    above = [place for place in range(opener + 1, len(loads)) if sure[place] >= LEAST_TRIED]
    distinct = min(count, len(above))
    # best[j][i]: of j more attempts after the one at above[i - 1] (0: the opener).
    chosen: list[int] = []
    if distinct:
        places = [opener, *above]
        gain = np.full((distinct + 1, len(places)), -np.inf)
        came_from = np.zeros((distinct + 1, len(places)), dtype=np.int64)
        gain[0, 0] = 0.0
        for attempt in range(1, distinct + 1):
            for here in range(1, len(places)):
                steps = (loads[places[here]] - loads[places[:here]]) * sure[places[here]]
                totals = gain[attempt - 1, :here] + steps
                came_from[attempt, here] = int(np.argmax(totals))
                gain[attempt, here] = totals[came_from[attempt, here]]
        here = int(np.argmax(gain[distinct]))
        for attempt in range(distinct, 0, -1):
            chosen.insert(0, places[here])
            here = int(came_from[attempt, here])
    last = chosen[-1] if chosen else opener
    return chosen + [last] * (count - distinct)


def _lightly(loads: FloatArray, sure: FloatArray, count: int) -> list[int]:
    """Places (N,) in even steps up to the heaviest that nine in ten make, else to the likeliest."""
    safe = np.flatnonzero(sure >= LIGHT_ENOUGH)
    top = int(safe[-1]) if safe.size else int(np.argmax(sure))
    wanted = np.linspace(LIGHT_SHARE, 1.0, max(count, 2))[: count - 1] * loads[top]
    places = [top]
    for load in wanted[::-1]:
        nearest = int(np.argmin(np.abs(loads[: top + 1] - load)))
        places.insert(0, max(min(nearest, places[0] - 1), 0))
    return places


def _moved(
    block: Block,
    ladder: Sequence[Candidate],
    sure: FloatArray,
    multiplier: FloatArray,
    places: list[int],
    budget: Budget,
) -> list[int]:
    """The places after the opener, moved by single steps while the simulation gains by it and the budget lasts."""
    known: dict[tuple[int, ...], float] = {}

    def expected(tried: list[int]) -> float:
        key = tuple(tried)
        if key not in known:
            budget.spent += float(len(multiplier) * len(tried))
            known[key] = heaviest_of(block, [ladder[place] for place in tried], multiplier)
        return known[key]

    best, value = places, expected(places)
    while True:
        found, gained = best, value
        for attempt in range(1, len(best)):
            for tried in _near(best, attempt):
                if _rises(tried, sure) and not budget.stop() and expected(tried) > gained + 1e-9:
                    found, gained = tried, expected(tried)
        if found is best:
            return best
        best, value = found, gained


def _near(places: list[int], attempt: int) -> Iterator[list[int]]:
    """One attempt a step lighter or heavier, alone and with all that follow."""
    for step in (-1, 1):
        yield [*places[:attempt], places[attempt] + step, *places[attempt + 1 :]]
        yield [*places[:attempt], *(place + step for place in places[attempt:])]


def _rises(places: Sequence[int], sure: FloatArray) -> bool:
    """Whether no load comes twice, none is off the ladder, and none is hopeless."""
    rising = all(before < after for before, after in pairwise(places))
    return rising and places[-1] < len(sure) and bool(sure[places[-1]] >= LEAST_TRIED)
