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
from programming.plans import SessionPlan
from scoring.calc.prescription import ALTERNATIVES, ChosenOption, ConditionForecast, PrescriptionResult
from scoring.cautions import cautions_of
from scoring.content_plan import awaits_check_set, plan_of, plan_reason
from scoring.content_work import attempts_told, check_set_told, option_told, work_told
from scoring.expected import expected_of, other_pacings_of, stops_of
from scoring.own_version import own_block
from scoring.rounding import PROBABILITY_STEP, step
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
    told = cautions_of(inputs, worked, overridden=around.override is not None)
    amounts_told = {
        "blocks": [
            {"block": key, "feasible": result.feasible, "rounds": result.rounds} for key, result in results
        ],
        "work": [work_told(plan, key, one) for key, result in results for one in result.chosen],
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
        "as_written": _is_as_written(worked),
        **amounts_told,
        **_beside_the_work(plan, results),
        "plan": plan_of(worked),
        "plan_reason": plan_reason(worked),
        "expected": expected.get(plan.block.key),
        "expected_by_block": expected,
        "stopped_by": [entry for key, result in results for entry in stops_of(key, result.forecast)],
        "other_pacings": [
            entry
            for key, result in results
            if not awaits_check_set(result)
            for entry in other_pacings_of(key, result.forecast)
        ],
        "conditions": [_condition(key, one) for key, result in results for one in result.conditions],
        "check_sets": [
            check_set_told(plan, key, one) for key, result in results for one in result.check_sets
        ],
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


def _is_as_written(worked: Worked) -> bool:
    options = [one for result in worked.results.values() for one in _options(result)]
    versions = bool(options) and all(one.is_as_written and one.amount_as_written for one in options)
    return versions and all(result.rounds is None for result in worked.results.values())


def _beside_the_work(plan: SessionPlan, results: list[tuple[str, PrescriptionResult]]) -> dict[str, Any]:
    """Versions beside those prescribed: the closest where none can be, the ramps, and attempts."""
    return {
        "closest": [work_told(plan, key, one) for key, result in results for one in result.closest],
        "warm_up": [
            {"block": key, "work": one.work, **option_told(plan, one.option), "repetitions": one.repetitions}
            for key, result in results
            for one in result.warm_up
        ],
        **attempts_told(plan, results),
    }


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
