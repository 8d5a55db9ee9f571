"""A result as it was sent, block by block: what each part reports, and whether that can be meant.

Nothing here stores or scores; what merely does not add up is no business of this module.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from athletes.actions.support import refuse
from athletes.performed import Settings, setting_problems
from programming.calc.reader import child
from programming.calc.revision import UNITS, Block, WorkItem
from programming.plans import SessionPlan
from scoring.calc.attempt import Totals, totals_from
from scoring.errors import NothingPrescribed
from scoring.models import Prescription
from scoring.names import names_of
from services.problems import FieldProblem, Invalid

SETTINGS: Final = ("load_kg", "assistance_kg", "height_cm")
SET_LOG, TOTALS, AS_PRESCRIBED, BLOCKS = "set_log", "totals", "as_prescribed", "blocks"
KINDS: Final = (SET_LOG, TOTALS, AS_PRESCRIBED)
# Later versions keep the plan of a block whole, or leave it out.
CUT_UNTIL_VERSION: Final = 2
CUT_AT: Final = 400


@dataclass(frozen=True)
class Part:
    """What was sent of one block: `data` as its kind has it, `at` a pointer to it."""

    block: Block
    kind: str
    data: Mapping[str, Any]
    at: str


def parts_of(kind: str, data: Any, plan: SessionPlan) -> list[Part]:
    """The parts of a result. Raises Invalid where it does not say which block it is of, or names one twice."""
    blocks = plan.doc.blocks
    if kind != BLOCKS:
        if len(blocks) > 1:
            keys = ", ".join(block.key for block in blocks)
            detail = f"This session has several blocks: send `blocks`, each with its key ({keys})."
            raise Invalid(errors=[FieldProblem(f"#/{kind}", "several_blocks", detail)])
        return [Part(blocks[0], kind, data, f"#/{kind}")]
    parts: list[Part] = []
    problems: list[FieldProblem] = []
    for number, entry in enumerate(data):
        at, block = f"#/blocks/{number}", plan.doc.block(entry["block"])
        own = next(name for name in KINDS if entry.get(name) is not None)
        if block is None:
            keys = ", ".join(one.key for one in blocks)
            problems.append(
                FieldProblem(f"{at}/block", "unknown_block", f"The session's blocks are: {keys}.")
            )
        elif any(part.block.key == block.key for part in parts):
            problems.append(FieldProblem(f"{at}/block", "named_twice", "Name each block once."))
        else:
            parts.append(Part(block, own, entry[own], f"{at}/{own}"))
    refuse(problems)
    return parts


def amount_of(entry: Mapping[str, Any]) -> tuple[str, float]:
    """(unit, amount) of a set or a total: the one of its amounts that is given."""
    return next((unit, float(entry[unit])) for unit in UNITS if entry.get(unit) is not None)


def settings_of(entry: Mapping[str, Any]) -> Settings:
    """What was adjusted."""
    return Settings(**{name: entry.get(name) for name in SETTINGS})


def sets_of(part: Part, plan: SessionPlan, prescription: Prescription | None) -> list[Mapping[str, Any]]:
    """The sets to store: as logged, none for totals, those of the plan for a result as prescribed.

    Raises Invalid for what the session or the catalogue does not have, NothingPrescribed without a plan.
    """
    if part.kind == AS_PRESCRIBED:
        return _planned(part, prescription)
    sets: Sequence[Mapping[str, Any]] = part.data.get("sets", [])
    refuse(
        [
            problem
            for number, entry in enumerate(sets)
            for problem in _set_problems(entry, part, plan, f"{part.at}/sets/{number}")
        ]
    )
    refuse(_total_problems(part, plan))
    return list(sets)


def _set_problems(entry: Mapping[str, Any], part: Part, plan: SessionPlan, at: str) -> list[FieldProblem]:
    index = part.block.index_of(entry["work"])
    if index is None:
        return [_unknown_work(child(at, "work"), part.block)]
    item = part.block.items[index]
    found = _unit_problems(entry, item, plan, at)
    if entry.get("interval") is not None and part.block.rules.intervals is None:
        detail = "This block has no intervals: leave it out."
        found.append(FieldProblem(child(at, "interval"), "no_intervals", detail))
    return found + _variation_problems(entry, item, plan, at)


def _variation_problems(
    entry: Mapping[str, Any], item: WorkItem, plan: SessionPlan, at: str
) -> list[FieldProblem]:
    known = plan.variations.get(entry["variation"])
    if known is None or known.movement.key != item.movement:
        named = names_of(plan).movement(item.movement)
        detail = f"Name a variation of {named} from the organisation's catalogue."
        return [FieldProblem(f"{at}/variation", "unknown_variation", detail)]
    return setting_problems(known.variation, settings_of(entry), at)


def _unit_problems(
    entry: Mapping[str, Any], item: WorkItem, plan: SessionPlan, at: str
) -> list[FieldProblem]:
    unit, _ = amount_of(entry)
    if unit == item.unit:
        return []
    detail = f"{names_of(plan).work(item.key)} is counted in {item.unit}: send that."
    return [FieldProblem(f"{at}/{unit}", "wrong_unit", detail)]


def _total_problems(part: Part, plan: SessionPlan) -> list[FieldProblem]:
    """Unknown work, work that is named twice, another unit than it is counted in, and what it cannot be done with."""
    problems, seen = [], set()
    for number, entry in enumerate(part.data.get("work", [])):
        at = child(part.at, "work", number)
        index = part.block.index_of(entry["work"])
        if index is None:
            problems.append(_unknown_work(child(at, "work"), part.block))
        elif entry["work"] in seen:
            problems.append(
                FieldProblem(child(at, "work"), "named_twice", "Name each work item once, with its total.")
            )
        else:
            item = part.block.items[index]
            problems += _unit_problems(entry, item, plan, at)
            problems += _variation_problems(entry, item, plan, at) if "variation" in entry else []
        seen.add(entry["work"])
    return problems


def _unknown_work(pointer: str, block: Block) -> FieldProblem:
    keys = ", ".join(item.key for item in block.items)
    return FieldProblem(pointer, "unknown_work", f"The work here is: {keys}.")


def _planned(part: Part, prescription: Prescription | None) -> list[Mapping[str, Any]]:
    """The sets of the prescription's plan for the block, all of them, each ended as planned.

    Without repetitions in reserve: what the athlete says of the whole is no statement about each set, so that
    capacity learns only what was possible at least.
    """
    if prescription is None or not prescription.feasible:
        raise NothingPrescribed(
            errors=[FieldProblem(part.at, "nothing_prescribed", NothingPrescribed.remedy)]
        )
    content = prescription.content
    chosen = {entry["work"]: entry for entry in content["work"]}
    planned = [
        entry
        for entry in content["plan"]
        if part.block.index_of(entry["work"]) is not None and entry["work"] in chosen
    ]
    if not planned or _may_be_cut(prescription, len(planned)):
        raise NothingPrescribed(errors=[FieldProblem(part.at, "no_plan", NothingPrescribed.remedy)])
    attempts = [one for one in content.get("attempts", []) if one["work"] == planned[0]["work"]]
    if attempts:  # of one item alone, each with its load; the clock may have cut off the last ones
        return [_planned_set(entry, one) for entry, one in zip(planned, attempts, strict=False)]
    return [_planned_set(entry, chosen[entry["work"]]) for entry in planned]


def _may_be_cut(prescription: Prescription, sets: int) -> bool:
    """Whether the plan was longer than what is stored of it; until version 2 nothing else told."""
    return prescription.method_version <= CUT_UNTIL_VERSION and sets >= CUT_AT


def _planned_set(entry: Mapping[str, Any], chosen: Mapping[str, Any]) -> dict[str, Any]:
    unit, amount = amount_of(entry)
    return {
        "work": entry["work"],
        "variation": chosen["variation"],
        **{name: chosen[name] for name in SETTINGS},
        unit: amount,
        "rest_before_s": entry["rest_before_s"],
        "duration_s": entry.get("duration_s"),
        "ended_by": "planned",
    }


def told_with(as_sent: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The totals of a result as it was sent, where every one names its variation; none otherwise."""
    parts = as_sent.get(BLOCKS) or [as_sent]
    told = [entry for part in parts if part.get(TOTALS) for entry in part[TOTALS]["work"]]
    return told if all(entry.get("variation") for entry in told) else []


def totals_of(part: Part) -> Totals:
    """Totals as the calculation takes them."""
    amounts = {entry["work"]: amount_of(entry)[1] for entry in part.data["work"]}
    return totals_from({**part.data, "amounts": amounts})
