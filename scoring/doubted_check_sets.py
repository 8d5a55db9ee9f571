"""Whether a check set is asked about before anything follows from it: a prescription does, within moments.

It is judged as a test is (athletes.actions.doubted_tests). And a load that the kit has not, or far more than was
asked for, is a slip more often than not: of a pair twice the weight, pounds, a digit too many.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from athletes.actions.doubted_tests import ASKED, Doubt, Doubter, may_confirm
from athletes.catalogue import versions
from athletes.models import Athlete
from athletes.performed import Settings
from athletes.plausible import Performed
from programming.calc.kit import Kit, parse_kit
from programming.calc.load import load_said
from programming.calc.variation import REPETITIONS
from programming.plans import SessionPlan
from scoring.errors import ImplausibleSet
from scoring.models import CheckSet
from services.problems import FieldProblem
from services.tenancy.actor import Actor

NOT_IN_KIT: Final = "load_not_in_kit"
FAR_ABOVE: Final = "far_above_asked"
FAR_ABOVE_FACTOR: Final = 2.0
"""Ours: below the 2.2 of pounds; who was asked for little and takes the next loads up is not asked."""
SLIPS: Final = frozenset({NOT_IN_KIT, FAR_ABOVE})
ALMOST: Final = 1e-6


def refuse_doubted_set(
    *,
    actor: Actor,
    athlete: Athlete,
    row: CheckSet,
    plan: SessionPlan,
    asked: Mapping[str, Any] | None,
    mass: float | None,
    confirmed: bool,
) -> None:
    """Raise ImplausibleSet unless the set is believed, or who may says that it is right (at most six queries).

    row: the set, not stored; asked: what the prescription asked to check with; mass: body mass [kg] on the day.
    """
    version = versions([row.variation_version_id])[row.variation_version_id]
    amount = row.amount + float(row.rir or 0) if row.unit == REPETITIONS and row.amount > 0.0 else row.amount
    settings = Settings(row.load_kg, row.assistance_kg, row.height_cm)
    done = Performed(version.variation, settings, row.unit, amount)
    doubter = Doubter([athlete.id], [version.movement_id], row.replaces_id)
    doubt = doubter.doubt_of(athlete.id, version, done, mass, row.local_date)
    doubt = doubt or _slip(done, version.name, _kits(plan, athlete), asked)
    if doubt is None or (confirmed and _opens(doubt, actor, athlete)):
        return
    doubt = replace(doubt, detail=f"{doubt.detail}{_reserve_said(row)}")
    remedy = ImplausibleSet.remedies.get(doubt.code, ImplausibleSet.check)
    at = "#/confirmed" if doubt.code in ImplausibleSet.remedies else "#/load_kg"
    raise ImplausibleSet(f"{doubt.detail} {remedy}", errors=[FieldProblem(at, doubt.code, doubt.detail)])


def _reserve_said(row: CheckSet) -> str:
    """That what was left is in a number of repetitions which nobody has sent."""
    if row.unit != REPETITIONS or not row.rir or not row.amount > 0.0:
        return ""
    return f" That is the {row.amount:g} that were done, and the {row.rir} that were left."


def _opens(doubt: Doubt, actor: Actor, athlete: Athlete) -> bool:
    """A slip of the hand whoever sends the set can tell; what is beyond belief the staff."""
    return doubt.code in SLIPS or (doubt.code == ASKED and may_confirm(actor, athlete))


def _kits(plan: SessionPlan, athlete: Athlete) -> list[Kit]:
    """What is written down of the place's kit and of the athlete's own."""
    of_place = [plan.kit] if plan.kit_version else []
    return of_place if athlete.kit is None else [*of_place, parse_kit(athlete.kit)]


def _slip(done: Performed, name: str, kits: list[Kit], asked: Mapping[str, Any] | None) -> Doubt | None:
    load_kg, variation = done.settings.load_kg, done.variation
    if not load_kg or not done.amount > 0.0:
        return None
    said = load_said(load_kg, variation.implements)
    there = [kg for kit in kits for kg in kit.item(variation.load_item).loads_of(variation.implements)]
    if kits and not any(abs(kg - load_kg) < ALMOST for kg in there):
        return Doubt(NOT_IN_KIT, f"{name}: {said} is no load of the kit that is written down.")
    same = asked is not None and asked["variation"] == variation.key and asked["load_kg"]
    if asked is not None and same and load_kg > FAR_ABOVE_FACTOR * asked["load_kg"]:
        wanted = load_said(asked["load_kg"], variation.implements)
        return Doubt(FAR_ABOVE, f"{name}: {said} was sent, and {wanted} asked for.")
    return None
