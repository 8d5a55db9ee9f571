"""What an athlete could be given: what can be set up and is allowed, decided by people and places alone."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from programming.calc.catalogue import UNDER_LOAD
from programming.calc.kit import BARBELL, SAFETIES, Kit, options, parse_kit
from programming.calc.revision import WorkItem
from programming.calc.variation import Option, Variation
from programming.plans import SessionPlan, VariationEntry
from scoring.blocks import items_of
from scoring.calc.prescription import RuledOut
from scoring.capacity_kind import HOLDS, REPEATS, UNTOLD, kind_of

# A muscle group is spared by leaving out what works it at least half as much as its main one (ours: below that it
# holds still or helps).
SPARED_FROM: Final = 0.5
NO_LOAD_KG: Final = 1e-6
"""Effective load of work that moves no load that could be told: a machine, a skill. Options need a positive one."""

EQUIPMENT_MISSING: Final = "equipment_missing"
KIT_IN_USE: Final = "kit_in_use"

BY_PEOPLE: Final = frozenset({
    "limit", "sore", "body_mass_missing", EQUIPMENT_MISSING, KIT_IN_USE, "alone_without_safeties",
    "not_counted_so", "no_load_repetition_curve",
})  # fmt: skip
"""Reasons (before a colon) that follow from what people decided, and not from what was learned."""


@dataclass(frozen=True)
class Room:
    """What there is to train with, and what is different on the day."""

    kit: Kit
    day: Day = AS_USUAL

    @property
    def free(self) -> Kit:
        """The kit without what is in use."""
        return Kit({name: item for name, item in self.kit.items.items() if name not in self.day.items})


@dataclass(frozen=True, eq=False)
class Loadable:
    """What can be set up and is allowed, easier variations first: by work key, and what was left out and why."""

    options: Mapping[str, list[tuple[VariationEntry, Option]]]
    ruled_out: tuple[RuledOut, ...]

    @property
    def settable(self) -> dict[str, list[Option]]:
        """All that can be set up, by work key."""
        return {key: [option for _, option in listed] for key, listed in self.options.items()}

    def left_out(self, work: str) -> tuple[RuledOut, ...]:
        return tuple(one for one in self.ruled_out if one.work == work)


def uses_own_kit(plan: SessionPlan, inputs: AthleteInputs, day: Day) -> bool:
    """Whether it is the athlete's own: not of a guest, who comes to train with what is there."""
    return inputs.kit is not None and (plan.is_remote or not day.drop_in)


def room_of(plan: SessionPlan, inputs: AthleteInputs, day: Day) -> Room:
    """The athlete's own kit or the location's, on this day."""
    own = inputs.kit if uses_own_kit(plan, inputs, day) else None
    return Room(plan.kit if own is None else parse_kit(own), day)


def loadable(plan: SessionPlan, inputs: AthleteInputs, day: Day = AS_USUAL) -> Loadable:
    """The options of every work item of the session, and what is ruled out; without capacity.

    Left out, each with its reason: variations that a limit or something sore forbids, that need what is not there
    or not free, that are not counted in the work's unit or have no curve where others of the movement have one,
    whose load cannot be known without a body mass, or whose bar would catch an athlete who trains alone without
    safeties.
    """
    room = room_of(plan, inputs, day)
    found: dict[str, list[tuple[VariationEntry, Option]]] = {}
    left_out: list[RuledOut] = []
    for _, item in items_of(plan):
        found[item.key] = []
        rungs = plan.ladder(item.key)
        told = any(kind_of(entry, item) != UNTOLD for entry in rungs)
        for entry in rungs:
            made, reason = options_of(entry, item, inputs, room)
            if reason is None and told and kind_of(entry, item) == UNTOLD:
                made, reason = [], "no_load_repetition_curve"
            if reason is not None:
                left_out.append(RuledOut(item.key, entry.variation.key, reason))
            found[item.key] += [(entry, option) for option in made]
    return Loadable(found, tuple(left_out))


