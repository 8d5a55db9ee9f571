"""The plan of a prescription: sets and rests in order, and why there is none."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from programming.calc.extent import MOST_SETS
from scoring.calc.forecast import TOO_MANY_SETS, BlockForecast
from scoring.calc.prescription import PrescriptionResult
from scoring.content_work import amounts
from scoring.rounding import REST_STEP_S, to_step
from scoring.working_out import Worked

NOTHING_POSSIBLE: Final = "nothing_possible"
"""Why a block has no plan: in the middle of what is foreseen not one repetition is there, however long the rest."""


def plan_reason(worked: Worked) -> str | None:
    """Why some plan is left out, null where all are told; what is infeasible beside it `blocks` tells."""
    if worked.hold is not None:
        return "held"
    if any(awaits_check_set(one) for one in worked.results.values()):
        return "after_check_set"
    if not worked.feasible:
        return "infeasible"
    if any(one.forecast is not None and _has_no_set(one.forecast) for one in worked.results.values()):
        return NOTHING_POSSIBLE
    return TOO_MANY_SETS if _without_plan(worked) else None


def _has_no_set(forecast: BlockForecast) -> bool:
    """Whether not even a first set is there: a coach's override, or what is supposed, may be beyond all bounds."""
    return not forecast.plan and forecast.plan_reason is None


def plan_of(worked: Worked) -> list[dict[str, Any]]:
    """The plans of the blocks one after the other, each whole or left out: what was done "as prescribed" is never
    less than what was prescribed.
    """
    left_out = _without_plan(worked)
    return [entry for key, one in worked.results.items() if key not in left_out for entry in _plan(key, one)]


def _without_plan(worked: Worked) -> set[str]:
    """The blocks whose plan has more sets than are left of what a session may ask for."""
    left_out, left = set(), MOST_SETS
    for key, one in worked.results.items():
        if one.forecast is None:
            continue
        if one.forecast.plan_reason is not None or len(one.forecast.plan) > left:
            left_out.add(key)
        else:
            left -= len(one.forecast.plan)
    return left_out


def _plan(block: str, result: PrescriptionResult) -> Iterator[dict[str, Any]]:
    """Sets and rests; none before a check set, since half of the newcomers could not follow its median."""
    if result.forecast is None or awaits_check_set(result):
        return
    for one in result.forecast.plan:
        yield {
            "block": block,
            "work": one.work,
            **amounts(one.unit, one.amount),
            "rest_before_s": to_step(one.rest_before_s, REST_STEP_S),
            "duration_s": one.duration_s,
            "duration_s_reason": None if one.duration_s is not None else "own_pace",
        }


def awaits_check_set(result: PrescriptionResult) -> bool:
    """Whether a check set, of this block or of the same movement in another, comes first."""
    return bool(result.check_sets) or any(one.code == "checked_with_other_work" for one in result.reasons)
