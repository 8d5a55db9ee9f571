"""What a prescription says, rounded to what an athlete can act on; and the fingerprint of exactly that.

The fingerprint is of the rounded content, so that noise in the capacity re-issues nothing. Entries of work, plan,
conditions and so on name their block; amounts stand under the name of their unit, the other units being null.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from athletes.safety import Safety
from programming.calc.document import canonical_hash
from programming.calc.extent import MOST_SETS
from programming.calc.revision import UNITS
from programming.calc.variation import Option
from programming.queries import SessionPlan
from scoring.calc.forecast import TOO_MANY_SETS
from scoring.calc.prescription import (
    ALTERNATIVES,
    CheckSet,
    ChosenOption,
    ConditionForecast,
    PrescriptionResult,
)
from scoring.capacity_kind import kind_of
from scoring.cautions import cautions_of
from scoring.expected import expected_of, stops_of
from scoring.loadable import NO_LOAD_KG
from scoring.own_version import own_block
from scoring.rounding import PROBABILITY_STEP, REST_STEP_S, step, to_step
from scoring.working_out import Worked


@dataclass(frozen=True)
class OverrideTold:
    """The override that a prescription follows, as its athlete reads it."""

    id: UUID
    person: UUID
    reason: str
    acknowledged: tuple[str, ...] = ()


@dataclass(frozen=True)
class Setting:
    """What surrounds the answer: the day's changes, and a coach's override."""

    day: Day = AS_USUAL
    override: OverrideTold | None = field(default=None)


def content_of(
    plan: SessionPlan, inputs: AthleteInputs, worked: Worked, setting: Setting | None = None
) -> dict[str, Any]:
    """The prescription as its athlete reads it; plain JSON values."""
    around = setting or Setting()
    results = list(worked.results.items())
    options = [one for _, result in results for one in _options(result)]
    told = cautions_of(inputs, worked, overridden=around.override is not None)
    amounts_told = {
        "blocks": [
            {"block": key, "feasible": result.feasible, "rounds": result.rounds} for key, result in results
        ],
        "work": [_work(plan, key, one) for key, result in results for one in result.chosen],
    }
    expected = {
        block.key: expected_of(own_block(block, amounts_told), worked.results[block.key].forecast)
        for block in plan.doc.blocks
        if block.key in worked.results
    }
    return {
        "title": plan.doc.title,
        "quality": plan.doc.quality,
        "feasible": worked.feasible,
        "as_written": bool(options)
        and all(one.is_as_written and one.amount_as_written for one in options)
        and all(result.rounds is None for _, result in results),
        **amounts_told,
        "closest": [_work(plan, key, one) for key, result in results for one in result.closest],
        "warm_up": [
            {"block": key, "work": one.work, **_option(plan, one.option), "repetitions": one.repetitions}
            for key, result in results
            for one in result.warm_up
        ],
        **_attempts(plan, results),
        "plan": plan_of(worked),
        "plan_reason": _plan_reason(worked),
        "expected": expected.get(plan.block.key),
        "expected_by_block": expected,
        "stopped_by": [entry for key, result in results for entry in stops_of(key, result.forecast)],
        "conditions": [_condition(key, one) for key, result in results for one in result.conditions],
        "check_sets": [_check_set(plan, key, one) for key, result in results for one in result.check_sets],
        "reasons": _reasons(worked),
        "alternatives": _alternatives(worked),
        "ruled_out": [
            {"block": key, "work": one.work, "variation": one.variation, "reason": one.reason}
            for key, result in results
            for one in result.ruled_out
        ],
        "hold": _hold(inputs.safety) if worked.hold is not None else None,
        "safety": safety_told(inputs.safety),
        "cautions": [one.text for one in told],
        "caution_details": [one.to_json() for one in told],
        "day": around.day.told(),
        "overridden_by": _override(around.override),
    }


def _attempts(plan: SessionPlan, results: list[tuple[str, PrescriptionResult]]) -> dict[str, Any]:
    """Nothing where no attempts rise, so that other prescriptions keep their fingerprint."""
    told = [
        {
            "block": key,
            "work": one.work,
            "number": one.number,
            **_option(plan, one.option),
            "repetitions": int(one.amount),
            "probability": step(one.probability, PROBABILITY_STEP),
        }
        for key, result in results
        for one in result.attempts
    ]
    return {"attempts": told} if told else {}


def fingerprint(content: Mapping[str, Any]) -> str:
    return canonical_hash(content)


def safety_told(safety: Safety) -> dict[str, Any]:
    """What of the athlete's safety enters a prescription; learning moves none of it."""
    return {
        "holds": [hold.code for hold in safety.holds],
        "returning_week": safety.returning_week,
        "volume_share": safety.volume_share,
        "to_failure": safety.to_failure,
    }


def _hold(safety: Safety) -> dict[str, Any] | None:
    hold = safety.hold
    if hold is None:
        return None
    return {
        "code": hold.code,
        "since": hold.since.isoformat(),
        "released_by": hold.released_by,
        "safe_alternative": hold.safe_alternative,
    }


