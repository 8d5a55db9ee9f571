"""Which of several policies is taken: compared over the same scenarios, compiled.

Most policies are out after a few scenarios, and are then played no further. Whatever else comes, such a policy keeps
the windows of sets too rarely beside one that was played to the end, or has lost more than may be lost: losses in
seconds never fall. Beside these, one is out that has lost clearly more than another in the scenarios which both have
played: their differences vary far less than the losses do.
"""

from typing import Final

import numpy as np

from programming.calc.arrays import BoolArray, FloatArray, IntArray, compiled, inlined
from programming.calc.rule_codes import RuleCodes, Work
from scoring.calc.items import BY_TIME
from scoring.calc.policy_play import (
    ALIKE,
    KEPT_OF,
    LOOK_AGAIN,
    LOST,
    PLAYED,
    SLACK,
    WHOLE,
    add_up,
    does_the_same,
    loses_clearly,
    play_on,
)

# Where a window of sets is asked for, so many scenarios of all policies tell which to play to the end first.
GLANCE: Final = 2
# A policy keeps the windows of sets when it is within this of the most that any policy reaches.
LATER_TOLERANCE: Final = 0.05
# Sets of one or two repetitions between short rests are bad practice even where they save a little: the athlete rests
# until about a quarter of the first set is there, or else a seventh, unless that costs more than a twentieth. Where
# breaks cost nothing and no time or score is asked for, the plan with the fewest sets that costs no more is taken.
# All of it is ours.
WORTHWHILE: Final = (0.25, 0.15)
SMALL_SETS_GAIN: Final = 0.05


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
def _rule_out(
    sums: FloatArray, running: BoolArray, played: FloatArray, most: float, more: float, clearly: float
) -> None:
    """Rule out of `running` (P,) what loses more than the least by a part `most` of it, or clearly more than that,
    by sums (P, 3) of what was played (P, N, 3).
    """
    best = -1
    for p in range(len(sums)):
        if running[p] and (best < 0 or sums[p, LOST] < sums[best, LOST]):
            best = p
    bound = sums[best, LOST] + most * abs(sums[best, LOST])
    for p in range(len(sums)):
        running[p] = running[p] and sums[p, LOST] <= bound
        if running[p] and p != best:
            running[p] = not loses_clearly(played[p], played[best], more, clearly)


@inlined
def _leave_one_of_each(running: BoolArray, played: FloatArray) -> None:
    """Of those `running` (P,) that have done the same in all that was played (P, N, 3), leave the first."""
    for p in range(len(played)):
        for other in range(p):
            if running[p] and running[other] and does_the_same(played[p], played[other]):
                running[p] = False


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
def _look(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policies: FloatArray, windows: FloatArray, objective: int, total: float, order: IntArray,
    looks: FloatArray, more: float, clearly: float, running: BoolArray, played: FloatArray, sums: FloatArray,
) -> int:  # fmt: skip
    """Play some of the scenarios with all policies, and leave those `running` (P,) that may be the best; in how many.

    Where windows of sets are asked for, GLANCE, and all are left. played (P, N, 3), sums (P, 3): see `play_on`.
    """
    count, looked, every = len(multiplier), 0, np.isinf(windows).all()
    in_seconds, nobody = every and objective == BY_TIME and total < np.inf, np.empty((0, 3))
    for look in range(len(looks) if every else 1):
        until, most = (int(looks[look, 0]), looks[look, 1]) if every else (GLANCE, np.inf)
        if until >= count:
            break
        least = np.inf
        for p in range(len(policies)):
            if not running[p]:
                continue
            limit = (1.0 + most + SLACK) * least if in_seconds else np.inf
            became = play_on(
                codes, work, table, weights, lead, people, multiplier, policies[p], windows, objective, total, order,
                looked, until, played[p], -1.0, limit, nobody, 0.0, clearly,
            )  # fmt: skip
            running[p] = became == WHOLE
            add_up(played[p], sums[p])
            least = min(least, sums[p, LOST] if running[p] else np.inf)
        looked = until
        if every:
            _rule_out(sums, running, played, most, more, clearly if until >= 2 * LOOK_AGAIN else np.inf)
    if looked >= 2 * LOOK_AGAIN and clearly < np.inf:
        _leave_one_of_each(running, played)
    return looked


