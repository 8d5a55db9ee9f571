"""A block done by an athlete who follows a pacing policy, scenario by scenario, compiled.

The policy: at each set do a share of what is available at that moment (all that is left of an item when it is
within reach), start a set no sooner than `own_rest_s` after the movement's last set (the work of a new round at
once where all of it is within reach), and do cyclical work at a factor of the critical power. So the other item's
working time counts as rest. Where not even the smallest set is available the athlete waits. Work that nothing
limits is done in one set. The rules are played by ``programming.calc.stepper``, compiled; the order is the block's,
whatever it is.
"""

from typing import Final

import numpy as np

from athletes.calc.fatigue import BODY_ROWS, rest, tire
from athletes.calc.rested import decay
from programming.calc.arrays import FloatArray, borrowed, compiled, inlined
from programming.calc.rule_codes import ATTEMPTS, FIXED_TIME, INTERVALS, SERVED_REST, RuleCodes, Work
from programming.calc.stepper import (
    BY_ATHLETE,
    BY_CLOCK,
    EPSILON,
    Place,
    Step,
    deadline,
    earliest_start,
    expire,
    portion,
    start,
    step,
)
from scoring.calc.books import (
    BALANCE,
    BREAKS,
    BROKEN_SETS,
    CLOCK,
    COLUMNS,
    DONE,
    FIRST,
    HEAVIEST,
    LAST_END,
    LATER_HIGH,
    LATER_LOW,
    MISSES,
    MOVED,
    ROUNDS,
    SETS,
    SHARE_SETS,
    SHARE_TOTAL,
    SMALLEST,
    TALLY,
    TRACED,
    begin,
    close_round,
    count_set,
    note,
    write_down,
)
from scoring.calc.items import FRESH, GROUP, KIND, PER_UNIT, RESERVOIR, SHARED
from scoring.calc.next_set import Coming, Policy, next_set
from scoring.calc.planned_set import Listing, listed_set
from scoring.calc.readiness import OPENED, REMAINING, ROWS, SEEN, STOPPED
from scoring.calc.runs import CUT_OFF, FINISHED, Runs, empty_runs, enter

__all__ = [
    "BREAKS", "BROKEN_SETS", "CLOCK", "COLUMNS", "CUT_OFF", "DONE", "FINISHED", "FIRST", "HEAVIEST", "LATER_HIGH",
    "LATER_LOW", "LONGEST_S", "MOVED", "ROUNDS", "SETS", "SHARE_SETS", "SHARE_TOTAL", "SMALLEST", "TALLY", "TRACED",
    "TRANSITION_S", "Runs", "run_all", "run_scenario",
]  # fmt: skip

# Going from one station to the other and setting up: common practice, no source.
TRANSITION_S: Final = 5.0
# Without a limit the simulation ends here, like the longest cap that a block may have.
LONGEST_S: Final = 14_400.0


@inlined
def _tire(
    table: FloatArray, weights: FloatArray, person: FloatArray, multiplier: float, body: FloatArray, item: int,
    coming: Coming, failed: bool,
) -> None:  # fmt: skip
    """What rest and a set leave in the body, at the end of the set."""
    rest(body, coming.gone)
    if table[KIND, item] == RESERVOIR:
        tire(
            body,
            weights,
            table[SHARED + item],
            person[PER_UNIT],
            person[FRESH],
            item,
            multiplier,
            coming.spent,
            coming.amount,
            coming.seconds,
            failed,
        )
    else:
        rest(body, decay(coming.seconds))


@inlined
def _play_set(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, person: FloatArray, multiplier: float,
    state: FloatArray, body: FloatArray, sizes: FloatArray, tally: FloatArray, place: Place, coming: Coming,
    asked: float,
) -> Step:  # fmt: skip
    """Do a set: what the rules, the body and the books make of it."""
    item = place.item
    left = state[REMAINING, item]
    ended = BY_CLOCK if coming.cut else BY_ATHLETE
    rest_s = coming.start - tally[LAST_END]
    taken = step(codes, work, state[REMAINING], place, coming.amount, rest_s, ended)
    complete = left - coming.amount <= EPSILON
    failed = coming.to_failure and not coming.cut
    _tire(table, weights, person, multiplier, body, item, coming, failed)
    begins = left >= asked - EPSILON
    straight = (codes.rest_between_s > 0.0 or codes.order in (INTERVALS, ATTEMPTS)) and asked < np.inf
    own = not coming.cut and (begins or not (complete or straight))
    later = state[SEEN, item] > 0.0 and not complete and not coming.cut
    wanted = asked if straight and begins else coming.available if failed else coming.amount
    note(sizes, item, coming.amount, coming.available, later, own, wanted)
    sizes[item, BROKEN_SETS] += int(straight and begins and not (complete or coming.cut))
    if state[SEEN, item] == 0.0:
        state[OPENED, item] = coming.amount
    state[SEEN, item] += 1.0
    tally[SETS] += 1.0
    tally[BREAKS] += int(taken.broke)
    tally[CLOCK] = coming.start + coming.seconds
    state[STOPPED, int(table[GROUP, item])] = tally[CLOCK]
    tally[LAST_END], tally[BALANCE] = tally[CLOCK], coming.balance
    if item != codes.penalty_item:
        count_set(codes, work, table, state, tally, place, coming, taken, left)
    return taken


