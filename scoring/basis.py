"""What a prescription rests on, so that every number of it can be traced: inputs, capacities, what was compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import exp, floor, inf
from typing import Any
from uuid import UUID

from athletes.calc.capacity import Capacity, told_one_rm
from athletes.calc.caution import Caution
from athletes.calc.critical import CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import load_for_a_minute
from athletes.calc.trial_forecast import critical_of, reserve_of
from athletes.day import Day
from athletes.queries import AthleteInputs
from athletes.states import CapacityState
from programming.calc.plain import as_plain
from programming.calc.revision import REPETITIONS
from programming.plans import SessionPlan
from scoring.blocks import items_of
from scoring.calc.caps import UsedTo
from scoring.calc.prescription import PrescriptionResult
from scoring.calc.volume import FAR_MORE_VOLUME
from scoring.loadable import uses_own_kit
from scoring.working_out import Worked

UNSEEN: Mapping[str, Any] = {"observations": 0}


@dataclass(frozen=True)
class Floor:
    """What people told on the day: changes, the check sets' ids, the override."""

    day: Day
    check_sets: Sequence[str]
    override: UUID | None


def traces(plan: SessionPlan, seen: Mapping[UUID, Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """By work key the trace of the capacity that it needs."""
    return {item.key: seen.get(plan.movement(item.key).id, UNSEEN) for _, item in items_of(plan)}


def basis_of(
    plan: SessionPlan,
    inputs: AthleteInputs,
    worked: Worked,
    seen: Mapping[UUID, Mapping[str, Any]],
    states: Mapping[UUID, CapacityState],
    floor: Floor,
) -> dict[str, Any]:
    """Plain JSON values."""
    results = worked.results
    ranked = results.get(plan.block.key)
    told = figures(plan, worked, states)
    traced = traces(plan, seen)
    return {
        "revision": str(plan.revision_id),
        "revision_sha256": plan.sha256,
        "session_version": plan.version,
        "kit": "athlete" if uses_own_kit(plan, inputs, floor.day) else f"location v{plan.kit_version}",
        "body_mass_kg": inputs.body_mass_kg,
        "hazards_limited": sorted(inputs.hazards),
        "tiring": None if inputs.tiring is None else inputs.tiring._asdict(),
        "tempo": tempos(plan, inputs, worked),
        "capacities": {work: {**traced[work], **told.get(work, {})} for work in traced},
        "check_sets": list(floor.check_sets),
        "day_changes": [str(id_) for id_ in floor.day.ids],
        "override": None if floor.override is None else str(floor.override),
        "variation_versions": {
            one.work: str(plan.variations[one.option.variation_key].version_id)
            for result in results.values()
            for one in result.chosen
        },
        "volume_caps": dict(worked.restraint.caps),
        "unaccustomed": {
            movement: _unaccustomed(movement, one, worked)
            for movement, one in worked.restraint.unaccustomed.items()
        },
        "candidates": [
            {"block": key, **shown} for key, result in results.items() for shown in _candidates(result)
        ],
        "p_all": None if ranked is None or not ranked.feasible else ranked.p_all,
        "p_all_by_block": {key: result.p_all if result.feasible else None for key, result in results.items()},
        "forecasts": {
            key: result.forecast.to_json()
            for key, result in results.items()
            if result.forecast is not None and key != plan.block.key
        },
    }


def tempos(plan: SessionPlan, inputs: AthleteInputs, worked: Worked) -> dict[str, dict[str, float]]:
    """By work key, of repetitions of which something was timed: the seconds of one of this athlete, those that are
    usual of the version, the SD of the logarithm, and how many sets of the movement told it (0: of others alone).
    """
    found = {}
    for one in (one for result in worked.results.values() for one in (*result.chosen, *result.closest)):
        told = inputs.tempo.of(str(plan.movement(one.work).id))
        if one.unit == REPETITIONS and inputs.tempo.movements:
            usual_s = plan.variations[one.option.variation_key].variation.repetition_s
            found[one.work] = {
                "own_s": round(usual_s * exp(told.mean), 2),
                "usual_s": usual_s,
                "log_sd": told.sd,
                "sets": told.sets,
            }
    return found


def _unaccustomed(movement: str, caution: Caution, worked: Worked) -> dict[str, Any]:
    """Of a movement that the body is not used to. most_repetitions: what would need no care, None where no more is
    written; usual and since_the_day_before: what was done on two days running in four weeks, and since then, and of
    that what nobody has looked at yet; checked: in check sets of this session; by_age: the age makes it less.
    """
    by_work = {key: one for key, one in worked.restraint.used_to.items()
               if worked.restraint.movements[key] == movement}  # fmt: skip
    most = _most(by_work, caution, worked)
    grown_up = {key: replace(one, failed_bouts=FAR_MORE_VOLUME) for key, one in by_work.items()}
    return {
        "reason": caution.reason,
        "most_repetitions": most if most < worked.restraint.written.get(movement, inf) else None,
        "usual": floor(caution.usual + 1e-9),
        "since_the_day_before": floor(caution.bout + 1e-9),
        "not_looked_at": floor(caution.doubted + 1e-9),
        "checked": floor(_checked(movement, worked) + 1e-9),
        "by_age": most < _most(grown_up, caution, worked),
    }


def _checked(movement: str, worked: Worked) -> float:
    of = worked.restraint.movements
    return sum(
        done
        for (work, unit), done in worked.checked.items()
        if unit == REPETITIONS and of.get(work) == movement
    )


def _most(by_work: Mapping[str, UsedTo], caution: Caution, worked: Worked) -> int:
    """What the caps of a movement's items say together with the versions that are prescribed."""
    fresh = {
        one.work: one.fresh
        for result in worked.results.values()
        for one in result.candidates
        if one.option in {chosen.option for chosen in result.chosen if chosen.work == one.work}
    }
    caps = [
        used.most if (there := fresh.get(work)) is None else used.cap(there.p50)
        for work, used in by_work.items()
    ]
    return floor(sum(caps) + 1e-9) if caps else caution.most_repetitions


def _candidates(result: PrescriptionResult) -> list[dict[str, Any]]:
    return [as_plain(one) for one in result.candidates]


def figures(
    plan: SessionPlan, worked: Worked, states: Mapping[UUID, CapacityState]
) -> dict[str, dict[str, Any]]:
    """By work key the capacity in the terms of a person: what is available with the version told, and the whole."""
    found: dict[str, dict[str, Any]] = {}
    told = {
        (one.work, one.option): one.fresh for result in worked.results.values() for one in result.candidates
    }
    for _, item in items_of(plan):
        state = states.get(plan.movement(item.key).id)
        found[item.key] = {"kind": "none"} if state is None else summary(state)
    for result in worked.results.values():
        for chosen in (*result.chosen, *result.closest):
            fresh = told.get((chosen.work, chosen.option))
            found[chosen.work]["fresh"] = (
                None if fresh is None else {"p10": fresh.p10, "p50": fresh.p50, "p90": fresh.p90}
            )
            found[chosen.work]["fresh_unit"] = chosen.unit
    return found


def summary(state: CapacityState) -> dict[str, Any]:
    """A capacity in a few numbers, each with the interval that holds it with 80 %."""
    if isinstance(state, Capacity):
        found = told_one_rm(state, state.reference)
        return {"kind": "load_repetition", "one_rm_kg": _interval(found.kg, found.lo_kg, found.hi_kg)}
    if isinstance(state, HoldCapacity):
        return {"kind": "hold", "minute_kg": _interval(*load_for_a_minute(state)), "doubt": state.reason}
    assert isinstance(state, CriticalCapacity)
    critical, reserve = critical_of(state), reserve_of(state)
    return {
        "kind": "cyclical",
        "measure": state.measure,
        "critical": _interval(critical.median, critical.lower, critical.upper),
        "reserve": _interval(reserve.median, reserve.lower, reserve.upper),
        "doubt": ", ".join(state.reasons) or None,
    }


def _interval(median: float, lower: float, upper: float) -> dict[str, float]:
    return {"median": round(median, 1), "lower": round(lower, 1), "upper": round(upper, 1)}