@compiled
def choose_policy(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, people: FloatArray,
    multiplier: FloatArray, policies: FloatArray, windows: FloatArray, objective: int, total: float,
    looks: FloatArray, clearly: float, may_take_longer: bool, may_wait: bool,
) -> FloatArray:  # fmt: skip
    """The policy (4,) of policies (P, 4) with the least mean loss of those that keep the windows about as often as
    any can; with may_take_longer that with the fewest sets of those which lose little more. may_wait: then with sets
    that are worth a rest, where it loses as little by them.

    table, weights, lead: of Items; people (N, 5, M), multiplier (N,): of Scenarios; windows (M, 4): lower, upper of
    each later set, of the mean share in percent, infinite where open; objective, total: of `loss_of`. looks (L, 2):
    where all windows are open, the scenarios after which a policy is out that has lost more than another by so great
    a part; clearly: how many standard errors are clearly more, infinite: none.
    """
    count = len(multiplier)
    sums, running = np.zeros((len(policies), 3)), np.ones(len(policies), np.bool_)
    played, order, failed = np.full((len(policies), count, 3), -1.0), np.arange(count), np.zeros(count)
    in_seconds = objective == BY_TIME and total < np.inf
    gain, nobody = SMALL_SETS_GAIN if may_take_longer else 0.0, np.empty((0, 3))
    looked = _look(
        codes, work, table, weights, lead, people, multiplier, policies, windows, objective, total, order, looks,
        gain, clearly, running, played, sums,
    )  # fmt: skip
    waiting, tolerance = running.copy(), LATER_TOLERANCE * count
    kept, sure, surest = 0.0, np.inf, -1
    p = _next(sums, waiting)
    while p >= 0:
        waiting[p] = False
        # Only what loses more than one that is surely near enough to whatever keeps the windows most often is out,
        # and nothing for its losses while it may itself keep them most often: all others are held against that.
        told = kept == count
        most = (1.0 + gain + SLACK) * sure if in_seconds and told else np.inf
        became = play_on(
            codes, work, table, weights, lead, people, multiplier, policies[p], windows, objective, total, order,
            looked, count, played[p], kept - tolerance - SLACK, most, played[surest] if told else nobody, gain,
            clearly,
        )  # fmt: skip
        running[p] = became == WHOLE
        if running[p]:
            add_up(played[p], sums[p])
            kept = max(kept, sums[p, KEPT_OF])
            if sums[p, KEPT_OF] >= count - tolerance and sums[p, LOST] < sure:
                sure, surest = sums[p, LOST], p
        _hardest_first(order, looked, played[p], failed)
        p = _next(sums, waiting)
    fewest, quickest = kept - tolerance - SLACK, np.inf
    for p in range(len(policies)):
        if running[p] and sums[p, KEPT_OF] >= fewest:
            quickest = min(quickest, sums[p, LOST])
    most = quickest + SMALL_SETS_GAIN * abs(quickest)
    chosen = _fewest_sets(sums, running, count, fewest, most if may_take_longer else quickest)
    best: FloatArray = policies[chosen].copy()
    if may_wait:
        beside = played[chosen].copy()
        for worthwhile in WORTHWHILE:
            patient: FloatArray = best.copy()
            patient[3] = worthwhile
            played[0], told = -1.0, sums[0]
            became = play_on(
                codes, work, table, weights, lead, people, multiplier, patient, windows, objective, total, order, 0,
                count, played[0], fewest, most * (1.0 + SLACK) if in_seconds else np.inf, beside, SMALL_SETS_GAIN,
                clearly,
            )  # fmt: skip
            add_up(played[0], told)
            if became == ALIKE or (became == WHOLE and told[KEPT_OF] >= fewest and told[LOST] <= most):
                return patient
    return best
