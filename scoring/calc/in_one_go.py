"""Straight sets: sets of fixed size with a rest between them, each of them meant to be done in one go.

Where somebody has to put the bar down after three of five, it is not the session that was written, however near the
share of what is available comes to the aim: of two loads that serve the aim alike the lighter one is a coach's
choice. So a set that is expected to break has a cost of its own, and where it remains the athlete is told. Expected
to break is what is likelier broken than not: by the mean, a few scenarios of somebody weak would make every load
lighter of whom little is known, and handbook tables of repetitions would not be kept. Sets of twelve and more train
endurance (guidance of the NSCA), where a short pause belongs to the work; so it does where a block counts its breaks,
or has no rest between its rounds. Common practice, no source.
"""

from collections.abc import Iterator
from typing import Final

from programming.calc.arrays import FloatArray
from programming.calc.kept import kept
from programming.calc.revision import REPETITIONS, Block
from scoring.calc.simulation import BROKEN_SETS, Runs
from scoring.calc.spread import median

ENDURANCE_FROM: Final = 12.0
# What all sets cost where all of them are broken: a bar put down after three of five is two repetitions too few of
# five, and too few costs three for one (`scoring.calc.loss`). Ours.
BROKEN_COST: Final = 1.2


def straight_sets(block: Block, index: int) -> int:
    """How many sets of a main item are meant to be done in one go; 0 where they may be broken."""
    rules, item = block.rules, block.items[index]
    counted = item in block.work and item.unit == REPETITIONS and item.amount is not None
    parted = rules.order == "rounds" and rules.rest_between_s > 0.0 and rules.break_rule.counts == "none"
    if not (counted and parted) or rules.ladder is not None or (item.amount or 0.0) >= ENDURANCE_FROM:
        return 0
    return rules.rounds or 0


@kept
def _straight(block: Block) -> tuple[tuple[int, int], ...]:
    """Each main item with straight sets, by its place, and how many there are."""
    counts = [(index, straight_sets(block, index)) for index in range(len(block.work))]
    return tuple(pair for pair in counts if pair[1])


def has_straight_sets(block: Block) -> bool:
    """Whether there is work that is not to be broken."""
    return bool(_straight(block))


def broken_cost(block: Block, sizes: FloatArray) -> float:
    """What the sets cost that are likelier broken than not, in units of the loss of an aim's conditions; sizes (N, M,
    6) as in `run_scenario`.
    """
    return sum(BROKEN_COST * broken / sets for _, broken, sets in _each(block, sizes))


def probably_broken(block: Block, runs: Runs) -> list[str]:
    """The work items of which at least one set is likelier broken than not."""
    return [key for key, broken, _ in _each(block, runs.sizes) if broken > 0.0]


def _each(block: Block, sizes: FloatArray) -> Iterator[tuple[str, float, int]]:
    """Of each item with straight sets: its key, how many are broken by the median scenario, and how many there
    are."""
    for index, sets in _straight(block):
        yield block.work[index].key, median(sizes[:, index, BROKEN_SETS]), sets
