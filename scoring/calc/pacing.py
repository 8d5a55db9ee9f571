"""The pacing of a block: a small grid of policies, compared on a few of the common scenarios.

The policy with the best mean score is taken, among those that keep the aim's windows of later sets and of the
share of what is available about as likely as any policy can. Work for time is compared by the official time, going
on at the own average pace where the clock cut it off; everything else by the amount, and by the time where that is
equal. Nothing here is random: the scenarios are passed.
"""

from functools import lru_cache
from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS
from programming.calc.arrays import FloatArray
from programming.calc.kept import kept
from programming.calc.revision import Block
from programming.calc.rule_codes import NO_ITEM, rule_codes, work_of
from scoring.calc.explicit import SetList, listing_of, play_list
from scoring.calc.items import (
    BY_AMOUNT,
    KEPT,
    OBJECTIVES,
    PACE,
    POWER,
    RESERVOIR,
    Items,
)
from scoring.calc.loss import SHARE_TOLERANCE
from scoring.calc.next_set import Policy
from scoring.calc.policy_choice import choose_policy
from scoring.calc.policy_score import losses, scores
from scoring.calc.readiness import EPSILON, ROWS
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import (
    CLOCK,
    COLUMNS,
    FINISHED,
    SETS,
    TALLY,
    TRACED,
    Runs,
    run_all,
    run_scenario,
)

Way = Policy | SetList
"""How a block is paced: by a policy, or by a written list of sets."""

# Shares below 0.6 only add penalties, own rests above three minutes only add seconds in work for time.
SHARES: Final = (0.6, 0.7, 0.8, 0.9, 1.0)
OWN_RESTS_S: Final = (20.0, 40.0, 60.0, 90.0, 150.0)
# What is chosen is looked at more closely: shares and rests about those of the grid. Breathers of ten seconds are
# common practice, no source; three minutes as above.
FINER_SHARES: Final = (-0.1, -0.05, 0.0, 0.05, 0.1)
FINER_RESTS: Final = (0.5, 0.75, 1.0, 1.25, 1.5)
LEAST_SHARE: Final = 0.4
SHORTEST_REST_S: Final = 10.0
LONGEST_REST_S: Final = 180.0
REST_STEP_S: Final = 5.0
# Just below the critical power the reserve comes back slowly; at twice the critical power it lasts for about a
# minute, and beyond the model of critical power is no longer measured (trials of two minutes and more).
PACES: Final = (0.9, 1.0, 1.1, 1.25, 1.5, 2.0)
# No set planned to failure: one in five is always left, and never less than the margin of its item.
BELOW_FAILURE_SHARE: Final = 0.8
# Scenarios that compare the grid: means of policies lie within 2 % of those of all scenarios, relative to each other.
PLAN_SCENARIOS: Final = 32
# Where no window of sets is asked for, looks at few of them tell which policies cannot be the best: after so many of
# all, those that lose so much more than the least, about three times what so few may mistake. Eight are too few to
# rule out what loses a tenth more, for short blocks with dear breaks: of a thousand one then lost a tenth.
LOOKS: Final = np.array([(4.0, 0.3), (8.0, 0.2), (16.0, 0.1)])
# A policy is played no further once it has lost more than another by so many standard errors of the differences: they
# vary far less than the losses do. Asked so often of so few, one of two that are as good as each other is out in
# two to four of a hundred cases, in up to eleven where the differences are very skewed (simulated); little is lost.
CLEARLY: Final = 3.0


def policy_grid(items: Items, most_share: float = 1.0) -> FloatArray:
    """The policies (P, 4) of the whole grid: share, own rest, pace, and the smallest sets. Of a single share where
    nothing runs empty.
    """
    return _grid(*_asks_for(items), _most_share(items, most_share))


def coarse_grid(items: Items, most_share: float = 1.0) -> FloatArray:
    """Every other policy of the grid (P, 4) by each of its values, the last of each among them: what compares
    combinations, of which the chosen one is then paced more closely.
    """
    return _coarse(*_asks_for(items), _most_share(items, most_share))


