"""The aim held against an attempt: each condition met, missed by how much, or unknown, with the likely cause.

What a first set shows of the fresh repetitions n* depends on what ended it. To failure after r: r repetitions
were available and no more. With s in reserve: about r + s + 1 (people under-predict by one: Halperin et al.
2022), give or take the error that capacity takes such a statement with. Stopped as planned, by pain, by a
judge or by the clock: n* is at least r, and whether an upper bound holds stays unknown. A set that completed
its item shows no more than that. Causes are likely ones, from the prescription the attempt was done under;
without it they are left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from statistics import median
from typing import Final, Literal

import numpy as np

from athletes.calc.constants import RIR_BIAS
from athletes.calc.observation import rir_noise
from programming.calc.revision import Block, Condition
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.forecast import BlockForecast
from scoring.calc.score import Score

State = Literal["met", "missed", "unknown"]

GREEDY_SHARE: Final = (
    0.9  # a first set above this share of what is available leaves little for later ones (ours)
)
SHORT_REST_SHARE: Final = 0.7  # of the planned rest since the own last set (ours)
MANY_BREAKS: Final = 2.0  # more than planned (ours)

CAUSES: Final = {
    "too_hard_version": "The version was probably too hard; the next prescription takes an easier one.",
    "too_easy_version": "The version was probably too easy; the next prescription takes a harder one.",
    "bad_day": "Far below what was foreseen: ask about fatigue or illness; one day changes the next little.",
    "good_day": "Far above what was foreseen: the athlete can do more; the next prescription takes it in.",
    "first_set_too_greedy": "The first set left too little for the later ones; plan to stop it earlier.",
    "rests_too_short": "Rests were shorter than planned; keep to the planned rest.",
    "more_breaks_than_planned": "More breaks than planned cost penalties; longer rests save breaks.",
    "ended_by_pain": "A set was ended by pain: look into that before anything is concluded from the numbers.",
    "not_shown": "The set was stopped before it could show how many repetitions were available.",
    "no_sets": "The result has no sets for this work, so it cannot be told.",
    "no_later_sets": "There was no later set that the floor could fail.",
    "not_finished": "The work was not finished in time, so there is no score to hold against the window.",
    "no_score": "There is no official score yet; the review of the result comes first.",
}


@dataclass(frozen=True)
class ConditionOutcome:
    """One condition, held against the attempt.

    index: its position in the aim; low, high: what the attempt shows, None where open or unknown; missed_by:
    distance to the nearer bound, at least, negative below and positive above; cause: a code of CAUSES.
    """

    index: int
    kind: str
    work: str | None
    state: State
    low: float | None
    high: float | None
    missed_by: float | None
    cause: str | None

    @property
    def sentence(self) -> str | None:
        """The cause in one sentence."""
        return None if self.cause is None else CAUSES[self.cause]


def check_aim(
    block: Block, attempt: SetLog | Totals, score: Score, forecast: BlockForecast | None
) -> list[ConditionOutcome]:
    """Hold every condition of the aim against an attempt and its official score.

    forecast: the one frozen in the prescription that the attempt was done under, None if there was none.
    """
    outcomes = []
    for index, condition in enumerate(block.aim.conditions):
        sets = _sets_of(attempt, condition.work)
        cause: str | None
        if condition.kind == "time":
            low, high, cause = _time(block, score)
        elif not sets:
            low, high, cause = 0.0, inf, "no_sets"
        elif condition.kind == "first_set":
            low, high, cause = first_set_range(sets[0])
        else:
            low, high, cause = _later_range(sets, _repetitions(block, condition.work))
        later = condition.kind == "later_sets" and bool(sets)
        state, missed_by = (_compare_all if later else _compare)(condition, low, high)
        if state == "missed":
            cause = _cause(condition, missed_by or 0.0, sets, score, forecast)
        elif state == "met" and cause != "no_later_sets":
            cause = None
        shown = (_finite(low) if low > 0.0 else None, _finite(high))
        outcomes.append(
            ConditionOutcome(index, condition.kind, condition.work, state, *shown, missed_by, cause)
        )
    return outcomes


def _sets_of(attempt: SetLog | Totals, work: str | None) -> list[SetEntry]:
    return [entry for entry in attempt.sets if entry.work == work] if isinstance(attempt, SetLog) else []


def _finite(value: float) -> float | None:
    return value if abs(value) < inf else None


def _compare_all(condition: Condition, least: float, most: float) -> tuple[State, float | None]:
    """The window against known values from `least` to `most`: one outside misses it, none at all meets it."""
    if condition.lower is not None and least < condition.lower:
        return "missed", least - condition.lower
    if condition.upper is not None and most > condition.upper:
        return "missed", most - condition.upper
    return "met", None


def _compare(condition: Condition, low: float, high: float) -> tuple[State, float | None]:
    """The window against one value that lies somewhere in [low, high]."""
    lower = -inf if condition.lower is None else condition.lower
    upper = inf if condition.upper is None else condition.upper
    if lower <= low and high <= upper:
        return "met", None
    if low > upper:
        return "missed", low - upper
    if high < lower:
        return "missed", high - lower
    return "unknown", None


def first_set_range(entry: SetEntry) -> tuple[float, float, str]:
    """(low, high, why it may be unknown) of the fresh whole repetitions that a first set shows."""
    done = float(entry.repetitions)
    if entry.ended_by == "pain":
        return done, inf, "ended_by_pain"
    if entry.ended_by == "failure" or entry.rir == 0:
        return done, done, "not_shown"
    if entry.rir is None:
        return done, inf, "not_shown"
    # To a tenth: a statement in whole repetitions has no finer error.
    error = round(float(rir_noise(np.array([done]), np.array([float(entry.rir)]))[0]), 1)
    middle = done + entry.rir + RIR_BIAS
    return max(done, middle - error), middle + error, "not_shown"


def _repetitions(block: Block, work: str | None) -> int:
    return next((item.repetitions for item in block.work if item.key == work), 0)


def _later_range(sets: Sequence[SetEntry], to_do: int) -> tuple[float, float, str]:
    """Smallest and largest of the later sets; (inf, -inf) when there is none.

    Not counted, as in the forecast: a last set that completed the item or that the clock cut off.
    """
    completed = sum(entry.repetitions for entry in sets) >= to_do
    cut_off = sets[-1].ended_by == "clock"
    sizes = [float(entry.repetitions) for entry in (sets[1:-1] if completed or cut_off else sets[1:])]
    return (min(sizes), max(sizes), "not_shown") if sizes else (inf, -inf, "no_later_sets")


def _time(block: Block, score: Score) -> tuple[float, float, str]:
    """Range of the official score: itself; above cap and penalties when capped; else unknown."""
    if score.score_s is not None:
        return score.score_s, score.score_s, "no_score"
    cap = block.rules.end.cap_s
    if score.state == "capped" and cap is not None:
        return cap + (score.penalty_s or 0.0), inf, "not_finished"
    return 0.0, inf, "no_score"


def _cause(
    condition: Condition,
    missed_by: float,
    sets: Sequence[SetEntry],
    score: Score,
    forecast: BlockForecast | None,
) -> str:
    """The likely cause of a miss."""
    if any(entry.ended_by == "pain" for entry in sets):
        return "ended_by_pain"
    if condition.kind == "first_set":
        return _first_set_cause(condition, missed_by, sets, forecast)
    if condition.kind == "later_sets":
        return _later_cause(condition, missed_by, sets, forecast)
    if missed_by < 0:
        return "too_easy_version"
    if forecast is not None and score.breaks is not None and score.breaks > forecast.breaks.p50 + MANY_BREAKS:
        return "more_breaks_than_planned"
    return "too_hard_version"


def _first_set_cause(
    condition: Condition, missed_by: float, sets: Sequence[SetEntry], forecast: BlockForecast | None
) -> str:
    """Beyond nine in ten of the forecast it was the day; within it, the version."""
    part = _work_forecast(forecast, condition.work)
    low, high, _ = first_set_range(sets[0])
    if missed_by < 0:
        return "bad_day" if part is not None and high < part[0] else "too_hard_version"
    return "good_day" if part is not None and low > part[1] else "too_easy_version"


def _later_cause(
    condition: Condition, missed_by: float, sets: Sequence[SetEntry], forecast: BlockForecast | None
) -> str:
    """Too long: too easy. Too short: a greedy first set, then short rests, then the version."""
    if missed_by > 0:
        return "too_easy_version"
    part = _work_forecast(forecast, condition.work)
    first = sets[0]
    if first.ended_by == "failure" or (part is not None and first.repetitions > GREEDY_SHARE * part[2]):
        return "first_set_too_greedy"
    planned = [
        one.rest_before_s for one in (forecast.plan if forecast else ()) if one.work == condition.work
    ][1:]
    rested = [entry.rest_before_s for entry in sets[1:] if entry.rest_before_s is not None]
    if planned and rested and median(rested) < SHORT_REST_SHARE * median(planned):
        return "rests_too_short"
    return "too_hard_version"


def _work_forecast(forecast: BlockForecast | None, work: str | None) -> tuple[float, float, float] | None:
    """(p10, p90, p50) of the fresh repetitions foreseen for a work item."""
    for part in forecast.work if forecast is not None else ():
        if part.work == work:
            return part.fresh.p10, part.fresh.p90, part.fresh.p50
    return None
