"""A stranger does a session.

A count is the mean number that curve and fatigue leave, and an error, rounded: the published curves are means of
whole repetitions, so rounding, and not cutting, keeps them.
"""

import math

from tests.oracles.strangers.plans import (
    FAILURE,
    PLANNED,
    Amount,
    Plan,
    Rounds,
    SessionLog,
    SetLog,
    Straight,
    Swap,
)
from tests.oracles.strangers.stranger import Form, Stranger

MOST_SETS = 300  # of a session by amounts; whoever is not through by then stops
FAILED_ATTEMPT = 0.5  # repetitions that a failed one costs; invented
SLOWING = 0.4  # the last repetition before failure takes this much longer; invented
IMPATIENCE_S = (
    20.0  # after a set without a repetition one waits this much longer, twice as much after the next
)


class _Player:
    """Clock, fatigue and log of one session."""

    def __init__(self, rng, stranger, form):
        self.rng, self.stranger, self.form = rng, stranger, form
        self.state = stranger.fatigue.fresh()
        self.clock = 0.0
        self.sets: list[SetLog] = []
        self.in_vain = 0

    def set(self, movement, load_kg, target, rest_s):
        """Rest, lift, note down; returns the repetitions."""
        stranger, fatigue = self.stranger, self.stranger.fatigue
        rest = None
        if self.sets:
            rest = rest_s + IMPATIENCE_S * self.in_vain
            fatigue.rest(self.state, rest)
            self.clock += rest
        share = min(
            stranger.share(movement, load_kg, self.form), 0.995
        )  # a reserve of nothing is not divided by
        reps = stranger.fresh_count(movement, load_kg, self.form)
        left = fatigue.remaining(self.state, movement, share, reps)
        most = max(0, math.floor(left + 0.5 + stranger.noise.error(self.rng, left, self.form)))
        done = most if target is None else min(most, target)
        failed = target is None or most < target
        seconds = self._seconds(done, left, failed)
        cost = min(done + FAILED_ATTEMPT * failed, left)
        fatigue.work(self.state, movement, share, reps, cost, seconds)
        self.clock += seconds
        self.in_vain = 0 if done else self.in_vain + 1
        ended_by = FAILURE if failed else PLANNED
        self.sets.append(SetLog(movement, load_kg, done, target, rest, ended_by, seconds))
        return done

    def _seconds(self, done, left, failed):
        part = min(done / left, 1.0) if left > 0 else 1.0
        pace = self.stranger.pace_s
        return round(pace * (done * (1 + SLOWING * part * part / 3) + failed), 1)

    def log(self, score_s, breaks=0, finished=True):
        elapsed = round(self.clock, 1)
        return SessionLog(tuple(self.sets), elapsed, score_s if finished else None, breaks, finished)


def perform(rng, stranger: Stranger, plan: Plan, form: Form | None = None) -> SessionLog:
    """Log of the session, a function of the generator's state alone; without a form the day is one of many."""
    player = _Player(rng, stranger, form or stranger.noise.forms(rng, [0.0])[0])
    match plan:
        case Straight(sets):
            for one in sets:
                player.set(one.movement, one.load_kg, one.repetitions, one.rest_s)
            return player.log(None)
        case Swap():
            return _swap(player, plan)
        case Rounds():
            return _rounds(player, plan)


def _target(amount: Amount, left: int) -> int:
    return min(left, amount.largest_set or left)


def _swap(player, plan):
    left = [amount.repetitions for amount in plan.amounts]
    turn = breaks = 0
    while any(left) and len(player.sets) < MOST_SETS:
        amount = plan.amounts[turn]
        left[turn] -= player.set(amount.movement, amount.load_kg, _target(amount, left[turn]), plan.rest_s)
        breaks += left[turn] > 0
        if left[1 - turn]:
            turn = 1 - turn
    return player.log(round(player.clock + plan.penalty_s * breaks, 1), breaks, not any(left))


def _rounds(player, plan):
    breaks = 0
    for amount in plan.amounts * plan.rounds:
        left = amount.repetitions
        while left and len(player.sets) < MOST_SETS:
            left -= player.set(amount.movement, amount.load_kg, _target(amount, left), plan.rest_s)
            breaks += left > 0
        if left:
            return player.log(None, breaks, finished=False)
    return player.log(round(player.clock, 1), breaks)
