"""Versions of the work in a prescription, as they are set up: what is prescribed, attempted and asked first."""

from __future__ import annotations

from typing import Any

from programming.calc.revision import UNITS
from programming.calc.variation import Option
from programming.plans import SessionPlan
from scoring.calc.prescription import CheckSet, ChosenOption, PrescriptionResult
from scoring.capacity_kind import kind_of
from scoring.loadable import NO_LOAD_KG
from scoring.names import VEST
from scoring.rounding import PROBABILITY_STEP, step


def amounts(unit: str, amount: float | None) -> dict[str, float | int | None]:
    """The amount under the name of its unit, null under the others; all null: as much as possible."""
    found: dict[str, float | int | None] = dict.fromkeys(UNITS)
    if amount is not None:
        found[unit] = int(amount) if unit == "repetitions" else round(amount, 1)
    return found


def attempts_told(plan: SessionPlan, results: list[tuple[str, PrescriptionResult]]) -> dict[str, Any]:
    """Nothing where no attempts rise, so that other prescriptions keep their fingerprint."""
    told = [
        {
            "block": key,
            "work": one.work,
            "number": one.number,
            **option_told(plan, one.option),
            "repetitions": int(one.amount),
            "probability": step(one.probability, PROBABILITY_STEP),
        }
        for key, result in results
        for one in result.attempts
    ]
    return {"attempts": told} if told else {}


def work_told(plan: SessionPlan, block: str, one: ChosenOption) -> dict[str, Any]:
    """The version of a work item with its amount of a round."""
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
        **option_told(plan, one.option),
    }


def option_told(plan: SessionPlan, option: Option) -> dict[str, Any]:
    """A variation with its setting: what is null is not used."""
    entry = plan.variations[option.variation_key]
    loaded = option.effective_kg > NO_LOAD_KG
    return {
        "variation": option.variation_key,
        "variation_name": entry.name,
        "variation_version": entry.number,
        "load_kg": option.load_kg,
        "implements": entry.variation.implements,
        **worn(option.load_kg, entry.variation.load_item == VEST),
        "assistance_kg": option.assistance_kg,
        "height_cm": option.height_cm,
        "effective_kg": round(option.effective_kg, 1) if loaded else None,
        "effective_kg_reason": None if loaded else "no_load_to_tell",
    }


def worn(load_kg: float | None, in_a_vest: bool) -> dict[str, bool]:
    """That the load is a vest's, beside body weight; of others nothing, so that they keep their fingerprint."""
    return {"worn": True} if in_a_vest and load_kg is not None else {}


def check_set_told(plan: SessionPlan, block: str, check: CheckSet) -> dict[str, Any]:
    """What is asked first, and the versions that may come of it."""
    return {
        "block": block,
        "work": check.work,
        **option_told(plan, check.option),
        "unit": check.unit,
        "stop_at": check.stop_at,
        "reserve_at_least": check.reserve_at_least,
        "reserve_at_most": check.reserve_at_most,
        "able_at_least": check.able_at_least,
        "able_at_most": check.able_at_most,
        "rest_after_s": check.rest_after_s,
        "if_easier_needed": None if check.easier is None else option_told(plan, check.easier),
        "if_harder_possible": None if check.harder is None else option_told(plan, check.harder),
    }
