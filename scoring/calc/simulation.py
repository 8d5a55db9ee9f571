"""A block done by an athlete who follows a pacing policy, scenario by scenario, compiled.

The policy: at each set do a share of the repetitions available at that moment (all that is left of an item
when it is within reach), and start a set no sooner than `own_rest_s` after the same item's last set. So the
other item's working time counts as rest. Where not even one repetition is available the athlete waits. The
rules are played by ``programming.calc.rules.step``, compiled.
"""

from math import exp, floor
from typing import Final, NamedTuple

import numpy as np

from programming.calc import rules
from programming.calc.arrays import FloatArray, IntArray, compiled
from programming.calc.rules import NO_ITEM, RuleCodes
from scoring.calc.fatigue import FAST_TAU_S, SLOW_TAU_FIRST_S, SLOW_TAU_LATER_S, fail, recover, tire

# Going from one station to the other and setting up: common practice, no source.
TRANSITION_S: Final = 5.0
# Without a cap the simulation ends here, like the longest cap that a block may have.
LONGEST_S: Final = 14_400.0
WAIT_S: Final = 5.0  # step of the wait for one repetition: finer than anyone's patience
EPSILON: Final = 1e-9  # 8.0 computed as 7.999... is 8 repetitions

FINISHED: Final = 0
CUT_OFF: Final = 1  # by the cap, or by LONGEST_S

_step = compiled(rules.step)
_first_item = compiled(rules.first_item)


class Outcome(NamedTuple):
    """One scenario: clock at the end, breaks, repetitions done, FINISHED or CUT_OFF, number of sets."""

    elapsed_s: float
    breaks: int
    done: int
    state: int
    sets: int


@compiled
def next_start(
    earliest: float, fresh: float, fast: float, slow: float, since: float, rests: int, limit: float
) -> tuple[float, float, float]:
    """(start, fast, slow): the first moment from `earliest` on, by WAIT_S, with a repetition available.

    fast, slow: the reservoirs at the moment `since`. The start is `limit` or later when there is none before.
    """
    fast, slow = recover(fast, slow, earliest - since, rests)
    if fresh - fast - slow + EPSILON >= 1.0:
        return earliest, fast, slow
    if fresh < 1.0:  # no rest would help
        return limit, fast, slow
    fast_step = exp(-WAIT_S / FAST_TAU_S)
    slow_step = exp(-WAIT_S / (SLOW_TAU_FIRST_S if rests == 0 else SLOW_TAU_LATER_S))
    start = earliest
    while start < limit and fresh - fast - slow + EPSILON < 1.0:
        start += WAIT_S
        fast *= fast_step
        slow *= slow_step
    return start, fast, slow


@compiled
def set_size(available: float, left: int, share: float) -> int:
    """Repetitions of the next set: all that is left when in reach, else the share, at least one."""
    whole = floor(available + EPSILON)
    if whole >= left:
        return left
    return max(1, floor(share * whole + EPSILON))


