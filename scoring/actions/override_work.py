"""The work of an override: one version for every item, as it is set up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from athletes.actions.support import refuse
from athletes.day import Day
from athletes.queries import AthleteInputs
from programming.calc.difference_words import plain
from programming.calc.reader import child
from programming.calc.revision import UNITS
from programming.plans import SessionPlan
from scoring.blocks import find_item, items_of
from scoring.names import names_of
from scoring.overriding import SETTINGS, Chosen, Named, set_up
from services.problems import FieldProblem


@dataclass(frozen=True)
class Wish:
    """An override as it is told: versions of some work items, the codes that are acknowledged, and why.

    units: by work key the unit in which an amount was told.
    """

    work: Sequence[Named]
    acknowledged: Sequence[str]
    reason: str
    units: Mapping[str, str] = field(default_factory=dict)


def whole_work(plan: SessionPlan, content: Mapping[str, Any], wish: Wish) -> list[Named]:
    """One version for every work item, in the order of the document. Raises Invalid."""
    named = {one.work: one for one in wish.work}
    told = {one["work"]: one for one in (*content["closest"], *content["work"])}
    problems = [*_misnamed(plan, wish)]
    for _, item in items_of(plan):
        if item.key not in named and item.key not in told:
            named_so = names_of(plan).work(item.key)
            detail = f"The prescription has no version of {named_so}; name one, for the work {item.key}."
            problems.append(FieldProblem(child("#", "work"), "required", detail))
    refuse(problems)
    attempts = content.get("attempts", [])
    return [named.get(item.key) or _as_told(told[item.key], attempts) for _, item in items_of(plan)]


def _misnamed(plan: SessionPlan, wish: Wish) -> Iterator[FieldProblem]:
    """Work that the session has not, that is named twice, or counted in another unit."""
    named: set[str] = set()
    for index, one in enumerate(wish.work):
        found = find_item(plan, one.work)
        if found is None:
            keys = ", ".join(item.key for _, item in items_of(plan))
            yield FieldProblem(
                child("#", "work", index, "work"), "unknown_work", f"The session's work is: {keys}."
            )
        elif one.work in named:
            yield FieldProblem(child("#", "work", index, "work"), "named_twice", "Name each work item once.")
        elif wish.units.get(one.work, found[1].unit) != found[1].unit:
            unit, about = found[1].unit, names_of(plan).work(one.work)
            detail = f"{about} is counted in {unit}: send that, or no amount for the one as written."
            yield FieldProblem(child("#", "work", index, wish.units[one.work]), "wrong_unit", detail)
        named.add(one.work)


def _as_told(one: Mapping[str, Any], attempts: Sequence[Mapping[str, Any]]) -> Named:
    """What the prescription says of an item. An amount as written is not fixed: it stays the coach's."""
    amount = None
    if not one.get("amount_as_written", True):
        amount = next((float(one[unit]) for unit in UNITS if one.get(unit) is not None), None)
    settings = {name: one[name] for name in SETTINGS}
    loads = tuple(each["load_kg"] for each in attempts if each["work"] == one["work"])
    return Named(work=one["work"], variation=one["variation"], **settings, amount=amount, loads_kg=loads)


_WORDS = {
    "unknown_variation": "Name a variation of this movement from the organisation's catalogue.",
    "not_counted_so": "This variation is not counted in the unit of the work.",
    "not_a_setting_here": "This cannot be set up here; use what the kit offers for this variation.",
    "equipment_missing": "What it takes is not in the kit{what}; name a version without, or enter it in the kit.",
    "kit_in_use": "What it takes is in use on this day{what}; name a version without it.",
    "one_load_only": "Only attempts of one item, the heaviest of which is scored, have a load each; name one load.",
    "not_a_load_each": "Name a load for each attempt of the block, as many as it has.",
    "loads_fall": "Name the loads in rising order; a load may come twice.",
    "body_mass_missing": "The load of this variation follows from the body mass; record a weighing first.",
}


def set_work_up(
    plan: SessionPlan, inputs: AthleteInputs, day: Day, work: Sequence[Named], sent: Sequence[Named]
) -> list[Chosen]:
    """Each version as it is set up; sent: those that the wish names, the others are the prescription's own. Raises
    Invalid for what cannot be, pointing at what was sent.
    """
    found = [set_up(plan, inputs, day, named) for named in work]
    places = {named.work: child("#", "work", index) for index, named in enumerate(sent)}
    refuse(
        [
            FieldProblem(
                places.get(named.work, child("#", "work")),
                one.partition(":")[0],
                f"{_name(plan, named)}: {_words(one)}",
            )
            for named, one in zip(work, found, strict=True)
            if isinstance(one, str)
        ]
    )
    return [one for one in found if isinstance(one, Chosen)]


def _words(code: str) -> str:
    """A sentence for a code, with the names of the items that stand after its colon."""
    kind, _, items = code.partition(":")
    what = f" ({plain(items).replace(',', ', ')})" if items else ""
    return _WORDS.get(kind, kind).format(what=what)


def _name(plan: SessionPlan, named: Named) -> str:
    """The variation as people call it, where there is none such its work."""
    entry = plan.variations.get(named.variation)
    return names_of(plan).work(named.work) if entry is None else entry.name
