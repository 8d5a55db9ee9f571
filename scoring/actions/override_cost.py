"""What an override costs against the aim, beside what would be prescribed without it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from athletes.day import Day
from athletes.queries import AthleteInputs
from programming.plans import SessionPlan
from scoring.overriding import Named
from scoring.working_out import Known, Worked, work_out


def cost_of(
    plan: SessionPlan, inputs: AthleteInputs, known: Known, day: Day, work: Sequence[Named]
) -> tuple[dict[str, Any], Worked]:
    """The probability of each condition with the override and with what would be prescribed without it; and the
    override worked out.
    """
    ours = work_out(plan, inputs, known, day)
    theirs = work_out(plan, inputs, known, day, work)
    without = {(key, one.index): one.probability for key, one in _conditions(ours)}
    cost = {
        "conditions": [
            {
                "block": key,
                "kind": one.kind,
                "work": one.work,
                "lower": one.lower,
                "upper": one.upper,
                "by": one.by,
                "with_override": one.probability,
                "without": without.get((key, one.index)),
                "reason": one.reason,
            }
            for key, one in _conditions(theirs)
        ],
        "all_with_override": {key: result.p_all for key, result in theirs.results.items()},
        "all_without": {key: result.p_all for key, result in ours.results.items()},
    }
    return cost, theirs


def _conditions(worked: Worked) -> list[tuple[str, Any]]:
    return [(key, one) for key, result in worked.results.items() for one in result.conditions]
