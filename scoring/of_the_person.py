"""What of the person speaks against an override: that nobody is there, age, and what they were never seen to do.

Asked when an override is made, not afterwards: it takes no standing override back, and the next one asks again. What
asks no more than the calculation itself gave wants no word: whoever makes it easier for somebody is not held up, and
a warning that comes every time is read no more (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, Final
from uuid import UUID

from athletes.queries import AthleteInputs
from athletes.safety import Safety
from programming.calc.revision import UNITS
from programming.plans import SessionPlan
from scoring.beyond import days_said, movements_seen
from scoring.names import names_of
from scoring.overriding import Chosen, total_of
from scoring.restraint import ADULT_FROM, OLD_FROM
from scoring.working_out import Worked

TRAINS_ALONE: Final = "trains_alone"
MINOR: Final = "minor"
NEVER_SEEN_PREFIX: Final = "never_seen:"
ROUNDS_PREFIX: Final = "rounds_cap:"
UNLIKELY_AT_AGE: Final = "unlikely_at_age"
HOPELESS: Final = 0.05
"""Ours: below it nobody should count on the work being finished."""
ROUNDED_KG: Final = 0.05 + 1e-9
"""A prescription tells effective loads to a tenth."""


def of_the_person(
    plan: SessionPlan,
    content: Mapping[str, Any],
    inputs: AthleteInputs,
    chosen: Sequence[Chosen],
    done: Collection[UUID],
) -> dict[str, str]:
    """By code to acknowledge a sentence of what it means and what to do.

    content: of the newest prescription that was worked out; done: the variations that the athlete was seen to do.
    """
    found = dict(_rounds_restored(plan, content, chosen))
    more = [one for one in chosen if _asks_more(one, content)]
    if not more:
        return found
    names = ", ".join(dict.fromkeys(one.entry.name for one in more))
    age = inputs.safety.age
    if inputs.trains_alone:
        found[TRAINS_ALONE] = (
            f"The athlete trains alone, so nobody is there to stop the work or to help; {names} is more than was"
            " worked out. Agree who knows when they are done, or prescribe no more than was worked out."
        )
    if age is not None and age < ADULT_FROM:
        found[MINOR] = (
            f"The athlete is {age} years old; {names} is more than was worked out. See that a coach is beside them"
            " and that technique comes before load, or prescribe no more than was worked out."
        )
    return found | dict(_never_seen(plan, more, done))


def _never_seen(
    plan: SessionPlan, more: Sequence[Chosen], done: Collection[UUID]
) -> Iterator[tuple[str, str]]:
    """Of every movement of which no version stands in a log, a test or a check set."""
    seen = movements_seen(plan, done)
    for one in more:
        if one.entry.movement.key not in seen:
            yield (
                f"{NEVER_SEEN_PREFIX}{one.named.work}",
                f"{one.entry.name}: nobody has seen the athlete in any version of {one.entry.movement.name}, so"
                " nothing tells what they can do of it. Prescribe what was worked out, or let them do a check set"
                " first: after this override none is asked for, and its version stays, whatever a set shows, until it"
                " is withdrawn or what it rests on changes.",
            )


def _rounds_restored(
    plan: SessionPlan, content: Mapping[str, Any], chosen: Sequence[Chosen]
) -> Iterator[tuple[str, str]]:
    """Of each block that ends early for safety the first work of which the override asks for more: its versions bring
    all the rounds back.
    """
    capped = {one["block"]: one["rounds"] for one in content.get("blocks", []) if one.get("rounds")}
    if not capped:
        return
    given = {one["work"]: one for one in content["work"]}
    names = names_of(plan)
    for one in chosen:
        told = given.get(one.named.work)
        block = "" if told is None else str(told.get("block"))
        if told is None or block not in capped:
            continue
        total, amount = total_of(plan, one), next((told[unit] for unit in UNITS if told[unit]), None)
        if total is not None and amount is not None and total <= capped[block] * amount + 1e-9:
            continue
        rounds = names.so_many(block, capped.pop(block))
        yield (
            f"{ROUNDS_PREFIX}{one.named.work}",
            f"For safety it was worked out that {names.block(block)} ends after {rounds} at the latest, whatever time"
            " is left; an override has no such end. Name an amount that adds up to no more, or tell the athlete when"
            " to stop.",
        )


def _asks_more(one: Chosen, content: Mapping[str, Any]) -> bool:
    """Whether it is heavier, longer or otherwise than the calculation gave; what a person gave is no measure."""
    given = next((told for told in content["work"] if told["work"] == one.named.work), None)
    if content["overridden_by"] is not None or not content["feasible"] or given is None:
        return True
    return _is_heavier(one, given) or _is_longer(one, given)


def _is_heavier(one: Chosen, given: Mapping[str, Any]) -> bool:
    if one.attempts:
        return True
    if given["effective_kg"] is None:  # no load to tell: another version may be anything
        return bool(one.entry.variation.key != given["variation"])
    return bool(one.option.effective_kg > given["effective_kg"] + ROUNDED_KG)


def _is_longer(one: Chosen, given: Mapping[str, Any]) -> bool:
    """As much as possible is more than any amount."""
    amount = one.item.amount if one.named.amount is None else one.named.amount
    told = next((given[unit] for unit in UNITS if given[unit] is not None), None)
    if told is None:
        return False
    return bool(amount is None or amount > told + 1e-9)


def is_old(safety: Safety) -> bool:
    """Whether the chance to finish is asked about."""
    return safety.age is not None and safety.age >= OLD_FROM


def unlikely_at_age(plan: SessionPlan, safety: Safety, theirs: Worked) -> dict[str, str]:
    """The blocks that an old athlete finishes on about no day, of the override as it is foreseen (`theirs`)."""
    chances = {
        key: result.forecast.p_finish for key, result in theirs.results.items() if result.forecast is not None
    }
    hopeless = {key: chance for key, chance in chances.items() if chance < HOPELESS}
    if not is_old(safety) or not hopeless:
        return {}
    names = names_of(plan)
    told = "; ".join(f"{names.block(key)} on {days_said(chance)}" for key, chance in hopeless.items())
    return {
        UNLIKELY_AT_AGE: (
            f"The athlete is {safety.age} years old and finishes as it is prescribed here: {told}. Ask for less or"
            " for an easier version; else agree with them that stopping early is as planned."
        )
    }
