"""What becomes of each set of a written list, over the common scenarios: how likely it is there as it is written."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from programming.calc.revision import Block
from scoring.calc.books import SHARE_SETS, SHARE_TOTAL
from scoring.calc.explicit import ListRuns, SetList, play_list
from scoring.calc.items import NOTHING
from scoring.calc.next_set import Policy
from scoring.calc.pacing import Way
from scoring.calc.planned_set import AMOUNT, AS_LISTED, ITEM, NOT_BEGUN, REST
from scoring.calc.runs import Runs
from scoring.calc.scenarios import Scenarios
from scoring.calc.spread import Spread, spread

# What is likelier short than whole fails; what is short more often than one in five times is doubtful (ours).
FAILS_BELOW: Final = 0.5
DOUBTFUL_BELOW: Final = 0.8

PROBABLE, DOUBTFUL, FAILS, UNLIMITED = "probable", "doubtful", "probably_not", "nothing_limits_it"


@dataclass(frozen=True)
class SetThere:
    """Of one set of a list: its number from 1; p_begun: share of the scenarios in which it is begun, p_there: in
    which it is done as it is written and in its time, None where nothing is known that limits it; done: what is done
    of it where it is begun, None where it never is; likely: one of the words above.
    """

    number: int
    work: str
    amount: float
    unit: str
    p_begun: float
    p_there: float | None
    done: Spread | None
    likely: str


def sets_there(block: Block, scenarios: Scenarios, listed: SetList, found: ListRuns) -> tuple[SetThere, ...]:
    """Each written set of a list, in its order; found: its runs in these scenarios."""
    return tuple(_there(block, scenarios, listed, found, index) for index in range(listed.written))


def _there(block: Block, scenarios: Scenarios, listed: SetList, found: ListRuns, index: int) -> SetThere:
    place = int(listed.rows[index, ITEM])
    item, begun = block.items[place], found.ended[:, index] != NOT_BEGUN
    there = float((found.ended[:, index] == AS_LISTED).mean())
    known = scenarios.items.kind[place] != NOTHING or there < 1.0
    done = found.done[begun, index]
    return SetThere(
        index + 1,
        item.key,
        float(listed.rows[index, AMOUNT]),
        item.unit,
        float(begun.mean()),
        there if known else None,
        spread(done) if len(done) else None,
        _likely(there) if known else UNLIMITED,
    )


def _likely(there: float) -> str:
    if there < FAILS_BELOW:
        return FAILS
    return DOUBTFUL if there < DOUBTFUL_BELOW else PROBABLE


def as_it_came(
    block: Block, scenarios: Scenarios, chosen: Way, runs: Runs
) -> tuple[Policy, tuple[SetThere, ...]]:
    """(the pacing as a policy, what becomes of each set of a list): of a list the mean share of what was available,
    and the median of its rests.
    """
    if isinstance(chosen, Policy):
        return chosen, ()
    count = float(runs.sizes[:, :, SHARE_SETS].sum())
    share = float(runs.sizes[:, :, SHARE_TOTAL].sum()) / (100.0 * count) if count else 1.0
    rests = chosen.rows[1 : chosen.written, REST]
    played = scenarios.subset(len(runs.state))
    told = sets_there(block, played, chosen, play_list(block, played, chosen))
    return Policy(round(share, 3), float(np.median(rests)) if len(rests) else 0.0, chosen.pace), told
