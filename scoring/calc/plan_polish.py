"""A plan made better set by set: each neighbour is played, and what loses less is kept (local search with kicks).

A policy does the same share after the same rest all along; a plan may begin with more than it goes on with, rest long
where that saves a break, and leave what the next turn needs. Where no neighbour (``scoring.calc.plan_moves``) is
better, a few moves drawn by a fixed sequence lead elsewhere, and the better of the two ends stays. The effort is
counted in simulated sets, so that the plan is the same on any machine.

Label setting was tried before: with thirty-two labels of each level it left 3 % of small blocks more than a hundredth
from the best plan, it knows one athlete and no scenarios, and it took more than a minute to compile.
"""

from typing import Final, NamedTuple

import numpy as np

from athletes.calc.fatigue import BODY_ROWS
from programming.calc.arrays import FloatArray, IntArray, borrowed, compiled, inlined
from programming.calc.rule_codes import NO_ITEM, RuleCodes, Work
from scoring.calc.books import (
    CLOCK,
    COLUMNS,
    SETS,
    TALLY,
    TRACED,
)
from scoring.calc.effort import WAIT_OF_A_SET_S
from scoring.calc.items import BY_TIME
from scoring.calc.next_set import Policy
from scoring.calc.plan_moves import MOVES, are_worthwhile, drawn, moved, tell_usual
from scoring.calc.planned_set import LISTED, Listing
from scoring.calc.policy_play import keeps
from scoring.calc.policy_score import loss_of_tally
from scoring.calc.readiness import ROWS
from scoring.calc.simulation import run_scenario

# What loses so much more in the first scenarios is played no further.
GLANCE: Final = 5
GLANCE_GAIN: Final = 0.02
# A kick has two to five moves in turn, of so many drawn at most.
KICKED: Final = 2
MORE_KICKED: Final = 4
KICK_TRIES: Final = 20
# What is better loses less by this, relative to what is lost.
BETTER: Final = 1e-6


class Told(NamedTuple):
    """What came of playing a plan: what is lost over all scenarios, infinite where it was played no further; in how
    many the windows are kept; what it cost [simulated sets].
    """

    lost: float
    kept: float
    effort: float


@inlined
def _play(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, people: FloatArray, multiplier: FloatArray,
    windows: FloatArray, total: float, listing: Listing, state: FloatArray, body: FloatArray, sizes: FloatArray,
    tally: FloatArray, trace: FloatArray, losses: FloatArray, before: FloatArray, most: float,
) -> Told:  # fmt: skip
    """Play a plan in all scenarios, and note what each loses (N,), until more is lost than `most`, or at first much
    more than `before` (N,).
    """
    lost, kept, effort, known = 0.0, 0.0, 0.0, 0.0
    for n in range(len(multiplier)):
        listing.following[:] = 0.0
        run_scenario(
            codes, work, table, weights, NO_ITEM, people[n], multiplier[n], Policy(1.0, 0.0, 1.0, 0.0), state, body,
            sizes, tally, trace, listing,
        )  # fmt: skip
        losses[n] = loss_of_tally(codes, BY_TIME, total, tally)
        kept += 1.0 if keeps(sizes, windows) else 0.0
        effort += 1.0 + tally[SETS] + tally[CLOCK] / WAIT_OF_A_SET_S
        lost += losses[n]
        known += before[n]
        if lost > most or (n + 1 == GLANCE and lost > (1.0 + GLANCE_GAIN) * known):
            return Told(np.inf, kept, effort)
    return Told(lost, kept, effort)


@inlined
def _copy(source: FloatArray, count: int, target: FloatArray) -> None:
    for row in range(count):
        for column in range(LISTED):
            target[row, column] = source[row, column]


@inlined
def _neighbour(plan: FloatArray, count: int, at: IntArray, worthwhile: float, trial: FloatArray) -> int:
    """The next neighbour of a plan, written into `trial`; its rows, 0 where all were looked at since the last better
    one. at (3,): row, move, neighbours since.
    """
    while at[2] <= count * len(MOVES):
        at[1] += 1
        if at[1] >= len(MOVES):
            at[0], at[1] = at[0] + 1, 0
        if at[0] >= count:
            at[0] = 0
        at[2] += 1
        _copy(plan, count, trial)
        size = moved(trial, count, at[0], MOVES[at[1]])
        if size > 0 and (worthwhile == 0.0 or are_worthwhile(trial, size, worthwhile)):
            return size
    return 0


