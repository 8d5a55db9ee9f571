"""What a coach prescribes instead: whether it can be set up, what speaks against it, and whether it still stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from athletes.day import Day
from athletes.queries import AthleteInputs
from programming.calc.revision import Block, WorkItem
from programming.calc.variation import Option, Variation
from programming.plans import SessionPlan, VariationEntry
from scoring.blocks import find_item, items_of
from scoring.calc.rising_block import may_rise
from scoring.calc.volume import turns
from scoring.errors import HeldForSafety
from scoring.loadable import (
    EQUIPMENT_MISSING,
    KIT_IN_USE,
    Room,
    is_alone_under,
    loads_of,
    missing_items,
    room_of,
    with_bar,
    worked_groups,
)
from scoring.restraint import CAPPED_PREFIX, Restraint
from services.problems import FieldProblem

NEVER: Final = frozenset({"hold:red_flag", "hold:pain"})
"""What no acknowledgement outweighs: a named person releases the hold first."""
NOT_LOADABLE: Final = "not_loadable:"
TO_FAILURE_PREFIX: Final = "to_failure:"
WORK_CHANGED: Final = "work_changed"
SETTINGS: Final = ("load_kg", "assistance_kg", "height_cm")


def held_by(against: Mapping[str, str]) -> list[FieldProblem]:
    """What nothing outweighs of what speaks against it, and what is to be done; no part of the request is wrong."""
    return [
        FieldProblem(
            "#", code, f"{against[code]} Nothing in the request changes that: {HeldForSafety.release}."
        )
        for code in sorted(NEVER & against.keys())
    ]


@dataclass(frozen=True)
class Named:
    """What is to be done of one work item. amount None: as written.

    loads_kg: of attempts that rise, the load of each, the first being load_kg; (): all attempts with one load.
    """

    work: str
    variation: str
    load_kg: float | None = None
    assistance_kg: float | None = None
    height_cm: float | None = None
    amount: float | None = None
    loads_kg: tuple[float, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """As stored: without loads of attempts where there are none, as it was before there could be any."""
        stored = asdict(self)
        loads = stored.pop("loads_kg")
        return {**stored, "loads_kg": list(loads)} if loads else stored

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> Named:
        return cls(**{**stored, "loads_kg": tuple(stored.get("loads_kg", ()))})


@dataclass(frozen=True, eq=False)
class Chosen:
    """A named version as it is set up; attempts: the option of each, where they have loads of their own."""

    named: Named
    item: WorkItem
    entry: VariationEntry
    option: Option
    attempts: tuple[Option, ...] = ()


def set_up(plan: SessionPlan, inputs: AthleteInputs, day: Day, named: Named) -> Chosen | str:
    """The version as it can be set up with what is free, whatever is allowed; or a code of why it cannot, with the
    names of what is missing or in use after a colon.
    """
    found = find_item(plan, named.work)
    if found is None:
        return WORK_CHANGED
    item, entry = found[1], plan.variations.get(named.variation)
    if entry is None or entry.movement.key != item.movement:
        return "unknown_variation"
    if item.unit not in entry.variation.counted_in:
        return "not_counted_so"
    if named.loads_kg and (against := _against_rising(found[0], named)) is not None:
        return against
    room = room_of(plan, inputs, day)
    made, reason = loads_of(entry, item, inputs, room)
    by_setting = {tuple(getattr(option, name) for name in SETTINGS): option for option in reversed(made)}
    wanted = [(kg, named.assistance_kg, named.height_cm) for kg in (named.load_kg, *named.loads_kg)]
    if any(setting not in by_setting for setting in wanted):
        return _why_not_so(entry.variation, named, room, reason)
    opener, *attempts = (by_setting[setting] for setting in wanted)
    return Chosen(named, item, entry, opener, tuple(attempts))


def _why_not_so(variation: Variation, named: Named, room: Room, reason: str | None) -> str:
    """Where nothing can be set up, the reason; else whether what the setting takes is missing or in use."""
    asked = [name.partition("_")[0] for name in SETTINGS if getattr(named, name) is not None]
    missing = missing_items(variation, room.kit, asked)
    code = (reason or (EQUIPMENT_MISSING if missing else "")).partition(":")[0]
    if code == EQUIPMENT_MISSING:
        return _naming(code, missing)
    used = missing_items(variation, room.free, asked)
    return _naming(KIT_IN_USE, used) if used and code in ("", KIT_IN_USE) else code or "not_a_setting_here"


def _naming(code: str, items: Sequence[str]) -> str:
    return f"{code}:{','.join(items)}" if items else code


def _against_rising(block: Block, named: Named) -> str | None:
    """Why the loads cannot be those of the block's attempts; None where they can."""
    if not may_rise(block):
        return "one_load_only"
    if len(named.loads_kg) != block.rules.attempts:
        return "not_a_load_each"
    return None if list(named.loads_kg) == sorted(named.loads_kg) else "loads_fall"


