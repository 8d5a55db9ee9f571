"""Conditions of the aim on a whole block: what an attempt shows of time, score, effort, and what stopped it.

Each returns (low, high, why it may be unknown) of the value that the condition is about.
"""

from collections.abc import Sequence
from math import inf
from typing import Final

from programming.calc.revision import REPETITIONS, Block
from scoring.calc.attempt import SetEntry
from scoring.calc.score import Score

# Sets of six repetitions and fewer are a matter of strength (NSCA, Essentials of Strength Training and
# Conditioning; from memory).
STRENGTH_SET: Final = 6


def time_range(block: Block, score: Score) -> tuple[float, float, str]:
    """The time scored, else the clock when all was done; above cap and penalties when it was not; else unknown."""
    if score.score_s is not None:
        return score.score_s, score.score_s, "no_score"
    cap = block.rules.end.cap_s
    if score.state == "capped" and cap is not None:
        return cap + (score.penalty_s or 0.0), inf, "not_finished"
    if block.rules.scored == "time" or block.total is None or score.elapsed_s is None:
        return 0.0, inf, "no_score"
    done = sum(amount for work, amount, _ in score.amounts if work in {item.key for item in block.work})
    if done >= block.total - 1e-9:
        return score.elapsed_s, score.elapsed_s, "no_score"
    return (score.elapsed_s, inf, "not_finished") if score.state == "finished" else (0.0, inf, "no_score")


def score_range(score: Score) -> tuple[float, float, str]:
    """The amount that is scored."""
    if score.value is None or score.state != "finished":
        return 0.0, inf, "no_score"
    return score.value, score.value, "no_score"


def effort_range(effort: float | None) -> tuple[float, float, str]:
    """The effort that the athlete reported, 0 to 10."""
    return (0.0, inf, "effort_not_reported") if effort is None else (effort, effort, "effort_not_reported")


def stopper_of(sets: Sequence[SetEntry]) -> str | None:
    """What stopped the athlete, where the reasons for which sets ended tell it; None otherwise.

    A set to failure is the muscle's: strength where the first set of its work was short, else its endurance. A
    judge's no-rep is skill. Breathing shows in no set, and two different reasons tell nothing.
    """
    told, first = set(), {entry.work: entry.amount for entry in reversed(sets)}
    for entry in sets:
        if entry.ended_by == "failure":
            short = entry.unit == REPETITIONS and first[entry.work] <= STRENGTH_SET
            told.add("strength" if short else "local_muscle")
        elif entry.ended_by == "no_rep":
            told.add("skill")
    return told.pop() if len(told) == 1 else None
