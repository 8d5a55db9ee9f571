"""A block done by an athlete who follows a pacing policy, scenario by scenario, compiled.

The policy: at each set do a share of what is available at that moment (all that is left of an item when it is
within reach), start a set no sooner than `own_rest_s` after the movement's last set (the work of a new round at
once where all of it is within reach), and do cyclical work at a factor of the critical power. So the other item's
working time counts as rest. Where not even the smallest set is available the athlete waits. Work that nothing
limits is done in one set. The rules are played by ``programming.calc.stepper``, compiled; the order is the block's,
whatever it is.
"""

from typing import Final, NamedTuple

import numpy as np

from programming.calc.arrays import FloatArray, IntArray, compiled, inlined
from programming.calc.stepper import (
    ATTEMPTS,
    BY_ATHLETE,
    BY_CLOCK,
    EPSILON,
    FIXED_TIME,
    INTERVALS,
    NO_ITEM,
    RuleCodes,
    Work,
    deadline,
    earliest_start,
    expire,
    portion,
    start,
    step,
)
from scoring.calc.fatigue import fail, tire
from scoring.calc.items import FRESH, GROUP, KIND, LOAD, RESERVOIR, WEIGHT
from scoring.calc.next_set import (
    ENDED,
    FAST,
    REMAINING,
    RESTS,
    ROWS,
    SEEN,
    SLOW,
    Policy,
    next_set,
)

# Going from one station to the other and setting up: common practice, no source.
TRANSITION_S: Final = 5.0
# Without a limit the simulation ends here, like the longest cap that a block may have.
LONGEST_S: Final = 14_400.0

FINISHED: Final = 0
CUT_OFF: Final = 1  # by the clock, or with something missed

# Columns of `sizes`.
FIRST: Final = 0
LATER_LOW: Final = 1
LATER_HIGH: Final = 2
SHARE_LOW: Final = 3
SHARE_HIGH: Final = 4


class Outcome(NamedTuple):
    """One scenario.

    elapsed_s: clock at the end; done: what was done, as the score adds it up; moved: all units of the main work;
    rounds: rounds, rungs, intervals or attempts that were completed; misses: those that were not; smallest: the
    least done in an interval; heaviest: load of a set that did what was asked, minus infinity without one; state:
    FINISHED or CUT_OFF.
    """

    elapsed_s: float
    breaks: int
    done: float
    moved: float
    rounds: int
    misses: int
    smallest: float
    heaviest: float
    state: int
    sets: int


class Runs(NamedTuple):
    """N scenarios: the fields of Outcome (N,), and sizes (N, M, 5) as in `run_scenario`."""

    elapsed_s: FloatArray
    breaks: IntArray
    done: FloatArray
    moved: FloatArray
    rounds: IntArray
    misses: IntArray
    smallest: FloatArray
    heaviest: FloatArray
    state: IntArray
    sizes: FloatArray


@inlined
def _note(sizes: FloatArray, item: int, amount: float, whole: float, is_later: bool, is_own: bool) -> None:
    """Keep the size of a set, and its share of what was available; is_own: chosen, and not what was left over."""
    if sizes[item, FIRST] < 0.0:
        sizes[item, FIRST] = amount
    if not is_own:
        return
    if is_later:
        sizes[item, LATER_LOW] = min(sizes[item, LATER_LOW], amount)
        sizes[item, LATER_HIGH] = max(sizes[item, LATER_HIGH], amount)
    if whole > 0.0:
        share = 100.0 * amount / whole
        sizes[item, SHARE_LOW] = min(sizes[item, SHARE_LOW], share)
        sizes[item, SHARE_HIGH] = max(sizes[item, SHARE_HIGH], share)


@inlined
def _all_done(codes: RuleCodes, remaining: FloatArray) -> bool:
    """Whether no main work is left; after the last round nothing is, whatever was missed."""
    left = 0.0
    for item in range(codes.items):
        left += remaining[item]
    return left == 0.0


