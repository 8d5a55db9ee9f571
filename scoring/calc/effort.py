"""How much is simulated for one answer: a budget of sets, so that nothing a coach writes keeps a processor for long.

What costs is a set of a scenario, about an eighth of a microsecond: the sets of one draw, times the draws, times the
policies and the combinations that are compared. The budget is shared over the blocks by what is written in them.
Within a block

- a comparison takes its usual draws while as many comparisons as the items need fit into the block's budget, else
  half as many, a quarter ... down to a least; with the least, every other policy only;
- the search for better options, and for own amounts, ends when the block's budget is spent: what stands is the best
  so far, which begins with what fits the first sets best, or with what is written;
- the search for a plan of sets (``scoring.calc.plan_choice``) takes a sixteenth of the budget at most;
- the forecast itself takes its usual draws while these are a sixteenth of the budget at most, else fewer likewise: a
  probability from a few is good to a few in a hundred.

Coarser, but not wrong: what is available fresh, the windows of first sets and the caps of safety are judged in all
scenarios whatever the budget. Everything is counted and nothing is timed, so the answer is the same on any machine;
whoever reads it is told by the reason `coarse_forecast`.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray, compiled
from programming.calc.extent import sets_asked_for
from programming.calc.revision import Block, Condition
from programming.calc.rule_codes import NO_ITEM, RuleCodes, Work, rule_codes, work_of
from scoring.calc.items import RESERVOIR, Items
from scoring.calc.next_set import Policy
from scoring.calc.pacing import every_other
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import run_all

SESSION: Final = 5_000_000.0
"""Sets that are simulated for one athlete's session: about a second (ours)."""
FORECASTS: Final = 16.0
"""So many forecasts have room in a budget: with and without own amounts, of what was chosen and what was asked."""
# An option is sought up and down its ladder by shrinking steps: about so many comparisons for each item, and so many
# in any case.
COMPARISONS: Final = 8.0
# Waiting costs too: as much as a set for each of so many seconds.
WAIT_OF_A_SET_S: Final = 400.0
# Draws and policies that tell how many sets a draw has: short sets after short rests, and sets to failure.
PROBED: Final = 4
QUICK: Final = ((0.6, 20.0), (1.0, 20.0))


@dataclass(eq=False)
class Budget:
    """Sets that may be simulated, and what was; coarse: whether anything was left out for it.

    comparisons: how many of them there should be room for. found: what was found of combinations, so that none is
    simulated twice (`scoring.calc.combination`).
    """

    limit: float = inf
    comparisons: float = COMPARISONS
    spent: float = 0.0
    coarse: bool = False
    found: dict[Hashable, object] = field(default_factory=dict)

    def room_for(self, items: int) -> None:
        """Make room for the comparisons that so many items need whose options are sought."""
        self.comparisons = COMPARISONS * max(1, items)

    @property
    def is_spent(self) -> bool:
        """Whether to look no further."""
        return self.spent >= self.limit

    def stop(self) -> bool:
        """Whether to look no further, noting that something is left out."""
        self.coarse = self.coarse or self.is_spent
        return self.is_spent

    def draws(self, wanted: int, sets: float, least: int, parts: float = FORECASTS) -> int:
        """How many of `wanted` draws to take, each of so many sets, in one of `parts`; they count as spent."""
        taken = wanted
        while taken > least and taken * sets > self.limit / parts:
            taken = max(least, taken // 2)
        self.coarse = self.coarse or taken < wanted
        self.spent += taken * sets
        return taken

    def policies(self, grid: FloatArray, draws: int, sets: float) -> FloatArray:
        """The policies (P, 4) to compare: every other value of each where even so few draws of all are too much."""
        if len(grid) * draws * sets <= self.limit / self.comparisons:
            return grid
        self.coarse = True
        return every_other(grid)


def share_out(blocks: Sequence[Block], limit: float) -> list[float]:
    """The budget of each block: by the sets that are written in it, at least one, and the items that may be moved."""
    weights = [float(max(1, sets_asked_for(block)) * len(block.items)) for block in blocks]
    return [limit * weight / sum(weights) for weight in weights]


def sets_of_a_draw(block: Block, scenarios: Scenarios) -> float:
    """Sets that a scenario plays, or what costs as much, about; more for who is weak."""
    few, items = scenarios.subset(PROBED), scenarios.items
    return float(
        _probe(
            rule_codes(block),
            work_of(block),
            items.table,
            items.weights,
            items.engine,
            few.people,
            few.multiplier,
        )
    )


@compiled
def _probe(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray,
) -> float:  # fmt: skip
    """The mean of what scenarios cost [sets], each with the costlier of two policies."""
    most = np.zeros(len(multiplier))
    for share, own_rest_s in QUICK:
        pacing = Policy(share, own_rest_s, 1.0, 0.0)
        runs = run_all(codes, work, table, weights, lead, people, multiplier, pacing)
        for n in range(len(most)):
            most[n] = max(most[n], 1.0 + runs.sets[n] + runs.elapsed_s[n] / WAIT_OF_A_SET_S)
    return float(most.mean())


def limits_of(items: Items) -> int:
    """What may stop the athlete: the movements that tire, and the engines."""
    return len(set(items.group[items.kind == RESERVOIR].tolist())) + (items.engine != NO_ITEM)


def runs_of(conditions: Sequence[Condition], items: Items) -> int:
    """How often a draw is played to tell conditions: once, and for each that asks what stops the athlete again."""
    asked = sum(one.kind == "stopped_by" for one in conditions)
    return 1 + asked * (1 + limits_of(items)) if asked else 1
