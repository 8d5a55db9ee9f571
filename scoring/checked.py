"""A check set as it is told, and what was done by it: which work, in which version, with which settings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from athletes.actions.support import refuse
from athletes.performed import NOTHING_ADJUSTED, Settings, setting_problems
from programming.calc.reader import child
from programming.calc.revision import WorkItem
from programming.plans import SessionPlan, VariationEntry, session_plan
from scoring.blocks import find_item, work_keys
from scoring.check_advice import asking_content, of_the_moment
from scoring.models import CheckSet, Prescription
from scoring.names import names_of
from services.problems import FieldProblem, Invalid

SETTINGS: Final = ("load_kg", "assistance_kg", "height_cm")


@dataclass(frozen=True)
class Checked:
    """A check set as it is told. performed_at None: just now, or whenever it was when it is sent again; variation
    None: the version that the prescription asks to check with, of a correction that with which the first was done.
    confirmed: who sends it says that it is right, however unlikely.
    """

    work: str
    amount: float
    unit: str
    rir: int | None
    ended_by: str
    performed_at: dt.datetime | None = None
    variation: str | None = None
    settings: Settings = NOTHING_ADJUSTED
    replaces: UUID | None = None
    confirmed: bool = False


@dataclass(frozen=True)
class Done:
    """What was done with what; asked: the version to be checked with, else the one prescribed, None where neither is
    named.
    """

    plan: SessionPlan
    item: WorkItem
    entry: VariationEntry
    settings: Settings
    asked: Mapping[str, Any] | None


def done_of(checked: Checked, prescription: Prescription) -> Done:
    """Raises Invalid for what cannot have been done, or does not say what was."""
    plan = session_plan(prescription.session_id)
    found = find_item(plan, checked.work)
    if found is None:
        detail = f"The session's work is: {', '.join(work_keys(plan))}."
        raise Invalid(errors=[FieldProblem(child("#", "work"), "unknown_work", detail)])
    item = found[1]
    asked = _asked(checked.work, asking_content(prescription, checked.replaces))
    key, expected = checked.variation, NOTHING_ADJUSTED
    if key is None:
        key, expected = _unsaid(checked, prescription, asked)
    entry = plan.variations.get(key)
    if entry is None or entry.movement.key != item.movement:
        named = names_of(plan).movement(item.movement)
        detail = f"Name a variation of {named} from the organisation's catalogue."
        raise Invalid(errors=[FieldProblem(child("#", "variation"), "unknown_variation", detail)])
    if checked.unit not in entry.variation.counted_in:
        detail = f"{entry.name} is counted in {', '.join(entry.variation.counted_in)}."
        raise Invalid(errors=[FieldProblem(child("#", checked.unit), "wrong_unit", detail)])
    settings = _with_what_was_sent(expected, checked.settings, entry)
    refuse(setting_problems(entry.variation, settings, "#"))
    return Done(plan, item, entry, settings, asked)


def _with_what_was_sent(expected: Settings, sent: Settings, entry: VariationEntry) -> Settings:
    """What was sent was done, the rest as expected; but who was helped had no load, and the other way round."""
    told = {name: getattr(sent, name) for name in SETTINGS if getattr(sent, name) is not None}
    one_of_two = len(told.keys() & {"load_kg", "assistance_kg"}) == 1
    if one_of_two and {"load", "assistance"} <= entry.variation.adjustable:
        expected = replace(expected, load_kg=None, assistance_kg=None)
    return replace(expected, **told)


def _asked(work: str, content: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """The version that the prescription asks to check with, else the one that it prescribes."""
    return next((one for one in (*content["check_sets"], *content["work"]) if one["work"] == work), None)


def _unsaid(
    checked: Checked, prescription: Prescription, asked: Mapping[str, Any] | None
) -> tuple[str, Settings]:
    """The version that was meant where none is named. Raises Invalid; of whoever is held the words of the hold come
    first, for the set may have hurt.
    """
    first = _replaced_set(checked, prescription)
    if first is not None:
        done = Settings(*(getattr(first, name) for name in SETTINGS))
        return first.variation_version.variation.key, done
    if asked is not None:
        return asked["variation"], Settings(*(asked[name] for name in SETTINGS))
    detail = "The prescription names no version of this work; say which one was done."
    held = of_the_moment(prescription, checked.ended_by)
    if held is not None and held.step == "stop":
        detail = f"{held.text} Nothing is stored yet: to have the set kept, say which version was done."
    raise Invalid(detail, errors=[FieldProblem("#/variation", "required", detail)])


def _replaced_set(checked: Checked, prescription: Prescription) -> CheckSet | None:
    """The set that a correction is of, where it is of the same work."""
    if checked.replaces is None:
        return None
    rows = CheckSet.objects.filter(
        id=checked.replaces,
        athlete=prescription.athlete_id,
        session=prescription.session_id,
        work=checked.work,
    )
    return rows.select_related("variation_version__variation").first()