def concerns(
    plan: SessionPlan, inputs: AthleteInputs, day: Day, chosen: Sequence[Chosen], restraint: Restraint
) -> dict[str, str]:
    """What speaks against it: codes to acknowledge, each with a sentence."""
    found: dict[str, str] = {}
    for hold in inputs.safety.holds:
        found[f"hold:{hold.code}"] = f"A hold since {hold.since}; it is released by {hold.released_by}."
    room = room_of(plan, inputs, day)
    for one in chosen:
        name = one.entry.name
        for code in _all_against(one.entry, inputs, day):
            spared = code.partition(":")[2].replace("_", " ")
            found[code] = f"{name} has what is limited or sore: {spared}."
        if is_alone_under(one.entry, inputs, room) and with_bar(one.entry.variation, one.option):
            found["alone_without_safeties"] = f"{name} can catch somebody who trains alone without safeties."
        cap, total = restraint.caps.get(one.named.work), total_of(plan, one)
        if cap is not None and (total is None or total > cap):
            much = "an open amount" if total is None else f"{total:g}"
            found[f"{CAPPED_PREFIX}{one.named.work}"] = (
                f"{much} of {name}; after the absence at most {cap:g}."
            )
        if not restraint.to_failure and _is_attempted(plan, one):
            found[f"{TO_FAILURE_PREFIX}{one.named.work}"] = (
                f"An attempt at {name} is made or fails; at present no set is to go to failure."
            )
    return found


def _is_attempted(plan: SessionPlan, one: Chosen) -> bool:
    """Whether nothing is kept in reserve of it, as it is of every other set that must not go to failure."""
    found = find_item(plan, one.named.work)
    return found is not None and found[0].rules.order == "attempts"


def _all_against(entry: VariationEntry, inputs: AthleteInputs, day: Day) -> Iterator[str]:
    """Every limit and everything sore, not the first of them alone."""
    for hazard in sorted(entry.variation.hazards & inputs.hazards):
        yield f"limit:{hazard}"
    for hazard in sorted(entry.variation.hazards & day.hazards):
        yield f"sore:{hazard}"
    for group in sorted(worked_groups(entry.variation) & day.muscle_groups):
        yield f"sore:{group}"


def total_of(plan: SessionPlan, one: Chosen) -> float | None:
    """The amount over the whole block; None: open, or without an end."""
    amount = one.item.amount if one.named.amount is None else one.named.amount
    found = find_item(plan, one.named.work)
    if found is None or amount is None:
        return amount
    index = found[0].index_of(one.named.work)
    if index is None or index >= len(found[0].work):
        return amount
    times = turns(found[0], index)
    return None if times is None else times * amount


def why_fallen(
    plan: SessionPlan,
    inputs: AthleteInputs,
    day: Day,
    restraint: Restraint,
    work: Sequence[Named],
    acknowledged: Sequence[str],
) -> list[str]:
    """Codes of what has changed under an override; empty while it stands."""
    if {named.work for named in work} != {item.key for _, item in items_of(plan)}:
        return [WORK_CHANGED]
    found = [(named, set_up(plan, inputs, day, named)) for named in work]
    gone = [
        f"{NOT_LOADABLE}{named.work}:{one.partition(':')[0]}" for named, one in found if isinstance(one, str)
    ]
    chosen = [one for _, one in found if isinstance(one, Chosen)]
    new = concerns(plan, inputs, day, chosen, restraint).keys() - set(acknowledged)
    never = NEVER & {f"hold:{hold.code}" for hold in inputs.safety.holds}
    return [*gone, *sorted(new | never)]


def with_amounts(block: Block, work: Sequence[Named]) -> Block:
    """The block with the amounts of the override."""
    own = {named.work: named.amount for named in work if named.amount is not None}

    def changed(item: WorkItem) -> WorkItem:
        return item if item.key not in own else replace(item, amount=own[item.key])

    rule = block.rules.break_rule
    penalty = None if rule.penalty_work is None else changed(rule.penalty_work)
    rules = replace(block.rules, break_rule=replace(rule, penalty_work=penalty))
    return replace(block, work=tuple(changed(item) for item in block.work), rules=rules)
