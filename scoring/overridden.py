"""A coach's override of a block worked out: its forecast, and the probability of every condition."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from athletes.day import Day
from athletes.queries import AthleteInputs
from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.calc.attempts import as_attempted
from scoring.calc.effort import Budget
from scoring.calc.first_set import first_windows, view
from scoring.calc.foresee import Foreseen, foresee
from scoring.calc.pacing import Way
from scoring.calc.prescription import ChosenOption, PrescriptionResult, RuledOut
from scoring.calc.warm_up import ramps_to
from scoring.candidates import candidate_of
from scoring.loadable import Loadable
from scoring.overridden_attempts import with_loads
from scoring.overriding import Chosen, Named, set_up, with_amounts
from scoring.person import Person, draws_of, multiplier_of, tempo_of
from scoring.restraint import Restraint


def set_all_up(
    plan: SessionPlan, inputs: AthleteInputs, day: Day, override: Sequence[Named]
) -> Mapping[str, Chosen]:
    """What the override chose, by work key. Raises ValueError where it does not stand."""
    found = {named.work: set_up(plan, inputs, day, named) for named in override}
    missing = {work: one for work, one in found.items() if isinstance(one, str)}
    if missing:
        raise ValueError(f"this override does not stand: {missing}")
    return {work: one for work, one in found.items() if isinstance(one, Chosen)}


def overridden(
    plan: SessionPlan,
    block: Block,
    person: Person,
    able: Loadable,
    chosen: Mapping[str, Chosen],
    restraint: Restraint,
    budget: Budget,
    policy: Way | None = None,
) -> PrescriptionResult:
    """The coach's versions and amounts with their forecast; every condition keeps its probability, however low.

    policy: how it is paced, or in which sets it is done; None: as well as may be; attempts are not paced.
    """
    draws, numbers = draws_of(plan, person)
    mine = [chosen[item.key] for item in block.items]
    own = with_amounts(block, [one.named for one in mine])
    multiplier = multiplier_of(person, draws)
    ruled_out = tuple(one for item in block.items for one in able.left_out(item.key))
    drawn = {
        item.key: (
            draws.movements[numbers[item.movement]],
            tempo_of(person, item, plan.movement(item.key).id, draws),
        )
        for item in block.items
    }
    if mine[0].attempts:
        (item,), (one,) = block.items, mine
        attempts = [
            candidate_of(item, one.entry, option, person, *drawn[item.key]) for option in one.attempts
        ]
        available = [option for _, option in able.options[item.key]]
        return with_loads(
            block, own, attempts, multiplier, available, ruled_out=ruled_out, budget=budget
        )  # fmt: skip
    candidates = [
        candidate_of(item, one.entry, one.option, person, *drawn[item.key])
        for item, one in zip(block.items, mine, strict=True)
    ]
    seen = foresee(
        own, candidates, multiplier=multiplier, to_failure=restraint.to_failure, budget=budget, policy=policy
    )
    return _answer(block, own, seen, able, ruled_out)


def _answer(
    block: Block, own: Block, seen: Foreseen, able: Loadable, ruled_out: tuple[RuledOut, ...]
) -> PrescriptionResult:
    """What was foreseen of a block with the coach's amounts (`own`), as the answer for the block as written."""
    return PrescriptionResult(
        feasible=True,
        chosen=tuple(
            ChosenOption(
                written.key,
                one.candidate.option,
                one.candidate.is_as_written,
                one.candidate.is_novel,
                item.amount,
                item.unit,
                item.amount == written.amount,
            )
            for written, item, one in zip(block.items, own.items, seen.judged, strict=True)
        ),
        closest=(),
        forecast=replace(seen.forecast, plan=as_attempted(own, seen.forecast.plan)),
        conditions=seen.conditions,
        p_all=seen.p_all,
        candidates=tuple(
            view(item.key, one, first_windows(block, item.key))
            for item, one in zip(block.items, seen.judged, strict=True)
        ),
        ruled_out=ruled_out,
        reasons=(),
        alternatives=(),
        check_sets=(),
        warm_up=ramps_to(block, [one.candidate for one in seen.judged], able.settable),
    )
