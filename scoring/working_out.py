"""One athlete's session worked out: every block, by calculation or by a coach's override. No database."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Final
from uuid import UUID

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from athletes.safety import Hold
from athletes.states import CapacityState
from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.blocks import items_of
from scoring.calc.effort import SESSION, Budget, share_out
from scoring.calc.pacing import Way
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import PrescriptionResult, Reason
from scoring.candidates import Choice, gather_block
from scoring.loadable import Loadable, loadable
from scoring.overridden import overridden, set_all_up
from scoring.overriding import Named
from scoring.person import SCENARIOS, Person
from scoring.restraint import Restraint, restraint_of

COARSE: Final = "coarse_forecast"
PROBABLY: Final = 0.5
"""The group does the session together: amounts are the athlete's own only where those written make a condition on
the whole block likelier missed than met (ours)."""


@dataclass(frozen=True, eq=False)
class Known:
    """What is known of the athlete beside the inputs: capacity by movement, and the variations done before.

    scenarios, effort: in how many of them the answer is worked out, and how many sets may be simulated for it. done:
    in check sets of this session, by work key and unit. only_checked: movements and variations that were seen in
    check sets alone. heaviest: load [kg] that was done, by variation.
    """

    capacities: Mapping[UUID, CapacityState]
    variations: frozenset[UUID] = frozenset()
    scenarios: int = SCENARIOS
    effort: float = SESSION
    done: Mapping[tuple[str, str], float] = field(default_factory=dict)
    only_checked: frozenset[UUID] = frozenset()
    heaviest: Mapping[UUID, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Worked:
    """The answer for a session, by block key; hold: why nothing was worked out, with no result then; effort: how many
    sets were simulated for it; checked: what the check sets of the session took, by work key and unit.
    """

    results: Mapping[str, PrescriptionResult]
    hold: Hold | None
    restraint: Restraint
    effort: float = 0.0
    checked: Mapping[tuple[str, str], float] = field(default_factory=dict)

    @property
    def feasible(self) -> bool:
        """Whether every block can be prescribed."""
        return self.hold is None and all(one.feasible for one in self.results.values())


def work_out(
    plan: SessionPlan,
    inputs: AthleteInputs,
    known: Known,
    day: Day = AS_USUAL,
    override: Sequence[Named] | None = None,
    only: Collection[str] | None = None,
    pacing: Mapping[str, Way] | None = None,
) -> Worked:
    """Prescribe every block, or those of some keys only, each from a fresh state.

    pacing: of an override, by block how it is paced, or the sets it is done in; None, and a block that is left out:
    as well as may be.

    A hold is the answer itself, unless an override was made in its knowledge. The override must be one that stands
    (`scoring.overriding.why_fallen`); raises ValueError otherwise.
    """
    restraint = restraint_of(plan, inputs.safety)
    if inputs.safety.hold is not None and override is None:
        return Worked({}, inputs.safety.hold, restraint)
    able = loadable(_of_blocks(plan, only), inputs, day)
    before = _before(plan, known)
    person = Person(
        inputs,
        known.capacities,
        known.variations,
        known.scenarios,
        below_failure=restraint.below_failure,
        only_checked=known.only_checked,
        heaviest=known.heaviest,
        checked=before.movements,
    )
    chosen = {} if override is None else set_all_up(plan, inputs, day, override)
    results: dict[str, PrescriptionResult] = {}
    effort = 0.0
    for block, limit in zip(plan.doc.blocks, share_out(plan.doc.blocks, known.effort), strict=True):
        if only is not None and block.key not in only:
            continue
        budget = Budget(limit)
        if override is not None:
            way = None if pacing is None else pacing.get(block.key)
            result = overridden(plan, block, person, able, chosen, restraint, budget, way)
        else:
            checked = {plan.item(one.work).movement for told in results.values() for one in told.check_sets}
            choice = gather_block(plan, block, person, able)
            asked = partial(_asked, block, choice, able, restraint, budget, before, checked)
            result = _prescribed(asked, budget)
        results[block.key] = _with_its_effort(result, budget)
        effort += budget.spent
    return Worked(results, None, restraint, effort, known.done)


@dataclass(frozen=True)
class _Before:
    """What the check sets of the session took, by work key, and the movements of which there was one."""

    amounts: Mapping[str, float]
    movements: frozenset[str]


def _before(plan: SessionPlan, known: Known) -> _Before:
    movements = {item.key: item.movement for _, item in items_of(plan)}
    return _Before(
        {item.key: known.done.get((item.key, item.unit), 0.0) for _, item in items_of(plan)},
        frozenset(movements[work] for work, _ in known.done if work in movements),
    )


def _of_blocks(plan: SessionPlan, only: Collection[str] | None) -> SessionPlan:
    """The session with these blocks alone, so that nothing is set up for work that is not asked about."""
    if only is None:
        return plan
    blocks = tuple(block for block in plan.doc.blocks if block.key in only)
    return replace(plan, doc=replace(plan.doc, blocks=blocks))


def _with_its_effort(result: PrescriptionResult, budget: Budget) -> PrescriptionResult:
    """With word of it where the block was too long to be worked out as finely as others."""
    if not budget.coarse:
        return result
    return replace(result, reasons=(*result.reasons, Reason(COARSE, None)))


def _asked(
    block: Block,
    choice: Choice,
    able: Loadable,
    restraint: Restraint,
    budget: Budget,
    before: _Before,
    checked: Collection[str],
    *,
    allow_volume: bool,
) -> PrescriptionResult:
    """The answer for a block with, or without, amounts of the athlete's own."""
    return prescribe(
        block,
        choice.candidates,
        multiplier=choice.multiplier,
        ruled_out=choice.ruled_out,
        settable=able.settable,
        to_failure=restraint.to_failure,
        allow_volume=allow_volume,
        volume_caps=restraint.caps,
        done_before=before.amounts,
        used_to=restraint.used_to,
        introductions=restraint.introductions,
        checked=checked,
        done_checks=before.movements,
        budget=budget,
    )


def _prescribed(ask: Callable[..., PrescriptionResult], budget: Budget) -> PrescriptionResult:
    """With the amounts as written, or as capped, where they serve; else with the athlete's own."""
    as_written = ask(allow_volume=False)
    if _serves(as_written) or budget.stop():
        return as_written
    own = ask(allow_volume=True)
    return own if own.feasible or not as_written.feasible else as_written


def _serves(result: PrescriptionResult) -> bool:
    """Whether no condition on the block as a whole is probably missed; only those gain by other amounts."""
    whole = [
        one for one in result.conditions if one.kind in ("time", "score") and one.probability is not None
    ]
    return all((one.probability or 0.0) >= PROBABLY for one in whole)
