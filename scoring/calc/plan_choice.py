"""Whether a plan of sets is taken in place of a policy: for short blocks of who is well known.

A policy follows what is there on the day, a plan what is likely; so a plan serves who is well known, and only where
sets are few does one more or less matter. It begins with what the policy does in the middle of the scenarios, with
all of what is there or a margin of safety less of it, is polished in a few of the scenarios
(``scoring.calc.plan_polish``), and is taken where it is better than the policy in others, clear of the noise.
"""

from math import sqrt
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import REPETITIONS, Block
from programming.calc.rule_codes import NO_ITEM, rule_codes, work_of
from scoring.calc.effort import FORECASTS, Budget
from scoring.calc.explicit import ListedSet, ListError, SetList, play_list, read_list
from scoring.calc.items import FRESH, KEPT, KIND, NOTHING, RESERVOIR
from scoring.calc.next_set import Policy
from scoring.calc.pacing import may_take_longer, plan_losses, run_policy, set_windows, total_of, trace_policy
from scoring.calc.plan_moves import SHORTEST_REST_S
from scoring.calc.plan_polish import polish
from scoring.calc.planned_set import ITEM, PAUSE, SIZE
from scoring.calc.policy_choice import LATER_TOLERANCE
from scoring.calc.policy_play import keeps_all
from scoring.calc.scenarios import Scenarios

# Of more repetitions plans were hardly ever better (one of thirty invented blocks), and cost more to find.
MOST_UNITS: Final = 40
# The spread of what is available, as a standard deviation of its logarithm, up to which plans are looked for. Of
# sixty invented blocks four get one at 5 and at 8 %, two at 10 %, none at 15 %; there it saves 2 to 5 % in people
# that it was not chosen by.
KNOWN_WITHIN: Final = 0.18
# Parts of what the middle athlete has, of which a plan may begin.
MARGINS: Final = (1.0, 0.9, 0.8)
# Scenarios that a plan is polished in, and sets that may be simulated for it: six to ten milliseconds.
POLISHED: Final = 16
EFFORT: Final = 40_000.0
# A plan asks to be followed to the letter: only for so much, and beyond two standard errors (ours).
LEAST_GAIN: Final = 0.01
CLEAR: Final = 2.0
FEWEST_FRESH: Final = 64

_ORDERS: Final = ("in_sequence", "rounds", "swap_on_break", "ladder")
# Columns of a trace that make a row of a list.
_TRACED: Final = [0, 1, 2, 4]


def plan_instead(
    block: Block, scenarios: Scenarios, policy: Policy, paced: int, budget: Budget
) -> SetList | None:
    """A plan that is clearly better than a policy, None without one; both are chosen by the first `paced` of the
    scenarios, and compared in the others.
    """
    fresh = scenarios.after(paced)
    if len(fresh.multiplier) < FEWEST_FRESH or not may_be_planned(block, scenarios):
        return None
    plan, spent = best_plan(block, scenarios.subset(paced), policy, min(EFFORT, budget.limit / FORECASTS))
    budget.spent += spent
    if plan is None:
        return None
    better, spent = is_better(block, fresh, plan, policy)
    budget.spent += spent
    return plan if better else None


def may_be_planned(block: Block, scenarios: Scenarios) -> bool:
    """Whether there are plans of a block: few repetitions for time, lifted by who is well known and may go to
    failure.
    """
    rules, items = block.rules, scenarios.items
    lifted = items.kind == RESERVOIR
    return (
        rules.order in _ORDERS
        and rules.scored == "time"
        and rules.end.kind == "work_done"
        and rules.break_rule.penalty_work is None
        and all(item.unit == REPETITIONS for item in block.items)
        and not block.by_progress
        and total_of(block) <= MOST_UNITS
        and not may_take_longer(block)
        and items.engine == NO_ITEM
        and bool(lifted.any())
        and bool((lifted | (items.kind == NOTHING)).all())
        and not items.table[KEPT].any()
        and _spread(scenarios.fresh[:, lifted]) <= KNOWN_WITHIN
    )