@inlined
def _coming(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, lead: int, person: FloatArray,
    policy: Policy, state: FloatArray, body: FloatArray, tally: FloatArray, place: Place, round_before: int,
    broke: bool, owed_until: float, until: float, listing: Listing | None,
) -> tuple[Coming, float]:  # fmt: skip
    """(the next set at a place, all that is asked of its item in the round); owed_until: what a break has served of
    rest, which the end of an interval does not end.
    """
    earliest = max(earliest_start(codes, tally[CLOCK], round_before, place, broke), owed_until)
    if tally[SETS] > 0.0:
        earliest = max(earliest, tally[LAST_END] + TRANSITION_S)
    item = place.item
    asked = work.amounts[item] if item == codes.penalty_item else portion(codes, work, place.round, item)
    if listing is None:  # numba leaves the other branch out, by the type
        coming = next_set(
            table, weights, lead, person, policy, state, body, item, asked, earliest, until, tally[BALANCE],
            tally[LAST_END], codes.order == ATTEMPTS,
        )  # fmt: skip
    else:
        coming = listed_set(
            listing, table, weights, lead, person, policy.pace, state, body, item, place.round, earliest, until,
            tally[BALANCE], tally[LAST_END], codes.order == ATTEMPTS,
        )  # fmt: skip
    return coming, asked


@inlined
def run_scenario(
    codes: RuleCodes,
    work: Work,
    table: FloatArray,
    weights: FloatArray,
    lead: int,
    person: FloatArray,
    multiplier: float,
    policy: Policy,
    state: FloatArray,
    body: FloatArray,
    sizes: FloatArray,
    tally: FloatArray,
    trace: FloatArray,
    listing: Listing | None = None,
) -> bool:
    """Play one scenario by a policy, or by a list of sets (of the policy the pace alone counts then); whether all
    that is asked was done in time.

    table, weights, lead: of Items; person (5, M): of Scenarios; state (4, M), body (3, G): room to work in. sizes
    (M, 6), overwritten: first set (-1: none), smallest and largest later set, inf and -inf where there is none; the
    shares [%] of what was available, added up, and of how many sets; how many sets that are meant to be done in one
    go were not. A later set is one that the athlete chose to end: one that does all that is asked or left satisfies
    any floor and is not counted, nor is one that the clock cut. Shares are of all sets but those that complete what
    others left over or that the clock cut; a set to failure took all. Where rounds are parted by a rest, an
    interval or an attempt, a set is meant to be done in one go: its share is that of all that is asked, and what is
    done of it after a pause has none. tally (T,), overwritten: as in `scoring.calc.books`. trace (R, 7),
    overwritten as far as it reaches: item, amount, rest before [s], seconds, round, cut by the clock, units that were
    available before it (0: nothing local limits it).
    """
    # Half of the time went into counting references, set by set, to arrays that the caller holds in any case.
    work = Work(borrowed(work.amounts), borrowed(work.rungs), work.then_step)
    table, weights, person = borrowed(table), borrowed(weights), borrowed(person)
    state, body = borrowed(state), borrowed(body)
    sizes, tally, trace = borrowed(sizes), borrowed(tally), borrowed(trace)
    begin(state, body, sizes, tally)
    limit, on_time, broke, round_before = min(codes.limit_s, LONGEST_S), True, False, 0
    owed_until = 0.0
    place = start(codes, work, state[REMAINING])
    # Not beside NO_ITEM: so the compiler knows that no index is below 0, and asks no more at each access.
    while place.item >= 0:
        round_ = place.round
        until = min(deadline(codes, round_), limit)
        coming, asked = _coming(
            codes, work, table, weights, lead, person, policy, state, body, tally, place, round_before, broke,
            owed_until, until, listing,
        )  # fmt: skip
        round_before = round_
        if coming.start < until and (coming.amount > 0.0 or codes.order == ATTEMPTS):
            write_down(trace, tally, place, coming)
            taken = _play_set(
                codes, work, table, weights, person, multiplier, state, body, sizes, tally, place, coming, asked
            )  # fmt: skip
            if taken.broke and codes.penalty == SERVED_REST:
                owed_until = tally[CLOCK] + codes.penalty_s
        elif codes.order == INTERVALS and (round_ + 1) * codes.interval_s <= limit + EPSILON:
            taken = expire(codes, work, state[REMAINING], place)
            tally[BREAKS] += int(taken.broke)
            tally[CLOCK] = until
            close_round(tally, taken.missed)
        else:
            on_time, tally[CLOCK] = codes.end == FIXED_TIME, limit
            break
        broke, place = taken.broke, taken.place
    return on_time and tally[MISSES] == 0.0


@compiled
def run_all(
    codes: RuleCodes,
    work: Work,
    table: FloatArray,
    weights: FloatArray,
    lead: int,
    people: FloatArray,
    multiplier: FloatArray,
    policy: Policy,
) -> Runs:
    """Play all scenarios with one policy; table, weights, lead: of Items; people (N, 5, M), multiplier (N,): of
    Scenarios.
    """
    count, many = len(multiplier), table.shape[1]
    runs = empty_runs(count, many)
    room, body = np.zeros((ROWS, many)), np.zeros((BODY_ROWS, weights.shape[1]))
    tally, no_trace = np.zeros(TALLY), np.zeros((0, TRACED))
    for n in range(count):
        finished = run_scenario(
            codes, work, table, weights, lead, people[n], multiplier[n], policy, room, body, runs.sizes[n], tally,
            no_trace,
        )  # fmt: skip
        enter(runs, n, finished, tally)
    return runs