@inlined
def run_scenario(
    codes: RuleCodes,
    work: Work,
    table: FloatArray,
    lead: int,
    person: FloatArray,
    multiplier: float,
    policy: Policy,
    state: FloatArray,
    sizes: FloatArray,
    trace: FloatArray,
) -> Outcome:
    """Play one scenario.

    table, lead: of Items; person (3, M): of Scenarios; state (6, M): room to work in. sizes (M, 5), overwritten:
    first set (-1: none), smallest and largest later set, smallest and largest share [%] of what was available; inf
    and -inf where there is none. Sets that complete what others left over or that the clock cut count for the first
    alone. trace (T, 6), overwritten as far as it reaches: item, amount, rest before [s], seconds, round, cut by the
    clock.
    """
    state[:] = 0.0
    remaining = state[REMAINING]
    sizes[:, FIRST] = -1.0
    sizes[:, LATER_LOW], sizes[:, LATER_HIGH] = np.inf, -np.inf
    sizes[:, SHARE_LOW], sizes[:, SHARE_HIGH] = np.inf, -np.inf
    limit = min(codes.limit_s, LONGEST_S)
    place = start(codes, work, remaining)
    clock, last_end, finish, balance, balance_at = 0.0, 0.0, 0.0, 1.0, 0.0
    done, moved, in_round, smallest, heaviest = 0.0, 0.0, 0.0, np.inf, -np.inf
    breaks, rounds, misses, sets, round_before, broke, on_time = 0, 0, 0, 0, 0, False, True
    while place.item != NO_ITEM:
        item, round_ = place.item, place.round
        group = int(table[GROUP, item])
        until = min(deadline(codes, round_), limit)
        earliest = earliest_start(codes, clock, round_before, place, broke)
        if sets > 0:
            earliest = max(earliest, last_end + TRANSITION_S)
        left = remaining[item]
        asked = work.amounts[item] if item == codes.penalty_item else portion(codes, work, round_, item)
        coming = next_set(
            table, lead, person, policy, state, item, left, left < asked, earliest, until, balance,
            balance_at, codes.order == ATTEMPTS,
        )  # fmt: skip
        round_before, broke = round_, False
        if coming.start >= until or (coming.amount <= 0.0 and codes.order != ATTEMPTS):
            if codes.order != INTERVALS or (round_ + 1) * codes.interval_s > limit + EPSILON:
                on_time, finish = codes.end == FIXED_TIME, limit
                break
            gone = expire(codes, work, remaining, place)
            broke = gone.broke
            breaks += int(gone.broke)
            misses += int(gone.missed)
            rounds += int(not gone.missed)
            smallest, in_round = min(smallest, in_round), 0.0
            clock, finish, place = until, until, gone.place
            continue
        taken = step(
            codes, work, remaining, place, coming.amount, coming.start - last_end,
            BY_CLOCK if coming.cut else BY_ATHLETE,
        )  # fmt: skip
        if sets < len(trace):
            trace[sets, 0], trace[sets, 1] = item, coming.amount
            trace[sets, 2], trace[sets, 3] = coming.start - last_end, coming.seconds
            trace[sets, 4], trace[sets, 5] = round_, int(coming.cut)
        complete = left - coming.amount <= EPSILON
        clock = coming.start + coming.seconds
        if table[KIND, item] == RESERVOIR:
            fast, slow = tire(coming.fast, coming.slow, person[FRESH, item], multiplier, coming.amount)
            if coming.to_failure and not complete and not coming.cut:
                slow = fail(slow, person[FRESH, item], multiplier)
            state[FAST, group], state[SLOW, group], state[ENDED, group] = fast, slow, clock
            state[RESTS, group] += 1.0
        balance, balance_at, last_end, finish = coming.balance, clock, clock, clock
        sets += 1
        broke = taken.broke
        breaks += int(broke)
        own = not coming.cut and (not complete or left >= asked - EPSILON)
        _note(sizes, item, coming.amount, coming.whole, state[SEEN, item] > 0.0, own)
        state[SEEN, item] += 1.0
        if item != codes.penalty_item:
            moved += taken.counted
            done += taken.counted * table[WEIGHT, item]
            in_round += taken.counted * table[WEIGHT, item]
            if complete or (left == np.inf and coming.amount > 0.0):
                heaviest = max(heaviest, table[LOAD, item])
            if taken.place.round != round_ or _all_done(codes, remaining):
                missed = codes.order == ATTEMPTS and not complete and left < np.inf
                misses += int(missed)
                rounds += int(not missed)
                smallest, in_round = min(smallest, in_round), 0.0
        place = taken.place
    state_ = FINISHED if on_time and misses == 0 else CUT_OFF
    return Outcome(
        finish,
        breaks,
        done,
        moved,
        rounds,
        misses,
        0.0 if smallest == np.inf else smallest,
        heaviest,
        state_,
        sets,
    )


@compiled
def run_all(
    codes: RuleCodes,
    work: Work,
    table: FloatArray,
    lead: int,
    people: FloatArray,
    multiplier: FloatArray,
    policy: Policy,
) -> Runs:
    """Play all scenarios with one policy; table, lead: of Items; people (N, 3, M), multiplier (N,): of Scenarios."""
    count, many = len(multiplier), table.shape[1]
    elapsed, done, moved = np.zeros(count), np.zeros(count), np.zeros(count)
    smallest, heaviest, sizes = np.zeros(count), np.zeros(count), np.zeros((count, many, 5))
    breaks, rounds = np.zeros(count, np.int64), np.zeros(count, np.int64)
    misses, state = np.zeros(count, np.int64), np.zeros(count, np.int64)
    room, no_trace = np.zeros((ROWS, many)), np.zeros((0, 6))
    for n in range(count):
        one = run_scenario(
            codes, work, table, lead, people[n], multiplier[n], policy, room, sizes[n], no_trace
        )
        elapsed[n], breaks[n], done[n], moved[n] = one.elapsed_s, one.breaks, one.done, one.moved
        rounds[n], misses[n], state[n] = one.rounds, one.misses, one.state
        smallest[n], heaviest[n] = one.smallest, one.heaviest
    return Runs(elapsed, breaks, done, moved, rounds, misses, smallest, heaviest, state, sizes)
