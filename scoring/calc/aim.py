"""The aim held against an attempt: each condition met, missed by how much, or unknown, with the likely cause.

What a first set shows of the fresh repetitions n* depends on what ended it. To failure after r: r repetitions
were available and no more. With s in reserve: about r + s + 1 (people under-predict by one: Halperin et al.
2022), give or take the error that capacity takes such a statement with. Stopped as planned, by pain, by a
judge or by the clock: n* is at least r, and whether an upper bound holds stays unknown. A set that completed
its item shows no more than that. Causes are likely ones, from the prescription the attempt was done under;
without it they are left out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import copysign, inf
from statistics import median
from typing import Final, Literal

from athletes.calc.constants import RIR_BIAS
from athletes.calc.observation import rir_noise
from programming.calc.revision import REPETITIONS, Block, Condition
from scoring.calc.aim_block import effort_range, score_range, stopper_of, time_range
from scoring.calc.aim_causes import CAUSES
from scoring.calc.aim_share import share_cause, share_range
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.forecast import BlockForecast
from scoring.calc.loss import SHARE_TOLERANCE
from scoring.calc.replay import PlayedSet, play_log
from scoring.calc.score import Score

State = Literal["met", "missed", "unknown"]

GREEDY_SHARE: Final = (
    0.9  # a first set above this share of what is available leaves little for later ones (ours)
)
SHORT_REST_SHARE: Final = 0.7  # of the planned rest since the own last set (ours)
MANY_BREAKS: Final = 2.0  # more than planned (ours)


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
    block: Block,
    attempt: SetLog | Totals,
    score: Score,
    forecast: BlockForecast | None,
    *,
    effort: float | None = None,
    available: Mapping[int, float] | None = None,
) -> list[ConditionOutcome]:
    """Hold every condition of the aim against an attempt and its official score.

    forecast: the one frozen in the prescription that the attempt was done under, None if there was none; effort:
    as reported, 0 to 10; available: units before each set of the log, by its place in it, as far as they are known.
    """
    played = play_log(block, attempt).sets if isinstance(attempt, SetLog) else []
    outcomes = []
    for index, condition in enumerate(block.aim.conditions):
        own = [one for one in played if condition.work in (None, one.entry.work)]
        sets = [one.entry for one in own]
        if condition.kind == "stopped_by":
            outcomes.append(_stopped(index, condition, sets))
            continue
        if condition.kind == "share_of_available":
            low, high, cause = share_range(block, condition, played, available)
        else:
            low, high, cause = _range(block, condition, own, score, effort)
        state, missed_by = _held(condition, low, high, bool(sets))
        told: str | None = cause
        if state == "missed":
            told = _cause(condition, missed_by or 0.0, sets, score, forecast)
        elif state == "met" and cause != "no_later_sets":
            told = None
        shown = (_finite(low) if low > 0.0 else None, _finite(high))
        outcomes.append(
            ConditionOutcome(index, condition.kind, condition.work, state, *shown, missed_by, told)
        )
    return outcomes


def _range(
    block: Block, condition: Condition, sets: Sequence[PlayedSet], score: Score, effort: float | None
) -> tuple[float, float, str]:
    """(low, high, why it may be unknown) of the value that a condition is about."""
    if condition.kind == "time":
        return time_range(block, score)
    if condition.kind == "score":
        return score_range(score)
    if condition.kind == "effort":
        return effort_range(effort)
    if not sets:
        return 0.0, inf, "no_sets"
    return first_set_range(sets[0].entry) if condition.kind == "first_set" else _later_range(sets)


def _stopped(index: int, condition: Condition, sets: Sequence[SetEntry]) -> ConditionOutcome:
    by = stopper_of(sets)
    state: State = "unknown" if by is None else "met" if by == condition.by else "missed"
    cause = {"unknown": "stopper_not_shown", "met": None, "missed": "stopped_otherwise"}[state]
    return ConditionOutcome(index, condition.kind, condition.work, state, None, None, None, cause)


def _finite(value: float) -> float | None:
    return value if abs(value) < inf else None


def _held(condition: Condition, low: float, high: float, has_sets: bool) -> tuple[State, float | None]:
    """The window against what was found: known values of several, or one value that lies somewhere."""
    if condition.kind == "share_of_available" and high < inf:
        return _compare_shares(condition, low, high)
    several = condition.kind == "later_sets" and has_sets
    return (_compare_all if several else _compare)(condition, low, high)


def _compare_shares(condition: Condition, least: float, most: float) -> tuple[State, float | None]:
    """As `_compare_all`, and a miss within the tolerance is none; a greater one is told from the bound itself."""
    lower = None if condition.lower is None else condition.lower - SHARE_TOLERANCE
    upper = None if condition.upper is None else condition.upper + SHARE_TOLERANCE
    state, beyond = _compare_all(replace(condition, lower=lower, upper=upper), least, most)
    return state, None if beyond is None else beyond + copysign(SHARE_TOLERANCE, beyond)


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
    done = float(entry.amount)
    if entry.ended_by == "pain":
        return done, inf, "ended_by_pain"
    if entry.ended_by == "failure" or entry.rir == 0:
        return done, done, "not_shown"
    if entry.rir is None or entry.unit != REPETITIONS:  # a reserve is told in repetitions
        return done, inf, "not_shown"
    # To a tenth: a statement in whole repetitions has no finer error.
    error = round(rir_noise(done, float(entry.rir)), 1)
    middle = done + entry.rir + RIR_BIAS
    return max(done, middle - error), middle + error, "not_shown"


def _later_range(sets: Sequence[PlayedSet]) -> tuple[float, float, str]:
    """Smallest and largest of the later sets; (inf, -inf) when there is none.

    A floor of later sets is about sets that the athlete chose to end. Not counted, as in the forecast: a set that did
    all that was asked or left of its item in the round, and one that the clock cut off.
    """
    sizes = [
        one.entry.amount
        for one in sets[1:]
        if not one.completed and one.entry.ended_by != "clock" and one.main
    ]
    return (min(sizes), max(sizes), "not_shown") if sizes else (inf, -inf, "no_later_sets")


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
    if condition.kind == "share_of_available":
        planned = [one.amount for one in (forecast.plan if forecast else ()) if one.work == condition.work]
        return share_cause(missed_by, condition.work, [float(one.amount) for one in sets], planned)
    if condition.kind == "effort":
        return "too_easy_version" if missed_by < 0 else "too_hard_version"
    too_little = missed_by < 0 if condition.kind == "score" else missed_by > 0
    if too_little and _breathing(sets, forecast):
        return "breathing"
    if condition.kind == "score":
        return "too_hard_version" if missed_by < 0 else "too_easy_version"
    if missed_by < 0:
        return "too_easy_version"
    if forecast is not None and score.breaks is not None and score.breaks > forecast.breaks.p50 + MANY_BREAKS:
        return "more_breaks_than_planned"
    return "too_hard_version"


def _breathing(sets: Sequence[SetEntry], forecast: BlockForecast | None) -> bool:
    """Whether breathing was foreseen to stop the athlete and the log does not speak against it: no set to failure."""
    foreseen = forecast is not None and forecast.stopped_by == "breathing"
    return (
        foreseen
        and bool(sets)
        and stopper_of(sets) is None
        and all(one.ended_by != "failure" for one in sets)
    )


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
    if first.ended_by == "failure" or (part is not None and first.amount > GREEDY_SHARE * part[2]):
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
        if part.work == work and part.fresh is not None:
            return part.fresh.p10, part.fresh.p90, part.fresh.p50
    return None
