"""What is foreseen of the strangers of each population, session after session: one run for all tests of a process.

Where a score lies in its forecast is told of amounts that are written from what is known of the athlete beforehand,
as in service. In the history they are parts of what the athlete truly has, which nobody knows: somebody stronger than
thought is asked for more, and nobody fails by being weaker than thought, so that scores come out quicker than of any
amount that was written without knowing the truth. Of 100 people each the mean rank is 0.40 with those and 0.46 with
these. How near a forecast comes is told of the history's own sessions: amounts written by the estimate that is then
held against them would count its errors twice.
"""

from __future__ import annotations

import math
import os
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from tests.oracles.strangers.populations import FAILURE, Amount, Form, Rounds, Swap, perform
from tests.scoring.foreseen import Counts
from tests.scoring.foreseen_scores import habits, rank_in, scores
from tests.scoring.house import Before, House

THOROUGH = os.environ.get("HYPOTHESIS_PROFILE") == "thorough"
PEOPLE = 500 if THOROUGH else 60


class Tried(NamedTuple):
    """A row for each: the rank of what came in its forecast, and the errors; of scores the ranks (N,) apart."""

    first_sets: pd.DataFrame
    scores: pd.DataFrame
    ranks: np.ndarray


@cache
def tried(name: str) -> Tried:
    first, amounts, ranks = [], [], []
    draw, rng = np.random.default_rng(17), np.random.default_rng(18)
    for before in House(name, PEOPLE, seed=2026).sessions():
        if before.session.log.sets[0].planned is None:
            first.append(_first_set(before, float(draw.uniform())))
        if before.session.log.score_s is not None:
            amounts.append(_score(before))
        if before.session.kind in ("swap", "rounds"):
            ranks.append(_rank(before, rng))
    return Tried(pd.DataFrame(first), pd.DataFrame(amounts), np.array(ranks))


def _rank(before: Before, rng: np.random.Generator) -> float:
    """Of the score in its forecast, with amounts as they would be written; who does not finish is slowest."""
    plan = as_known(before)
    came = perform(rng, before.stranger, plan, before.session.form).score_s
    found = scores(before.known, plan, before.session.began)
    return rank_in(found, math.inf if came is None else came, float(rng.uniform()))


def as_known(before: Before) -> Swap | Rounds:
    """The session's plan with the same multiples and parts of the count that is foreseen instead of the true one."""
    plan = before.session.plan
    assert isinstance(plan, Swap | Rounds)

    def written(one: Amount) -> Amount:
        capacity = before.known.capacity(one.movement, before.session.began)
        known = max(1, Counts(capacity, one.load_kg).middle)
        part = known / before.stranger.fresh_count(one.movement, one.load_kg, Form())
        largest = None if one.largest_set is None else max(1, round(part * one.largest_set))
        return replace(one, repetitions=max(2, round(part * one.repetitions)), largest_set=largest)

    return replace(plan, amounts=tuple(written(one) for one in plan.amounts))


def _first_set(before: Before, u: float) -> dict[str, float]:
    opening = before.session.log.sets[0]
    movement, load_kg, done = opening.movement, opening.load_kg, opening.repetitions
    counts = Counts(before.known.capacity(movement, before.session.began), load_kg)
    coach = told_by_coach(before, movement, load_kg)
    told = {"rank": counts.rank(done, u), "ours": abs(counts.middle - done)}
    return {**told, **{habit: abs(count - done) for habit, count in coach.items()}}


def epley_kg(load_kg: float, repetitions: int) -> float:
    """One-repetition maximum, 1RM = w (1 + r / 30)."""
    return load_kg * (1.0 + repetitions / 30.0)


def told_by_coach(before: Before, movement: str, load_kg: float) -> dict[str, float]:
    """What is written down of a first set by each habit; without a test of the movement there is none."""
    sets = [one for session in before.earlier for one in session.log.sets if one.movement == movement]
    opening = [
        next(one for one in session.log.sets if one.movement == movement)
        for session in before.earlier
        if any(one.movement == movement for one in session.log.sets)
    ]
    tests = [one for one in opening if one.ended_by == FAILURE and one.repetitions > 0]
    if not tests:
        return {}
    share = load_kg / epley_kg(tests[-1].load_kg, tests[-1].repetitions)
    return {
        "last": float(tests[-1].repetitions),
        "equation": math.floor(max(30.0 * (1.0 / share - 1.0), 0.0)),
        "average": float(np.mean([one.repetitions for one in sets])),
    }


def _score(before: Before) -> dict[str, Any]:
    """true: by the person's own parameters, on an ordinary day without noise."""
    plan, came = before.session.plan, before.session.log.score_s
    assert isinstance(plan, Swap | Rounds) and came is not None
    found = scores(before.known, plan, before.session.began)
    written = habits([one.log for one in before.earlier], plan)
    alike = [one.log.score_s for one in before.earlier if one.kind == before.session.kind]
    last = next((one for one in reversed(alike) if one is not None), None)
    ideal = perform(np.random.default_rng(0), before.stranger.calm(), plan, Form()).score_s
    told = {**written, "last": last, "true": ideal}
    return {
        "kind": before.session.kind,
        "came": came,
        "ours": abs(float(np.median(found)) - came),
        **{habit: math.nan if one is None else abs(one - came) for habit, one in told.items()},
    }
