"""The pacing of a block as it is told and as it is wished: what comes out can be sent back in. No database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from athletes.actions.support import refuse
from programming.calc.reader import child
from programming.plans import SessionPlan
from scoring.calc.forecast import BlockForecast
from scoring.calc.next_set import Policy
from services.problems import FieldProblem


@dataclass(frozen=True)
class WishedPacing:
    """How one block is paced; block None: every block that is not named."""

    policy: Policy
    block: str | None = None


def policies_of(plan: SessionPlan, wished: Sequence[WishedPacing]) -> dict[str, Policy]:
    """By block; one that nobody speaks of is left out. Raises Invalid for a block that the session has not, and for
    one that is named twice.
    """
    refuse([*_misnamed(plan, wished)])
    by_block = {one.block: one.policy for one in wished}
    usual = by_block.get(None)
    paced = {block.key: by_block.get(block.key, usual) for block in plan.doc.blocks}
    return {key: policy for key, policy in paced.items() if policy is not None}


def policy_told(forecast: BlockForecast) -> Policy:
    """As the block was paced; of a list of sets the share and the rest that came of it."""
    pace = 1.0 if forecast.pace is None else forecast.pace
    return Policy(forecast.share, forecast.own_rest_s, pace, forecast.worthwhile)


def paced_as(block: str, policy: Policy) -> Mapping[str, object]:
    """As an answer tells it, to be sent back as it is: no number is rounded."""
    return {
        "block": block,
        "share": policy.share,
        "rest_s": policy.own_rest_s,
        "patience": policy.worthwhile,
        "pace": policy.pace,
    }


def _misnamed(plan: SessionPlan, wished: Sequence[WishedPacing]) -> Iterator[FieldProblem]:
    keys = [block.key for block in plan.doc.blocks]
    named = [one.block for one in wished]
    for index, key in enumerate(named):
        at = child("#", "pacing", index)
        if key in named[:index]:
            yield FieldProblem(at, "named_twice", "Name each block once, and leave it out at most once.")
        elif key is not None and key not in keys:
            yield FieldProblem(
                child(at, "block"), "unknown_block", f"The session's blocks are: {', '.join(keys)}."
            )