def options_of(
    entry: VariationEntry, item: WorkItem, inputs: AthleteInputs, room: Room
) -> tuple[list[Option], str | None]:
    """The loadable options of a variation for the item, or why there are none."""
    if (spoken := speaks_against(entry.variation, inputs, room.day)) is not None:
        return [], spoken
    if item.unit not in entry.variation.counted_in:
        return [], "not_counted_so"
    made, reason = loads_of(entry, item, inputs, room)
    if is_alone_under(entry, inputs, room):
        made = [option for option in made if not with_bar(entry.variation, option)]
        return made, reason or (None if made else "alone_without_safeties")
    return made, reason


def speaks_against(variation: Variation, inputs: AthleteInputs, day: Day) -> str | None:
    """Why the athlete is not given this variation although it could be set up; None when nothing is known."""
    if forbidden := variation.hazards & inputs.hazards:
        return f"limit:{min(forbidden)}"
    if sore := variation.hazards & day.hazards:
        return f"sore:{min(sore)}"
    if spared := worked_groups(variation) & day.muscle_groups:
        return f"sore:{min(spared)}"
    return None


def worked_groups(variation: Variation) -> frozenset[str]:
    """The muscle groups that a variation works, and does not merely hold still."""
    most = max((weight for _, weight in variation.muscle_groups), default=0.0)
    return frozenset(name for name, weight in variation.muscle_groups if weight >= SPARED_FROM * most)


def loads_of(
    entry: VariationEntry, item: WorkItem, inputs: AthleteInputs, room: Room
) -> tuple[list[Option], str | None]:
    """What of a variation can be set up with what is free, or why nothing can."""
    variation = entry.variation
    loaded = kind_of(entry, item) in (REPEATS, HOLDS)
    if (
        loaded
        and inputs.body_mass_kg is None
        and (variation.body_mass_fraction > 0 or variation.height_fractions)
    ):
        return [], "body_mass_missing"
    # Without a share of the body mass, and without a capacity that asks for it, its value does not matter.
    body_mass_kg = inputs.body_mass_kg or 1.0
    made = _set_up(variation, room.free, body_mass_kg, loaded)
    if made:
        return made, None
    there = _set_up(variation, room.kit, body_mass_kg, loaded)
    if there:
        return [], KIT_IN_USE
    return [], ":".join(filter(None, (EQUIPMENT_MISSING, ",".join(missing_items(variation, room.kit)))))


def missing_items(variation: Variation, kit: Kit, asked: Collection[str] = ()) -> list[str]:
    """What of it is not in the kit at all, by name: "band_or_counterweight" where either would do.

    asked: settings ("load", "assistance", "height") that are wanted beside those it cannot do without.
    """
    offering = {
        "load": (variation.load_item,),
        "assistance": variation.assistance_item,
        "height": (variation.height_item,),
    }
    listed = [
        [name for name in offering[setting] if name] for setting in sorted({*variation.required, *asked})
    ]
    of_settings = {"_or_".join(names) for names in listed if names and not kit.items.keys() & set(names)}
    return sorted((variation.needs - kit.items.keys()) | of_settings)


def _set_up(variation: Variation, kit: Kit, body_mass_kg: float, loaded: bool) -> list[Option]:
    """The kit's options; work without a load to tell is one option where all that it needs is there."""
    made = options(variation, kit, body_mass_kg)
    if made or loaded or not variation.needs <= kit.items.keys() or variation.required:
        return made
    return [Option(variation.key, None, None, None, NO_LOAD_KG)]


def is_alone_under(entry: VariationEntry, inputs: AthleteInputs, room: Room) -> bool:
    """Whether nobody and nothing would help under a bar."""
    return inputs.trains_alone and UNDER_LOAD in entry.variation.hazards and SAFETIES not in room.free.items


def with_bar(variation: Variation, option: Option) -> bool:
    """Whether a barbell is lifted: always where it is needed, with a load where it only may be added."""
    return BARBELL in variation.needs or (variation.load_item == BARBELL and option.load_kg is not None)
