"""What stops an athlete: whose improvement by a tenth betters the forecast most.

Each movement's fresh capacity, and the engines (critical power and reserve together), are raised by 10 % in turn,
the pacing as planned. A movement is named strength where the first sets possible are of six repetitions at most
(NSCA guidance, from memory), else the local muscle. Muscle against breath can only be told where a sustainable rate
is known: without an engine in the block, longer sets are stopped by something "unknown", and no guess is made.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from programming.calc.arrays import FloatArray, IntArray
from programming.calc.revision import REPETITIONS, Block
from programming.calc.rule_codes import NO_ITEM
from scoring.calc.items import RESERVOIR
from scoring.calc.pacing import Way, plan_losses, run_policy
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import Runs
from scoring.calc.spread import median

Stopper = Literal["local_muscle", "breathing", "strength", "skill", "unknown"]

IMPROVEMENT: Final = 1.10
STRENGTH_UP_TO: Final = 6.0
# Scenarios that tell it: whole repetitions make the gain of a single one uneven.
TOLD_BY: Final = 128

NO_RATE: Final = "no_sustainable_rate"
NO_CAPACITY: Final = "no_capacity_model"
NO_GAIN: Final = "nothing_improves_it"


@dataclass(frozen=True)
class Stops:
    """by: what stops the athlete; work: the item whose movement it is, None for breathing; gain: what 10 % more of it
    is worth in the unit of the score (seconds, or amount); reason: why it is unknown.
    """

    by: Stopper
    work: str | None
    gain: float
    reason: str | None = None


@dataclass(frozen=True, eq=False)
class Improved:
    """Gains (N, L) of L limits in N scenarios; items: the first item of each limit, NO_ITEM for the engines."""

    gains: FloatArray
    items: tuple[int, ...]


def improve(block: Block, few: Scenarios, policy: Way, runs: Runs | None = None) -> Improved:
    """What each limit's improvement is worth, under one policy; runs: under it as they are, where already made, in as
    many of the scenarios or more.
    """
    items = few.items
    groups = [int(group) for group in dict.fromkeys(items.group[items.kind == RESERVOIR])]
    played = run_policy(block, few, policy) if runs is None or len(runs.state) < len(few.multiplier) else runs
    before = plan_losses(block, played)[: len(few.multiplier)]
    better = [few.stronger(group, IMPROVEMENT) for group in groups]
    if items.engine != NO_ITEM:
        better.append(few.stronger(None, IMPROVEMENT))
        groups.append(NO_ITEM)
    gains = [before - plan_losses(block, run_policy(block, one, policy)) for one in better]
    return Improved(np.column_stack(gains) if gains else np.zeros((len(before), 0)), tuple(groups))


def stopper_of(block: Block, scenarios: Scenarios, item: int) -> Stopper:
    """What a limit is called."""
    if item == NO_ITEM:
        return "breathing"
    if block.items[item].unit == REPETITIONS and median(scenarios.fresh[:, item]) < STRENGTH_UP_TO + 1.0:
        return "strength"
    return "unknown" if scenarios.items.engine == NO_ITEM else "local_muscle"


def what_stops(
    block: Block, scenarios: Scenarios, policy: Way, draws: int = TOLD_BY, runs: Runs | None = None
) -> Stops:
    """The limit whose improvement is worth most, over so many of the scenarios; runs: as of `improve`."""
    found = improve(block, scenarios.subset(draws), policy, runs)
    if not found.items:
        return Stops("unknown", None, 0.0, NO_CAPACITY)
    means = found.gains.mean(axis=0)
    best = int(np.argmax(means))
    if means[best] <= 0.0:
        return Stops("unknown", None, 0.0, NO_GAIN)
    item = found.items[best]
    by = stopper_of(block, scenarios, item)
    work = None if item == NO_ITEM else block.items[item].key
    return Stops(by, work, round(float(means[best]), 1), NO_RATE if by == "unknown" else None)


def stopped_by(
    block: Block, scenarios: Scenarios, policy: Way, runs: Runs | None = None
) -> tuple[IntArray, tuple[Stopper, ...]]:
    """(limit of the greatest gain in each scenario (N,), what each limit is called); -1 where nothing gains. runs: as
    of `improve`.
    """
    found = improve(block, scenarios, policy, runs)
    names = tuple(stopper_of(block, scenarios, item) for item in found.items)
    if not names:
        return np.full(len(found.gains), -1), names
    best = np.argmax(found.gains, axis=1)
    return np.where(found.gains.max(axis=1) > 0.0, best, -1), names
