"""What is foreseen of the strangers of each population, session after session: one run for all tests of a process."""

from __future__ import annotations

import math
import os
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from tests.oracles.strangers.populations import FAILURE, Form, Rounds, Swap, perform
from tests.scoring.foreseen import Counts
from tests.scoring.foreseen_scores import habits, rank_in, scores
from tests.scoring.house import Before, House

THOROUGH = os.environ.get("HYPOTHESIS_PROFILE") == "thorough"
PEOPLE = 500 if THOROUGH else 60


class Tried(NamedTuple):
    """A row for each: the rank of what came in its forecast, and the errors."""

    first_sets: pd.DataFrame
    scores: pd.DataFrame


@cache
def tried(name: str) -> Tried:
    first, amounts, draw, rng = [], [], np.random.default_rng(17), np.random.default_rng(18)
    for before in House(name, PEOPLE, seed=2026).sessions():
        if before.session.log.sets[0].planned is None:
            first.append(_first_set(before, float(draw.uniform())))
        if before.session.log.score_s is not None:
            amounts.append(_score(before, float(rng.uniform())))
    return Tried(pd.DataFrame(first), pd.DataFrame(amounts))


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


def _score(before: Before, u: float) -> dict[str, Any]:
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
        "rank": rank_in(found, came, u),
        "ours": abs(float(np.median(found)) - came),
        **{habit: math.nan if one is None else abs(one - came) for habit, one in told.items()},
    }