@inlined
def _kick(
    plan: FloatArray, count: int, many: int, seed: IntArray, worthwhile: float, trial: FloatArray
) -> int:
    """So many moves of a plan that are drawn; its rows then."""
    made = 0
    for _ in range(KICK_TRIES):
        _copy(plan, count, trial)
        size = moved(trial, count, drawn(seed, count), MOVES[drawn(seed, len(MOVES))])
        if size > 0 and (worthwhile == 0.0 or are_worthwhile(trial, size, worthwhile)):
            _copy(trial, size, plan)
            count, made = size, made + 1
        if made == many:
            break
    return count


@compiled
def polish(
    codes: RuleCodes, work: Work, table: FloatArray, weights: FloatArray, people: FloatArray, multiplier: FloatArray,
    windows: FloatArray, total: float, start: FloatArray, room: int, fewest_kept: float,
    worthwhile: float, effort: float,
) -> tuple[FloatArray, float]:  # fmt: skip
    """(a plan (L, 4) that loses no more than that it starts with, what it cost to find it [simulated sets]).

    table, weights: of Items without an engine; people (N, 4, M), multiplier (N,): of Scenarios; windows (M, 4),
    total: as of `choose_policy`; start (S, 4), S at most `room`. Only for work for time
    that is done when all is done, in whole units. fewest_kept: in so many scenarios the windows are kept, or in as
    many as the start keeps them; worthwhile: as of a policy; effort: sets that may be simulated.
    """
    many, count, spent = table.shape[1], len(start), 0.0
    state, body = np.zeros((ROWS, many)), np.zeros((BODY_ROWS, weights.shape[1]))
    sizes, tally, trace = np.zeros((many, COLUMNS)), np.zeros(TALLY), np.zeros((0, TRACED))
    following, ended, done = np.zeros(many), np.zeros(room), np.zeros(room)
    usual, values = np.zeros((2, many)), np.zeros(room)
    plan, trial, best = np.zeros((room, LISTED)), np.zeros((room, LISTED)), np.zeros((room, LISTED))
    before, losses = np.full(len(multiplier), np.inf), np.zeros(len(multiplier))
    _copy(start, count, plan)
    _copy(start, count, trial)
    _copy(start, count, best)
    lost, kept, best_lost, best_kept, best_count = np.inf, 0.0, np.inf, 0.0, count
    size, at, seed, kicks = count, np.array([0, -1, 0]), np.array([1]), 0
    while spent < effort:
        tell_usual(trial, size, values, usual)
        listing = Listing(
            borrowed(trial[:size]), borrowed(usual), borrowed(following), borrowed(ended), borrowed(done)
        )
        told = _play(
            codes, work, table, weights, people, multiplier, windows, total, listing, state, body, sizes, tally,
            trace, losses, before, lost,
        )  # fmt: skip
        spent += told.effort
        begins = lost == np.inf
        if begins or (told.lost < lost * (1.0 - BETTER) and told.kept >= min(fewest_kept, kept)):
            _copy(trial, size, plan)
            lost, kept, count = told.lost, told.kept, size
            before[:] = losses
            at[2] = 0
        if lost < best_lost and kept >= min(fewest_kept, best_kept):
            _copy(plan, count, best)
            best_lost, best_kept, best_count = lost, kept, count
        size = _neighbour(plan, count, at, worthwhile, trial)
        if size == 0:
            _copy(best, best_count, plan)
            count = _kick(plan, best_count, KICKED + kicks % MORE_KICKED, seed, worthwhile, trial)
            kicks += 1
            _copy(plan, count, trial)
            size, lost, at[0], at[1], at[2] = count, np.inf, 0, -1, 0
            before[:] = np.inf
    return best[:best_count].copy(), spent
