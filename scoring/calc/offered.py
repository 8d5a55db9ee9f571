"""What a coach may confirm where attempts at a maximum are not prescribed: their loads, and the ramp to the first."""

from dataclasses import replace

from programming.calc.arrays import FloatArray
from scoring.calc.choice import Choice
from scoring.calc.effort import Budget
from scoring.calc.prescription import ALTERNATIVES, PrescriptionResult, Reason
from scoring.calc.rising import is_hopeless, rising_loads
from scoring.calc.warm_up import warm_up_ramp


def with_offer(
    refused: PrescriptionResult,
    choice: Choice,
    multiplier: FloatArray,
    *,
    to_failure: bool,
    budget: Budget | None = None,
) -> PrescriptionResult:
    """The refused answer with the attempts that a coach may confirm, the opener being what comes closest.

    As it is where it was refused for something else, where attempts do not rise, or nothing may go to failure. Where
    a miss is to be expected with every load, there is nothing to confirm, and that is the reason.
    """
    asked = any(reason.code == "maximal_attempt_needs_coach" for reason in refused.reasons)
    if asked and is_hopeless(choice.block, choice.judged[0]):
        too_hard = Reason("too_hard_at_easiest", choice.block.work[0].key)
        return replace(refused, reasons=(too_hard,), alternatives=(ALTERNATIVES[too_hard.code],), warm_up=())
    rising = None
    if asked and to_failure and refused.closest:
        rising = rising_loads(choice.block, choice.judged[0], multiplier, budget)
    if rising is None:
        return refused
    options = choice.judged[0]
    opener = next(one for one in options if one.candidate.option == rising.attempts[0].option)
    kind, closest = opener.candidate, refused.closest[0]
    seen = replace(closest, option=kind.option, is_as_written=kind.is_as_written, is_novel=kind.is_novel)
    listed = [one.candidate.option for one in options]
    return replace(
        refused,
        closest=(seen,),
        reasons=(*refused.reasons, *([Reason("works_up_lightly", closest.work)] if rising.is_light else [])),
        warm_up=warm_up_ramp(closest.work, kind.option, listed, opener.spread.p10, always=True),
        attempts=rising.attempts,
    )
