"""Which of several policies is taken: compared over the same scenarios, compiled.

Most policies are out after a few scenarios, and are then played no further. Whatever else comes, such a policy keeps
the windows of sets too rarely beside one that was played to the end, or has lost more than may be lost: losses in
seconds never fall. So the answer is that of playing all of them to the end (the tests do).
"""

from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS
from programming.calc.arrays import BoolArray, FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes, Work
from scoring.calc.items import BY_TIME
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

# Where no window of sets is asked for, a first look tells which policies cannot be the best: those that lose a tenth
# more, about three times what so few scenarios may mistake.
FIRST_GAIN: Final = 0.1
# Where one is, so many scenarios of all policies tell which to play to the end first.
GLANCE: Final = 2
# A policy keeps the windows of sets when it is within this of the most that any policy reaches.
LATER_TOLERANCE: Final = 0.05
# Sets of one or two repetitions between short rests are bad practice even where they save a little: the athlete rests
# until about a quarter of the first set is there, or else a seventh, unless that costs more than a twentieth. Where
# breaks cost nothing and no time or score is asked for, the plan with the fewest sets that costs no more is taken.
# All of it is ours.
WORTHWHILE: Final = (0.25, 0.15)
SMALL_SETS_GAIN: Final = 0.05

# Of a policy (3,), added up over the scenarios: what is lost, how often the sets keep the windows, sets.
LOST: Final = 0
KEPT_OF: Final = 1
PLAYED: Final = 2
# Sums of so many numbers may differ by their rounding.
SLACK: Final = 1e-9


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
def _play_on(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policy: FloatArray, windows: FloatArray, objective: int, total: float, order: IntArray,
    first: int, last: int, played: FloatArray, fewest_kept: float, most_lost: float,
) -> bool:  # fmt: skip
    """Play the scenarios from `first` to before `last` of an order (N,) with a policy (4,), and note of each (N, 3)
    what is lost, 1 where the sets keep the windows, sets; False, and no further, once it keeps the windows in fewer
    of all scenarios than fewest_kept, or has lost more than most_lost.
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
            return False
    return True


@inlined
def _add_up(played: FloatArray, sums: FloatArray) -> None:
    """The sums (3,) of what was noted of scenarios (N, 3), in whatever order they were played: policies that do the
    same have the same.
    """
    sums[:] = 0.0
    for n in range(len(played)):
        if played[n, PLAYED] >= 0.0:
            for column in range(3):
                sums[column] += played[n, column]


@inlined
def _hardest_first(order: IntArray, first: int, played: FloatArray, failed: FloatArray) -> None:
    """Count where a policy (N, 3) has not kept the windows, and change an order of scenarios, both (N,), from `first`
    on: those in which most have not come first, since there it is told soonest which others do not.
    """
    for n in range(len(order)):
        failed[n] += 1.0 if played[n, PLAYED] >= 0.0 and played[n, KEPT_OF] == 0.0 else 0.0
    for place in range(first + 1, len(order)):  # insertion: it hardly changes from one policy to the next
        n, at = order[place], place
        while at > first and failed[order[at - 1]] < failed[n]:
            order[at] = order[at - 1]
            at -= 1
        order[at] = n


@inlined
def _first_look(sums: FloatArray, running: BoolArray) -> None:
    """Rule out of `running` (P,) what loses much more than the least, by sums (P, 3)."""
    least = np.inf
    for p in range(len(sums)):
        least = min(least, sums[p, LOST] if running[p] else np.inf)
    for p in range(len(sums)):
        running[p] = running[p] and sums[p, LOST] <= least + FIRST_GAIN * abs(least)


@inlined
def _next(sums: FloatArray, waiting: BoolArray) -> int:
    """The policy waiting (P,) that so far keeps the windows most often, the one with the least loss of those."""
    best = -1
    for p in range(len(sums)):
        if waiting[p] and (
            best < 0
            or sums[p, KEPT_OF] > sums[best, KEPT_OF]
            or (sums[p, KEPT_OF] == sums[best, KEPT_OF] and sums[p, LOST] < sums[best, LOST])
        ):
            best = p
    return best


@inlined
def _fewest_sets(sums: FloatArray, running: BoolArray, count: int, fewest_kept: float, most: float) -> int:
    """The policy with the fewest whole sets of those that keep to both, the quicker of two alike."""
    best, sets = -1, np.inf
    for p in range(len(sums)):
        if not running[p] or sums[p, KEPT_OF] < fewest_kept or sums[p, LOST] > most:
            continue
        played = np.rint(sums[p, PLAYED] / count)
        if best < 0 or played < sets or (played == sets and sums[p, LOST] < sums[best, LOST]):
            best, sets = p, played
    return best


@compiled
def choose_policy(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policies: FloatArray, windows: FloatArray, objective: int, total: float, look: int,
    may_take_longer: bool, may_wait: bool,
) -> FloatArray:  # fmt: skip
    """The policy (4,) of policies (P, 4) with the least mean loss of those that keep the windows about as often as
    any can; with may_take_longer that with the fewest sets of those which lose little more. may_wait: then with sets
    that are worth a rest, where it loses as little by them.

    table, weights, lead: of Items; people (N, 5, M), multiplier (N,): of Scenarios; windows (M, 4): lower, upper of
    each later set, of the mean share in percent, infinite where open; objective, total: of `loss_of`. look: so many
    scenarios tell what cannot be the best, where all windows are open.
    """
    count, every = len(multiplier), np.isinf(windows).all()
    sums, running = np.zeros((len(policies), 3)), np.ones(len(policies), np.bool_)
    played, order, failed = np.full((len(policies), count, 3), -1.0), np.arange(count), np.zeros(count)
    in_seconds = objective == BY_TIME and total < np.inf
    looks = every and count > look
    looked = look if looks else min(GLANCE, count)
    least = np.inf
    for p in range(len(policies)):
        most = (1.0 + FIRST_GAIN + SLACK) * least if looks and in_seconds else np.inf
        running[p] = _play_on(
            codes, work, table, weights, lead, people, multiplier, policies[p], windows, objective, total, order, 0,
            looked, played[p], -1.0, most,
        )  # fmt: skip
        _add_up(played[p], sums[p])
        least = min(least, sums[p, LOST] if running[p] else np.inf)
    if looks:
        _first_look(sums, running)
    waiting, tolerance = running.copy(), LATER_TOLERANCE * count
    kept, sure, more = 0.0, np.inf, 1.0 + (SMALL_SETS_GAIN if may_take_longer else 0.0) + SLACK
    p = _next(sums, waiting)
    while p >= 0:
        waiting[p] = False
        # Only what loses more than one that is surely near enough to whatever keeps the windows most often is out.
        most = more * sure if in_seconds and kept == count else np.inf
        running[p] = _play_on(
            codes, work, table, weights, lead, people, multiplier, policies[p], windows, objective, total, order,
            looked, count, played[p], kept - tolerance - SLACK, most,
        )  # fmt: skip
        if running[p]:
            _add_up(played[p], sums[p])
            kept = max(kept, sums[p, KEPT_OF])
            sure = min(sure, sums[p, LOST] if sums[p, KEPT_OF] >= count - tolerance else np.inf)
        _hardest_first(order, looked, played[p], failed)
        p = _next(sums, waiting)
    fewest, quickest = kept - tolerance - SLACK, np.inf
    for p in range(len(policies)):
        if running[p] and sums[p, KEPT_OF] >= fewest:
            quickest = min(quickest, sums[p, LOST])
    most = quickest + SMALL_SETS_GAIN * abs(quickest)
    best: FloatArray = policies[
        _fewest_sets(sums, running, count, fewest, most if may_take_longer else quickest)
    ].copy()
    if may_wait:
        for worthwhile in WORTHWHILE:
            patient: FloatArray = best.copy()
            patient[3] = worthwhile
            done = _play_on(
                codes, work, table, weights, lead, people, multiplier, patient, windows, objective, total, order, 0,
                count, played[0], fewest, most * (1.0 + SLACK) if in_seconds else np.inf,
            )  # fmt: skip
            told = sums[0]
            _add_up(played[0], told)
            if done and told[KEPT_OF] >= fewest and told[LOST] <= most:
                return patient
    return best
