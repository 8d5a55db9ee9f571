"""The prescription of a block for one athlete: the option of each work item that best serves the aim.

Objective: expected loss over the aim's conditions on one common set of scenarios (see ``scoring.calc.loss``),
plus small costs of leaving the version as written and of a version never done. First-set windows look at each
item alone and leave a shortlist; later sets and time couple the items, so the combinations of the shortlists
are forecast jointly, each with its own best pacing; a condition that the best of them hardly ever meets is
refused as out of reach. Time is seconds and n* repetitions, so that the unit of load cannot matter.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from scoring.calc.combination import Setting, best_combination, condition_values
from scoring.calc.first_set import (
    Judged,
    check_set,
    closest,
    first_windows,
    infeasibility,
    judge,
    ladder,
    least_probability,
    shortlist,
    view,
)
from scoring.calc.forecast import Scenarios, forecast_block, run_policy
from scoring.calc.loss import in_window
from scoring.calc.prescription import (
    ALTERNATIVES,
    Candidate,
    CandidateView,
    ChosenOption,
    ConditionForecast,
    PrescriptionResult,
    Reason,
    ReasonCode,
    RuledOut,
)
from scoring.calc.simulation import FINISHED, Runs


def prescribe(
    block: Block,
    candidates: Mapping[str, Sequence[Candidate]],
    *,
    multiplier: FloatArray,
    seconds: Sequence[float] | None = None,
    ruled_out: Sequence[RuledOut] = (),
) -> PrescriptionResult:
    """Prescribe a block.

    candidates: by work key, each with fresh (N,) under common scenarios; multiplier (N,) of the slow fatigue;
    seconds per repetition (M,) in the block's order. Raises ValueError when arrays do not fit.
    """
    windows = [first_windows(block, item.key) for item in block.work]
    judged = [
        judge(candidates.get(item.key, ()), wanted) for item, wanted in zip(block.work, windows, strict=True)
    ]
    impossible = [
        reason
        for item, options, wanted in zip(block.work, judged, windows, strict=True)
        if (reason := infeasibility(item.key, options, wanted)) is not None
    ]
    refused = {reason.work for reason in impossible}
    short = [
        [closest(options)] if item.key in refused and options else shortlist(options, wanted)
        for item, options, wanted in zip(block.work, judged, windows, strict=True)
    ]
    views = tuple(
        view(item.key, one, wanted, any(one is listed for listed in chosen))
        for item, options, wanted, chosen in zip(block.work, judged, windows, short, strict=True)
        for one in options
    )
    if not all(judged):
        return _refused(impossible, (), (), None, views, ruled_out)
    setting = Setting(block, multiplier, seconds)
    ladders = [[] if wanted else ladder(options) for options, wanted in zip(judged, windows, strict=True)]
    best = best_combination(setting, short, ladders)
    scenarios = setting.scenarios(best.options)
    runs = run_policy(block, scenarios, best.policy)
    conditions, p_all = _probabilities(block, scenarios, runs)
    chosen_options = _chosen(block, best.options)
    impossible = impossible or _out_of_reach(conditions, best.options)
    if impossible:
        return _refused(impossible, chosen_options, conditions, p_all, views, ruled_out)
    checks = tuple(
        check
        for item, one, options, wanted in zip(block.work, best.options, judged, windows, strict=True)
        if (check := check_set(item.key, one, options, wanted)) is not None
    )
    return PrescriptionResult(
        feasible=True,
        chosen=chosen_options,
        closest=(),
        forecast=forecast_block(block, scenarios, best.policy, runs),
        conditions=conditions,
        p_all=p_all,
        candidates=views,
        ruled_out=tuple(ruled_out),
        reasons=tuple(Reason("uncertain_capacity", check.work) for check in checks),
        alternatives=(),
        check_sets=checks,
    )


def _out_of_reach(conditions: Sequence[ConditionForecast], options: Sequence[Judged]) -> list[Reason]:
    """The conditions that the best combination hardly ever meets: first sets were judged over all options."""
    least = least_probability(options)
    codes: dict[str, ReasonCode] = {"time": "time_out_of_reach", "later_sets": "later_sets_out_of_reach"}
    found = [
        Reason(codes[one.kind], one.work)
        for one in conditions
        if one.kind in codes and one.probability < least
    ]
    return list(dict.fromkeys(found))


def _refused(
    reasons: Sequence[Reason],
    closest: tuple[ChosenOption, ...],
    conditions: tuple[ConditionForecast, ...],
    p_all: float | None,
    views: tuple[CandidateView, ...],
    ruled_out: Sequence[RuledOut],
) -> PrescriptionResult:
    """An answer too: why not, what came closest, what to offer instead."""
    return PrescriptionResult(
        feasible=False,
        chosen=(),
        closest=closest,
        forecast=None,
        conditions=conditions,
        p_all=p_all,
        candidates=views,
        ruled_out=tuple(ruled_out),
        reasons=tuple(reasons),
        alternatives=tuple(dict.fromkeys(ALTERNATIVES[reason.code] for reason in reasons)),
        check_sets=(),
    )


def _chosen(block: Block, options: Sequence[Judged]) -> tuple[ChosenOption, ...]:
    return tuple(
        ChosenOption(item.key, one.candidate.option, one.candidate.is_as_written, one.candidate.is_novel)
        for item, one in zip(block.work, options, strict=True)
    )


def _probabilities(
    block: Block, scenarios: Scenarios, runs: Runs
) -> tuple[tuple[ConditionForecast, ...], float]:
    """Probability of each condition, and of all at once; unfinished work has no score in any window."""
    every = np.ones(len(runs.state))
    forecasts = []
    for index, condition in enumerate(block.aim.conditions):
        holds = in_window(*condition_values(block, condition, scenarios, runs))
        if condition.kind == "time":
            holds = holds * (runs.state == FINISHED)
        every = every * holds
        forecasts.append(
            ConditionForecast(
                index, condition.kind, condition.work, condition.lower, condition.upper,
                round(float(holds.mean()), 3),
            )
        )  # fmt: skip
    return tuple(forecasts), round(float(every.mean()), 3)