def finer_grid(items: Items, policy: Policy, most_share: float = 1.0) -> FloatArray:
    """The policies (P, 4) about one of the grid, itself alone where nothing runs empty.

    With its pace and its patience: what is best with sets that are worth a rest need not be what is best without.
    """
    if not _runs_empty(items):
        return np.array([policy])
    most = _most_share(items, most_share)
    shares = {round(min(most, max(LEAST_SHARE, policy.share + more)), 3) for more in FINER_SHARES}
    rests = {REST_STEP_S * round(policy.own_rest_s * by / REST_STEP_S) for by in FINER_RESTS}
    rests = {min(LONGEST_REST_S, max(SHORTEST_REST_S, rest)) for rest in rests}
    pace, patience = policy.pace, policy.worthwhile
    return np.array([(share, rest, pace, patience) for share in sorted(shares) for rest in sorted(rests)])


def _most_share(items: Items, most_share: float) -> float:
    """Less where a set must leave something."""
    return min(most_share, BELOW_FAILURE_SHARE if any(items.table[KEPT].tolist()) else 1.0)


def more_careful(policy: Policy) -> Policy:
    """The next policy of the grid with a smaller share and a longer rest."""
    share = max([one for one in SHARES if one < policy.share - EPSILON], default=policy.share)
    rest_s = min([one for one in OWN_RESTS_S if one > policy.own_rest_s + EPSILON], default=policy.own_rest_s)
    return policy._replace(share=share, own_rest_s=rest_s)


def _runs_empty(items: Items) -> bool:
    """Whether a set of lifting or holding may end before all is done: for the muscles, or for the breath it takes."""
    if RESERVOIR in items.kind.tolist():
        return True
    return items.engine != NO_ITEM and any(power > 0.0 for power in items.table[POWER].tolist())


def _asks_for(items: Items) -> tuple[bool, bool]:
    """Whether shares and rests are to be compared, and paces."""
    return _runs_empty(items), PACE in items.kind.tolist()


@lru_cache(maxsize=64)
def _grid(limited: bool, paced: bool, most_share: float) -> FloatArray:
    shares = tuple(share for share in SHARES if share <= most_share + 1e-9) if limited else SHARES[:1]
    rests = OWN_RESTS_S if limited else OWN_RESTS_S[:1]
    paces = PACES if paced else (1.0,)
    return np.array([(share, rest, pace, 0.0) for share in shares for rest in rests for pace in paces])


@lru_cache(maxsize=64)
def _coarse(limited: bool, paced: bool, most_share: float) -> FloatArray:
    return every_other(_grid(limited, paced, most_share))


def every_other(grid: FloatArray) -> FloatArray:
    """The policies (P, 4) with every other value in each column, the greatest of them among these."""
    kept = np.ones(len(grid), dtype=bool)
    for column in grid.T:
        kept &= np.isin(column, np.unique(column)[::-2])
    return np.asarray(grid[kept])


@kept
def set_windows(block: Block) -> FloatArray:
    """Tightest windows (M, 4) of later sets and of the share of what is available [%] with its tolerance, infinite
    where open.
    """
    windows = np.tile([-np.inf, np.inf, -np.inf, np.inf], (len(block.items), 1))
    columns = {"later_sets": 0, "share_of_available": 2}
    for condition in block.aim.conditions:
        if condition.kind not in columns:
            continue
        column = columns[condition.kind]
        slack = SHARE_TOLERANCE if column == columns["share_of_available"] else 0.0
        rows = [condition.work] if condition.work is not None else [item.key for item in block.work]
        for key in rows:
            item = block.index_of(key) if key is not None else None
            if condition.lower is not None:
                windows[item, column] = max(windows[item, column], condition.lower - slack)
            if condition.upper is not None:
                windows[item, column + 1] = min(windows[item, column + 1], condition.upper + slack)
    return windows