@compiled
def run_scenario(
    codes: RuleCodes,
    work: IntArray,
    seconds: FloatArray,
    fresh: FloatArray,
    multiplier: float,
    share: float,
    own_rest_s: float,
    later: FloatArray,
    trace: FloatArray,
) -> Outcome:
    """Play one scenario.

    work, seconds, fresh (M,): repetitions to do, seconds per repetition, fresh repetitions available; later
    (M, 2), overwritten: smallest and largest later set of each item that did not complete it (inf, -inf when
    there is none); trace (T, 3), overwritten as far as it reaches: item, repetitions, rest before in seconds.
    """
    count = len(work)
    left, own_sets = work.copy(), np.zeros(count, np.int64)
    fast, slow, ended = np.zeros(count), np.zeros(count), np.zeros(count)
    later[:, 0], later[:, 1] = np.inf, -np.inf
    limit = min(codes.cap_s, LONGEST_S)
    clock, breaks, done, sets, item = 0.0, 0, 0, 0, _first_item(codes)
    while item != NO_ITEM:
        earliest = clock if sets == 0 else clock + TRANSITION_S
        if own_sets[item] > 0:
            earliest = max(earliest, ended[item] + own_rest_s)
        start, f, s = next_start(
            earliest, fresh[item], fast[item], slow[item], ended[item], own_sets[item] - 1, limit
        )
        if start >= limit:
            return Outcome(limit, breaks, done, CUT_OFF, sets)
        size = set_size(fresh[item] - f - s, left[item], share)
        fits = floor((limit - start) / seconds[item] + EPSILON)
        cut = fits < size
        size = min(size, fits)
        if size == 0:
            return Outcome(limit, breaks, done, CUT_OFF, sets)
        if sets < len(trace):
            trace[sets, 0], trace[sets, 1], trace[sets, 2] = item, size, start - clock
        taken = _step(codes, left, item, size)
        left[item] = taken.left
        f, s = tire(f, s, fresh[item], multiplier, size)
        if taken.broke and share >= 1.0:
            s = fail(s, fresh[item], multiplier)
        fast[item], slow[item] = f, s
        clock = start + size * seconds[item]
        ended[item] = clock
        done += taken.counted
        breaks += int(taken.broke)
        sets += 1
        if cut:
            return Outcome(limit, breaks, done, CUT_OFF, sets)
        if taken.broke and own_sets[item] > 0:
            later[item, 0], later[item, 1] = min(later[item, 0], size), max(later[item, 1], size)
        own_sets[item] += 1
        item = taken.next_item
    return Outcome(clock, breaks, done, FINISHED, sets)


class Runs(NamedTuple):
    """N scenarios: elapsed_s (N,), breaks (N,), done (N,), state (N,), later (N, M, 2) as in run_scenario."""

    elapsed_s: FloatArray
    breaks: IntArray
    done: IntArray
    state: IntArray
    later: FloatArray


@compiled
def run_all(
    codes: RuleCodes,
    work: IntArray,
    seconds: FloatArray,
    fresh: FloatArray,
    multiplier: FloatArray,
    share: float,
    own_rest_s: float,
) -> Runs:
    """Play all scenarios with one policy; fresh (N, M), multiplier (N,)."""
    count = len(multiplier)
    elapsed, later = np.zeros(count), np.zeros((count, len(work), 2))
    breaks, done, state = np.zeros(count, np.int64), np.zeros(count, np.int64), np.zeros(count, np.int64)
    no_trace = np.zeros((0, 3))
    for n in range(count):
        outcome = run_scenario(
            codes, work, seconds, fresh[n], multiplier[n], share, own_rest_s, later[n], no_trace
        )
        elapsed[n], breaks[n], done[n] = outcome.elapsed_s, outcome.breaks, outcome.done
        state[n] = outcome.state
    return Runs(elapsed, breaks, done, state, later)


@compiled
def projected_score(codes: RuleCodes, elapsed_s: float, breaks: int, done: int, total: int) -> float:
    """The official score, going on at the own average pace where the clock cut the work off.

    Only for comparing plans: unfinished work has no official score.
    """
    pace = elapsed_s / max(done, 1)
    return elapsed_s + codes.penalty_s * breaks + (total - done) * pace


@compiled
def score_policies(
    codes: RuleCodes,
    work: IntArray,
    seconds: FloatArray,
    fresh: FloatArray,
    multiplier: FloatArray,
    policies: FloatArray,
    windows: FloatArray,
) -> FloatArray:
    """(P, 2): mean projected score and share of scenarios whose later sets all lie in `windows`.

    policies (P, 2): share, own_rest_s; windows (M, 2): lower, upper, infinite where open.
    """
    result = np.zeros((len(policies), 2))
    total = work.sum()
    for p in range(len(policies)):
        runs = run_all(codes, work, seconds, fresh, multiplier, policies[p, 0], policies[p, 1])
        for n in range(len(multiplier)):
            result[p, 0] += projected_score(codes, runs.elapsed_s[n], runs.breaks[n], runs.done[n], total)
            holds = True
            for item in range(len(work)):
                low, high = runs.later[n, item, 0], runs.later[n, item, 1]
                holds = holds and low >= windows[item, 0] and high <= windows[item, 1]
            result[p, 1] += holds
    return result / max(len(multiplier), 1)
