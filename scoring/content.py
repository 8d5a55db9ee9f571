"""What a prescription says, rounded to what an athlete can act on; and the fingerprint of exactly that.

The fingerprint is of the rounded content, so that noise in the capacity re-issues nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from programming.calc.document import canonical_hash
from programming.calc.variation import Option
from programming.queries import SessionPlan
from scoring.calc.forecast import BlockForecast, Spread
from scoring.calc.prescription import ALTERNATIVES, CheckSet, ChosenOption, PrescriptionResult

SCORE_STEP_S: Final = 10
PROBABILITY_STEP: Final = 0.05
GENERAL_CAUTION: Final = (
    "Stop at pain, dizziness, chest discomfort or unusual breathlessness and tell a coach; see a physician when "
    "in doubt. This plan does not replace medical advice or the local rules of the gym."
)
ALONE_CAUTION: Final = (
    "You train alone: no maximum, no set to failure under a bar, and tell somebody where you are."
)
FIRST_TIME_CAUTION: Final = "This version is new to you: do a few easy repetitions of it first."


def content_of(
    plan: SessionPlan, inputs: AthleteInputs, result: PrescriptionResult, day: Day = AS_USUAL
) -> dict[str, Any]:
    """The prescription as its athlete reads it; plain JSON values."""
    options = result.chosen if result.feasible else result.closest
    return {
        "title": plan.doc.title,
        "quality": plan.doc.quality,
        "feasible": result.feasible,
        "as_written": bool(options) and all(one.is_as_written for one in options),
        "work": [_work(plan, one) for one in result.chosen],
        "closest": [_work(plan, one) for one in result.closest],
        "plan": _plan(result),
        "plan_reason": _plan_reason(result),
        "expected": _expected(result.forecast),
        "conditions": [
            {
                "kind": one.kind,
                "work": one.work,
                "lower": one.lower,
                "upper": one.upper,
                "probability": _step(one.probability, PROBABILITY_STEP),
            }
            for one in result.conditions
        ],
        "check_sets": [_check_set(plan, one) for one in result.check_sets],
        "reasons": [{"code": reason.code, "work": reason.work} for reason in result.reasons],
        "alternatives": _alternatives(result),
        "ruled_out": [
            {"work": one.work, "variation": one.variation, "reason": one.reason} for one in result.ruled_out
        ],
        "cautions": _cautions(inputs, result),
        "day": day.told(),
    }


def _alternatives(result: PrescriptionResult) -> list[str]:
    """What to offer instead; where nothing could be loaded, by what stood in the way."""
    offered = []
    for reason in result.reasons:
        causes = {one.reason.split(":")[0] for one in result.ruled_out if one.work == reason.work}
        if reason.code == "no_options" and "limit" in causes:
            offered.append("choose_movement_without_the_limited_hazard")
        elif reason.code == "no_options" and causes & {"kit_in_use", "sore"}:
            offered.append("choose_other_work_for_the_day")
        elif reason.code == "no_options" and causes == {"body_mass_missing"}:
            offered.append("record_body_mass")
        elif not result.feasible:
            offered.append(ALTERNATIVES[reason.code])
    return list(dict.fromkeys(offered))


def fingerprint(content: Mapping[str, Any]) -> str:
    return canonical_hash(content)


def _work(plan: SessionPlan, one: ChosenOption) -> dict[str, Any]:
    item = next(item for item in plan.block.work if item.key == one.work)
    entry = plan.variations[one.option.variation_key]
    return {
        "work": one.work,
        "movement": item.movement,
        "repetitions": item.repetitions,
        "standard": entry.standard,
        "as_written": one.is_as_written,
        **_option(plan, one.option),
    }


def _option(plan: SessionPlan, option: Option) -> dict[str, Any]:
    entry = plan.variations[option.variation_key]
    return {
        "variation": option.variation_key,
        "variation_name": entry.name,
        "variation_version": entry.number,
        "load_kg": option.load_kg,
        "assistance_kg": option.assistance_kg,
        "height_cm": option.height_cm,
        "effective_kg": round(option.effective_kg, 1),
    }


def _plan_reason(result: PrescriptionResult) -> str | None:
    if not result.feasible:
        return "infeasible"
    return "after_check_set" if result.check_sets else None


def _plan(result: PrescriptionResult) -> list[dict[str, Any]]:
    """Sets and rests; none before a check set, since half of the newcomers could not follow its median."""
    forecast = result.forecast
    if forecast is None or result.check_sets:
        return []
    return [
        {"work": one.work, "repetitions": one.repetitions, "rest_before_s": 5 * round(one.rest_before_s / 5)}
        for one in forecast.plan
    ]


def _expected(forecast: BlockForecast | None) -> dict[str, Any] | None:
    if forecast is None:
        return None
    return {
        "score_s": {
            name: None if value is None else _seconds(value)
            for name, value in (("p10", forecast.p10), ("p50", forecast.p50), ("p90", forecast.p90))
        },
        "score_s_reason": None if forecast.p90 is not None else "may_not_finish_in_time",
        "finish_probability": _step(forecast.p_finish, PROBABILITY_STEP),
        "breaks": _whole(forecast.breaks),
        "first_set": {one.work: _whole(one.fresh) for one in forecast.work},
    }


def _check_set(plan: SessionPlan, check: CheckSet) -> dict[str, Any]:
    return {
        "work": check.work,
        **_option(plan, check.option),
        "stop_at": check.stop_at,
        "reserve_at_least": check.reserve_at_least,
        "reserve_at_most": check.reserve_at_most,
        "rest_after_s": check.rest_after_s,
        "if_easier_needed": None if check.easier is None else _option(plan, check.easier),
        "if_harder_possible": None if check.harder is None else _option(plan, check.harder),
    }


def _cautions(inputs: AthleteInputs, result: PrescriptionResult) -> list[str]:
    cautions = [GENERAL_CAUTION]
    if inputs.trains_alone:
        cautions.append(ALONE_CAUTION)
    if any(one.is_novel for one in result.chosen):
        cautions.append(FIRST_TIME_CAUTION)
    return cautions


def _seconds(value: float) -> int:
    return SCORE_STEP_S * round(value / SCORE_STEP_S)


def _step(value: float, step: float) -> float:
    return round(step * round(value / step), 2)


def _whole(spread: Spread) -> dict[str, int]:
    return {"p10": round(spread.p10), "p50": round(spread.p50), "p90": round(spread.p90)}