def _override(told: OverrideTold | None) -> dict[str, Any] | None:
    if told is None:
        return None
    return {
        "override": str(told.id),
        "person": str(told.person),
        "reason": told.reason,
        "acknowledged": list(told.acknowledged),
    }


def _options(result: PrescriptionResult) -> tuple[ChosenOption, ...]:
    return result.chosen if result.feasible else result.closest


def _reasons(worked: Worked) -> list[dict[str, Any]]:
    if worked.hold is not None:
        return [{"block": None, "code": f"hold:{worked.hold.code}", "work": None}]
    return [
        {"block": key, "code": reason.code, "work": reason.work}
        for key, result in worked.results.items()
        for reason in result.reasons
    ]


def _alternatives(worked: Worked) -> list[str]:
    """What to offer instead; where nothing could be loaded, by what stood in the way."""
    if worked.hold is not None:
        return ["follow_the_safe_alternative"]
    offered = [one for result in worked.results.values() for one in _alternatives_of(result)]
    return list(dict.fromkeys(offered))


def _alternatives_of(result: PrescriptionResult) -> Iterator[str]:
    for reason in result.reasons:
        causes = {one.reason.split(":")[0] for one in result.ruled_out if one.work == reason.work}
        if reason.code == "no_options" and "limit" in causes:
            yield "choose_movement_without_the_limited_hazard"
        elif reason.code == "no_options" and causes & {"kit_in_use", "sore"}:
            yield "choose_other_work_for_the_day"
        elif reason.code == "no_options" and causes == {"body_mass_missing"}:
            yield "record_body_mass"
        elif not result.feasible and reason.code in ALTERNATIVES:
            yield ALTERNATIVES[reason.code]


def amounts(unit: str, amount: float | None) -> dict[str, float | int | None]:
    """The amount under the name of its unit, null under the others; all null: as much as possible."""
    found: dict[str, float | int | None] = dict.fromkeys(UNITS)
    if amount is not None:
        found[unit] = int(amount) if unit == "repetitions" else round(amount, 1)
    return found


def _work(plan: SessionPlan, block: str, one: ChosenOption) -> dict[str, Any]:
    item, entry = plan.item(one.work), plan.variations[one.option.variation_key]
    return {
        "block": block,
        "work": one.work,
        "movement": item.movement,
        **amounts(one.unit, one.amount),
        "unit": one.unit,
        "amount_as_written": one.amount_as_written,
        "standard": entry.standard,
        "version_as_written": one.is_as_written,
        "as_written": one.is_as_written and one.amount_as_written,
        "capacity_kind": kind_of(entry, item),
        **_option(plan, one.option),
    }


def _option(plan: SessionPlan, option: Option) -> dict[str, Any]:
    entry = plan.variations[option.variation_key]
    loaded = option.effective_kg > NO_LOAD_KG
    return {
        "variation": option.variation_key,
        "variation_name": entry.name,
        "variation_version": entry.number,
        "load_kg": option.load_kg,
        "implements": entry.variation.implements,
        "assistance_kg": option.assistance_kg,
        "height_cm": option.height_cm,
        "effective_kg": round(option.effective_kg, 1) if loaded else None,
        "effective_kg_reason": None if loaded else "no_load_to_tell",
    }


def _plan_reason(worked: Worked) -> str | None:
    if not worked.feasible:
        return "held" if worked.hold is not None else "infeasible"
    if any(_awaits_check_set(one) for one in worked.results.values()):
        return "after_check_set"
    return TOO_MANY_SETS if _without_plan(worked) else None


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
    if result.forecast is None or _awaits_check_set(result):
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


def _awaits_check_set(result: PrescriptionResult) -> bool:
    """Whether a check set, of this block or of the same movement in another, comes first."""
    return bool(result.check_sets) or any(one.code == "checked_with_other_work" for one in result.reasons)


def _condition(block: str, one: ConditionForecast) -> dict[str, Any]:
    known = one.probability is not None
    return {
        "block": block,
        "kind": one.kind,
        "work": one.work,
        "lower": one.lower,
        "upper": one.upper,
        "by": one.by,
        "probability": step(one.probability, PROBABILITY_STEP) if one.probability is not None else None,
        "probability_reason": None if known else one.reason,
    }


def _check_set(plan: SessionPlan, block: str, check: CheckSet) -> dict[str, Any]:
    return {
        "block": block,
        "work": check.work,
        **_option(plan, check.option),
        "unit": check.unit,
        "stop_at": check.stop_at,
        "reserve_at_least": check.reserve_at_least,
        "reserve_at_most": check.reserve_at_most,
        "able_at_least": check.able_at_least,
        "able_at_most": check.able_at_most,
        "rest_after_s": check.rest_after_s,
        "if_easier_needed": None if check.easier is None else _option(plan, check.easier),
        "if_harder_possible": None if check.harder is None else _option(plan, check.harder),
    }