def _spread(fresh: FloatArray) -> float:
    """The largest standard deviation of the logarithm of what is available (N, L)."""
    return float(np.log(fresh).std(axis=0).max()) if (fresh > 0.0).all() else np.inf


def best_plan(
    block: Block, scenarios: Scenarios, policy: Policy, effort: float = EFFORT
) -> tuple[SetList | None, float]:
    """(the plan that does best in the first scenarios, None without one; sets that were simulated for it)."""
    few = scenarios.subset(POLISHED)
    start, spent = _start(block, scenarios, few, policy)
    if start is None:
        return None, spent
    items, windows = scenarios.items, set_windows(block)
    kept = float(keeps_all(run_policy(block, few, policy).sizes, windows).sum())
    rows, found = polish(
        rule_codes(block), work_of(block), items.table, items.weights, few.people, few.multiplier, windows,
        total_of(block), start.rows, int(total_of(block)), kept, policy.worthwhile, effort,
    )  # fmt: skip
    return _in_order(block, scenarios, SetList(rows, start.usual, len(rows))), spent + found


def _start(
    block: Block, scenarios: Scenarios, few: Scenarios, policy: Policy
) -> tuple[SetList | None, float]:
    """(the best of what the policy does in the middle, with margins; sets that were simulated)."""
    person, multiplier = scenarios.middle()
    best, least, spent, most = None, np.inf, 0.0, int(total_of(block))
    for margin in MARGINS:
        weaker = person.copy()
        weaker[FRESH] *= margin
        trace, _, finished = trace_policy(block, scenarios, policy, weaker, multiplier, most)
        listed = _listed(block, trace[:, _TRACED]) if finished else None
        if listed is None:
            continue
        runs = play_list(block, few, listed).runs
        lost = float(plan_losses(block, runs).mean())
        spent += float(runs.sets.sum())
        if lost < least:
            best, least = listed, lost
    return best, spent


def _listed(block: Block, rows: FloatArray) -> SetList | None:
    """Rows (L, 4) as the rules read them, None where nobody could follow them; who falls short of them rests before
    going on.
    """
    try:
        listed = read_list(
            block, [ListedSet(int(item), amount, rest_s) for item, amount, rest_s, _ in rows.tolist()]
        )
    except ListError:
        return None
    usual = listed.usual.copy()
    usual[PAUSE] = np.where(usual[SIZE] > 0.0, np.maximum(usual[PAUSE], SHORTEST_REST_S), 0.0)
    return listed._replace(usual=usual)


def _in_order(block: Block, scenarios: Scenarios, plan: SetList) -> SetList | None:
    """A plan in the order in which the rules have it done, which is told by who has it all."""
    table = scenarios.items.table.copy()
    table[KIND] = NOTHING
    able = Scenarios(scenarios.items._replace(table=table), scenarios.people[:1], scenarios.multiplier[:1])
    trace, _, finished = trace_policy(block, able, plan, able.people[0], 0.0, len(plan.rows))
    if not finished or len(trace) < len(plan.rows):
        return None
    own = [iter(plan.rows[plan.rows[:, ITEM] == item]) for item in range(len(block.items))]
    return _listed(block, np.array([next(own[int(item)]) for item in trace[:, ITEM]]))


def is_better(block: Block, fresh: Scenarios, plan: SetList, policy: Policy) -> tuple[bool, float]:
    """(whether a plan is clearly better than a policy in scenarios that neither was chosen by, and keeps the windows
    of sets about as often; sets that were simulated).
    """
    by_plan, by_policy = play_list(block, fresh, plan).runs, run_policy(block, fresh, policy)
    windows, lost = set_windows(block), plan_losses(block, by_policy)
    kept = keeps_all(by_plan.sizes, windows).mean() - keeps_all(by_policy.sizes, windows).mean()
    saved = lost - plan_losses(block, by_plan)
    noise = float(saved.std(ddof=1)) / sqrt(len(saved))
    better = kept >= -LATER_TOLERANCE and saved.mean() > max(CLEAR * noise, LEAST_GAIN * lost.mean())
    return bool(better), float(by_plan.sets.sum() + by_policy.sets.sum())