def asks_for_sets(block: Block) -> bool:
    """Whether there is a window of later sets, or of the share of what is available."""
    return bool(np.isfinite(set_windows(block)).any())


@kept
def total_of(block: Block) -> float:
    """All amounts of the block, its rounds where they do not add up; infinite where there is no end to them."""
    if block.by_progress and block.rules.repeats is not None:
        return float(block.rules.repeats)
    return np.inf if block.total is None else float(block.total)


@kept
def objective_of(block: Block) -> int:
    """What the plan of a block is chosen by."""
    return OBJECTIVES.get(block.rules.scored, BY_AMOUNT)


def best_policy(
    block: Block, scenarios: Scenarios, grid: FloatArray | None = None, draws: int = PLAN_SCENARIOS
) -> Policy:
    """The policy of the grid (P, 4) with the least mean loss inside the aim's windows of sets, where nothing asks for
    speed that with the fewest sets next to it; and that with sets that are worth a rest, where it loses next to
    nothing by them. They are compared in so many draws.
    """
    few, items = scenarios.subset(draws), scenarios.items
    best = choose_policy(
        rule_codes(block), work_of(block), items.table, items.weights, items.engine, few.people, few.multiplier,
        policy_grid(items) if grid is None else grid, set_windows(block), objective_of(block), total_of(block),
        LOOKS, CLEARLY, may_take_longer(block), _runs_empty(items),
    )  # fmt: skip
    return Policy(*best.tolist())


@kept
def may_take_longer(block: Block) -> bool:
    """Whether nothing asks for a quick plan: breaks that cost nothing, and no window of a time or a score."""
    rule = block.rules.break_rule
    cost = rule.penalty_s > 0.0 or rule.penalty_repetitions > 0 or rule.penalty_work is not None
    asked = any(condition.kind in ("time", "score") for condition in block.aim.conditions)
    return not asked and (rule.counts == "none" or not cost)


def run_policy(block: Block, scenarios: Scenarios, policy: Way) -> Runs:
    """All scenarios under one policy, or by a list of sets."""
    if isinstance(policy, SetList):
        return play_list(block, scenarios, policy).runs
    return run_all(
        rule_codes(block), work_of(block), scenarios.items.table, scenarios.items.weights, scenarios.items.engine,
        scenarios.people, scenarios.multiplier, policy,
    )  # fmt: skip


def plan_losses(block: Block, runs: Runs) -> FloatArray:
    """(N,): seconds, or the score with its sign turned; unfinished work for time projected to its end."""
    return losses(rule_codes(block), objective_of(block), total_of(block), runs)


def scores_of(block: Block, runs: Runs) -> FloatArray:
    """The official scores (N,): infinite where work for time was not finished, minus infinity without a mark; the
    clock where nothing is scored.
    """
    codes = rule_codes(block)
    finished = runs.state == FINISHED
    return scores(
        codes, objective_of(block), finished, runs.elapsed_s, runs.breaks, runs.done, runs.rounds, runs.smallest,
        runs.heaviest,
    )  # fmt: skip


def trace_policy(
    block: Block, scenarios: Scenarios, policy: Way, person: FloatArray, multiplier: float, most_sets: int
) -> tuple[FloatArray, float, bool]:
    """One scenario set by set: (sets (T, 7) as in `run_scenario`, elapsed seconds, finished)."""
    trace, tally, items = np.zeros((most_sets, TRACED)), np.zeros(TALLY), scenarios.items
    many, groups = items.weights.shape
    listing = listing_of(policy, many) if isinstance(policy, SetList) else None
    pacing = Policy(1.0, 0.0, policy.pace) if isinstance(policy, SetList) else policy
    finished = run_scenario(
        rule_codes(block), work_of(block), items.table, items.weights, items.engine, person, multiplier, pacing,
        np.zeros((ROWS, many)), np.zeros((BODY_ROWS, groups)), np.zeros((many, COLUMNS)), tally, trace, listing,
    )  # fmt: skip
    return trace[: int(tally[SETS])], float(tally[CLOCK]), bool(finished)
