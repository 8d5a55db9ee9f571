"""A coach's loads for attempts: the block's forecast with them, and the ramp to the opener. No database."""

from __future__ import annotations

from collections.abc import Sequence

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.effort import Budget
from scoring.calc.first_set import first_windows, view
from scoring.calc.prescription import ChosenOption, PrescriptionResult, RuledOut
from scoring.calc.rising import attempts_of
from scoring.calc.rising_block import foresee_attempts
from scoring.calc.warm_up import warm_up_ramp


def with_loads(
    written: Block,
    own: Block,
    candidates: Sequence[Candidate],
    multiplier: FloatArray,
    available: Sequence[Option],
    *,
    ruled_out: Sequence[RuledOut] = (),
    budget: Budget | None = None,
) -> PrescriptionResult:
    """The answer for a block of attempts with one candidate for each, in order.

    own: the block with the coach's amounts; available: all that can be set up, for the ramp.
    """
    item = own.work[0]
    found = foresee_attempts(own, candidates, multiplier=multiplier, budget=budget)
    seen, opener = found.seen, found.seen.judged[0]
    as_written = all(one.is_as_written for one in candidates)
    return PrescriptionResult(
        feasible=True,
        chosen=(
            ChosenOption(
                item.key, opener.candidate.option, as_written, opener.candidate.is_novel, item.amount,
                item.unit, item.amount == written.work[0].amount,
            ),
        ),
        closest=(),
        forecast=seen.forecast,
        conditions=seen.conditions,
        p_all=seen.p_all,
        candidates=tuple(view(item.key, one, first_windows(written, item.key)) for one in seen.judged),
        ruled_out=tuple(ruled_out),
        reasons=(),
        alternatives=(),
        check_sets=(),
        warm_up=warm_up_ramp(
            item.key, opener.candidate.option, available, opener.spread.p10, always=True
        ),
        attempts=attempts_of(own, [one.option for one in candidates], found.probabilities),
    )  # fmt: skip
