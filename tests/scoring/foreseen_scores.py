"""Scores of strangers, foreseen by the service's own steps and kernels, and by what a coach would write down.

A session is played as it was planned: its sets are a written list (`scoring.calc.explicit`). What is told of the
person goes into the scenarios as for any prescription (`scoring.person`). Habits play the same plan by whole sets.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterator

import numpy as np

from athletes.queries import AthleteInputs
from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.explicit import ListedSet, run_list
from scoring.calc.pacing import scores_of
from scoring.calc.scenarios import make_scenarios
from scoring.drawn import drawn
from scoring.person import Person, common_draws, multiplier_of, tempo_of
from tests.oracles.strangers.populations import FAILURE, Amount, Rounds, SessionLog, SetLog, Swap
from tests.scoring.calc.rule_blocks import block_of
from tests.scoring.foreseen import Known, version

SCENARIOS = 256
NO_BREAKS = {"counts": "none"}


def turns(plan: Swap | Rounds, size_of: Callable[[Amount, int], int]) -> Iterator[tuple[int, int, bool]]:
    """(number of the amount, repetitions, whether something of it is left) set after set; size_of: the repetitions of
    a set of an amount of which so many are left.
    """
    if isinstance(plan, Swap):
        left, turn = [amount.repetitions for amount in plan.amounts], 0
        while any(left):
            size = size_of(plan.amounts[turn], left[turn])
            left[turn] -= size
            yield turn, size, left[turn] > 0
            turn = 1 - turn if left[1 - turn] else turn
        return
    for _ in range(plan.rounds):
        for turn, amount in enumerate(plan.amounts):
            open_ = amount.repetitions
            while open_:
                size = size_of(amount, open_)
                open_ -= size
                yield turn, size, open_ > 0


def as_planned(amount: Amount, left: int) -> int:
    return min(left, amount.largest_set or left)


def block_for(plan: Swap | Rounds) -> Block:
    work = [
        {
            "key": "ab"[turn],
            "movement": one.movement,
            "repetitions": one.repetitions,
            "as_written": {"variation": one.movement, "load_kg": one.load_kg},
        }
        for turn, one in enumerate(plan.amounts)
    ]
    if isinstance(plan, Rounds):
        return block_of(*work, scored="time", order="rounds", rounds=plan.rounds)
    breaks = {"counts": "set_ended_early", "penalty_s": plan.penalty_s, "penalty": "added"}
    return block_of(*work, scored="time", order="swap_on_break", breaks=breaks)


def scores(known: Known, plan: Swap | Rounds, at: dt.datetime) -> FloatArray:
    """The scores (N,) that the service foresees."""
    block, draws = block_for(plan), common_draws(2, SCENARIOS)
    told = known.multiplier()
    inputs = AthleteInputs(
        None, None, frozenset(), "UTC", trains_alone=False, sex=known.sex,
        tiring=told if told.sets else None, tempo=known.tempo(),
    )  # fmt: skip
    person = Person(inputs, {}, scenarios=SCENARIOS)
    candidates = []
    for item, amount, u in zip(block.work, plan.amounts, draws.movements, strict=True):
        entry = version(amount.movement)
        able = drawn(known.capacity(amount.movement, at), entry.variation.key, amount.load_kg, u)
        option = Option(entry.variation.key, amount.load_kg, None, None, amount.load_kg)
        candidates.append(
            Candidate(
                option,
                able.fresh,
                per_unit=able.per_unit,
                groups=entry.variation.muscle_groups,
                seconds_per_unit=entry.variation.repetition_s,
                tempo=tempo_of(person, item, entry.movement.id, draws),
            )
        )
    sets = [
        ListedSet(turn, float(size), plan.rest_s if number else 0.0)
        for number, (turn, size, _) in enumerate(turns(plan, as_planned))
    ]
    scenarios = make_scenarios(block, candidates, multiplier_of(person, draws))
    return scores_of(block, run_list(block, scenarios, sets))


def rank_in(foreseen: FloatArray, score: float, u: float) -> float:
    """Randomised within equal ones, uniform if the distribution is right."""
    low, high = float((foreseen < score - 1e-9).mean()), float((foreseen <= score + 1e-9).mean())
    return low + u * (high - low)


def habits(earlier: list[SessionLog], plan: Swap | Rounds) -> dict[str, float]:
    """By a 1RM equation (Epley 1985) with its table, and by equal sets at the average; both know how many seconds a
    repetition has taken on average. None of both where a movement was never seen.
    """
    told = {}
    for each in plan.amounts:
        logs = [[one for one in log.sets if one.movement == each.movement] for log in earlier]
        if not any(one.repetitions for log in logs for one in log):
            return {}
        told[each.movement] = _of_movement([log for log in logs if log])

    def table(amount: Amount) -> int:
        return math.floor(max(1.0, 30.0 * (told[amount.movement][0] / amount.load_kg - 1.0)))

    seconds = {movement: one[2] for movement, one in told.items()}
    return {
        "equation": _played(plan, table, seconds),
        "average": _played(plan, lambda amount: max(1, round(told[amount.movement][1])), seconds),
    }


def _of_movement(logs: list[list[SetLog]]) -> tuple[float, float, float]:
    """(1RM by the best set to failure of the newest session with one, else by the best of the newest session; mean
    repetitions; mean seconds of one).
    """
    sets = [one for log in logs for one in log]
    failed = [[one for one in log if one.repetitions and one.ended_by == FAILURE] for log in logs]
    newest = next((log for log in reversed(failed) if log), logs[-1])
    most = max(one.load_kg * (1.0 + one.repetitions / 30.0) for one in newest)
    total = sum(one.repetitions for one in sets)
    seconds = sum(one.seconds for one in sets if one.repetitions) / total
    return most, float(np.mean([one.repetitions for one in sets])), seconds


def _played(plan: Swap | Rounds, able: Callable[[Amount], int], seconds: dict[str, float]) -> float:
    """The score of somebody who always has as many repetitions."""
    clock, breaks = 0.0, 0
    sets = turns(plan, lambda amount, left: min(as_planned(amount, left), able(amount)))
    for number, (turn, size, is_open) in enumerate(sets):
        clock += (plan.rest_s if number else 0.0) + size * seconds[plan.amounts[turn].movement]
        breaks += is_open
    return clock + (plan.penalty_s * breaks if isinstance(plan, Swap) else 0.0)
