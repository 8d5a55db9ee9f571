"""A policy played through scenarios, one after the other, until it is told that it is out; compiled."""

from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS
from programming.calc.arrays import FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes, Work
from scoring.calc.next_set import Policy
from scoring.calc.policy_score import loss_of_tally
from scoring.calc.readiness import ROWS
from scoring.calc.simulation import (
    COLUMNS,
    LATER_HIGH,
    LATER_LOW,
    SETS,
    SHARE_SETS,
    SHARE_TOTAL,
    TALLY,
    TRACED,
    run_scenario,
)

# After each so many scenarios a policy is held against the best so far.
LOOK_AGAIN: Final = 8
# Of a policy (3,), added up over the scenarios: what is lost, how often the sets keep the windows, sets.
LOST: Final = 0
KEPT_OF: Final = 1
PLAYED: Final = 2
# Sums of so many numbers may differ by their rounding.
SLACK: Final = 1e-9

# What becomes of a policy that is played.
OUT: Final = 0
WHOLE: Final = 1
ALIKE: Final = 2


@inlined
def keeps(sizes: FloatArray, windows: FloatArray) -> bool:
    """Whether the sets of all items (M, 6) lie in their windows (M, 4)."""
    for item in range(len(windows)):
        if sizes[item, LATER_LOW] < windows[item, 0] or sizes[item, LATER_HIGH] > windows[item, 1]:
            return False
        if sizes[item, SHARE_SETS] > 0.0:
            share = sizes[item, SHARE_TOTAL] / sizes[item, SHARE_SETS]
            if not windows[item, 2] <= share <= windows[item, 3]:
                return False
    return True


@compiled
def keeps_all(sizes: FloatArray, windows: FloatArray) -> FloatArray:
    """1 where the sets of a scenario, of N (N, M, 6), lie in their windows (M, 4), else 0: (N,)."""
    kept = np.zeros(len(sizes))
    for n in range(len(sizes)):
        kept[n] = 1.0 if keeps(sizes[n], windows) else 0.0
    return kept


@compiled
def play_on(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policy: FloatArray, windows: FloatArray, objective: int, total: float, order: IntArray,
    first: int, last: int, played: FloatArray, fewest_kept: float, most_lost: float, beside: FloatArray, more: float,
    clearly: float,
) -> int:  # fmt: skip
    """Play the scenarios from `first` to before `last` of an order (N,) with a policy (4,), and note of each (N, 3)
    what is lost, 1 where the sets keep the windows, sets: WHOLE. OUT, and no further, once it keeps the windows in
    fewer of all scenarios than fewest_kept, or has lost more than most_lost, or clearly more than was lost `beside`
    (N, 3) it, as `loses_clearly` says; ALIKE where it does the same as that. beside: of another policy, or no rows;
    clearly: how many standard errors that are, infinite: never.
    """
    many = table.shape[1]
    room, body = np.empty((ROWS, many)), np.empty((BODY_ROWS, weights.shape[1]))
    sizes, tally, no_trace = np.empty((many, COLUMNS)), np.empty(TALLY), np.empty((0, TRACED))
    pacing = Policy(policy[0], policy[1], policy[2], policy[3])
    lost, could_keep = 0.0, float(len(order))
    for place in range(first):
        lost += played[order[place], LOST]
        could_keep -= 1.0 - played[order[place], KEPT_OF]
    for place in range(first, last):
        n = order[place]
        run_scenario(
            codes, work, table, weights, lead, people[n], multiplier[n], pacing, room, body, sizes, tally, no_trace
        )  # fmt: skip
        played[n, LOST] = loss_of_tally(codes, objective, total, tally)
        played[n, KEPT_OF] = 1.0 if keeps(sizes, windows) else 0.0
        played[n, PLAYED] = tally[SETS]
        lost += played[n, LOST]
        could_keep -= 1.0 - played[n, KEPT_OF]
        if could_keep < fewest_kept or lost > most_lost:
            return OUT
        if (place + 1) % LOOK_AGAIN == 0 and place + 1 < last and len(beside) > 0:
            if loses_clearly(played, beside, more, clearly):
                return OUT
            if place + 1 >= 2 * LOOK_AGAIN and clearly < np.inf and does_the_same(played, beside):
                return ALIKE
    return WHOLE


@inlined
def does_the_same(played: FloatArray, beside: FloatArray) -> bool:
    """Whether a policy (N, 3) has done what another does in all scenarios that it has played."""
    for n in range(len(played)):
        if played[n, PLAYED] >= 0.0:
            if played[n, PLAYED] != beside[n, PLAYED] or played[n, KEPT_OF] != beside[n, KEPT_OF]:
                return False
            if abs(played[n, LOST] - beside[n, LOST]) > SLACK * abs(beside[n, LOST]):
                return False
    return True


@inlined
def loses_clearly(played: FloatArray, beside: FloatArray, more: float, clearly: float) -> bool:
    """Whether a policy (N, 3) has lost more than another by so many standard errors of the differences, in the
    scenarios that it has played; where it has fewer sets, by a part `more` of what the other lost beside that.
    """
    count, differences, squares, losses, sets = 0.0, 0.0, 0.0, 0.0, 0.0
    for n in range(len(played)):
        if played[n, PLAYED] >= 0.0:
            difference = played[n, LOST] - beside[n, LOST]
            count += 1.0
            differences += difference
            squares += difference * difference
            losses += abs(beside[n, LOST])
            sets += played[n, PLAYED] - beside[n, PLAYED]
    excess = differences - (more * losses if sets < 0.0 else 0.0)
    spread = max(0.0, squares - differences * differences / count)
    return bool(excess > SLACK * losses and excess > clearly * np.sqrt(spread * count / (count - 1.0)))


@inlined
def add_up(played: FloatArray, sums: FloatArray) -> None:
    """The sums (3,) of what was noted of scenarios (N, 3), in whatever order they were played: policies that do the
    same have the same.
    """
    sums[:] = 0.0
    for n in range(len(played)):
        if played[n, PLAYED] >= 0.0:
            for column in range(3):
                sums[column] += played[n, column]
