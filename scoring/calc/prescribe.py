"""The prescription of a block for one athlete: the option of each work item that best serves the aim.

Objective: expected loss over the aim's conditions on one common set of scenarios (see ``scoring.calc.loss``),
plus small costs of leaving the version as written and of a version never done. First-set windows look at each
item alone and leave a shortlist; later sets and time couple the items, so the combinations of the shortlists
are forecast jointly, each with its own best pacing. Time is seconds and n* repetitions, so that the unit of
load cannot matter.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block, Condition
from programming.calc.rules import rule_codes
from scoring.calc.first_set import (
    Judged,
    check_set,
    first_windows,
    infeasibility,
    judge,
    shortlist,
    view,
)
from scoring.calc.forecast import Policy, Scenarios, best_policy, forecast_block, make_scenarios, run_policy
from scoring.calc.loss import Window, in_window, window_loss
from scoring.calc.prescription import (
    ALTERNATIVES,
    Candidate,
    CandidateView,
    ChosenOption,
    ConditionForecast,
    PrescriptionResult,
    Reason,
    RuledOut,
)
from scoring.calc.simulation import FINISHED, Runs

# Scenarios that compare combinations; the chosen one is forecast from all.
COMPARED: Final = 250


@dataclass(frozen=True, eq=False)
class Combination:
    """One option per work item, its pacing and its expected loss over all conditions."""

    options: tuple[Judged, ...]
    policy: Policy
    loss: float


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
    short = [
        shortlist(options, wanted) if options else [] for options, wanted in zip(judged, windows, strict=True)
    ]
    views = tuple(
        view(item.key, one, wanted, any(one is listed for listed in chosen))
        for item, options, wanted, chosen in zip(block.work, judged, windows, short, strict=True)
        for one in options
    )
    if not all(judged):
        return _refused(impossible, (), (), None, views, ruled_out)
    best = _best_combination(block, short, multiplier, seconds)
    scenarios = _scenarios(best.options, multiplier, seconds)
    runs = run_policy(block, scenarios, best.policy)
    conditions, p_all = _probabilities(block, scenarios, runs)
    chosen_options = _chosen(block, best.options)
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


def _scenarios(
    options: Sequence[Judged], multiplier: FloatArray, seconds: Sequence[float] | None
) -> Scenarios:
    return make_scenarios([one.candidate.fresh for one in options], multiplier, seconds)


def _best_combination(
    block: Block, short: Sequence[Sequence[Judged]], multiplier: FloatArray, seconds: Sequence[float] | None
) -> Combination:
    """The best of the shortlists' combinations; without a coupling condition that is the best of each."""
    coupled = [condition for condition in block.aim.conditions if condition.kind != "first_set"]
    combinations = product(*short) if coupled else [tuple(options[0] for options in short)]
    best: Combination | None = None
    for options in combinations:
        scenarios = _scenarios(options, multiplier, seconds)
        policy = best_policy(block, scenarios)
        loss = sum(one.loss for one in options)
        if coupled:
            compared = scenarios.subset(COMPARED)
            runs = run_policy(block, compared, policy)
            loss += sum(_expected_loss(block, condition, compared, runs) for condition in coupled)
        if best is None or loss < best.loss:
            best = Combination(options, policy, loss)
    if best is None:
        raise ValueError("every work item needs a candidate")
    return best


def _values(
    block: Block, condition: Condition, scenarios: Scenarios, runs: Runs
) -> tuple[FloatArray, FloatArray, Window]:
    """Lowest and highest value (N,) that the condition speaks about, and its window.

    Time: the projected score where the clock cut the work off, so that the loss knows how far it missed.
    """
    item = 0 if condition.work is None else block.index_of(condition.work)
    window = Window(condition.lower, condition.upper, low_is_hard=condition.kind != "time")
    if condition.kind == "first_set":
        return scenarios.fresh[:, item], scenarios.fresh[:, item], window
    if condition.kind == "later_sets":
        return runs.later[:, item, 0], runs.later[:, item, 1], window
    score = runs.elapsed_s + rule_codes(block.rules).penalty_s * runs.breaks
    score = score + (block.repetitions - runs.done) * runs.elapsed_s / np.maximum(runs.done, 1)
    return score, score, window


def _expected_loss(block: Block, condition: Condition, scenarios: Scenarios, runs: Runs) -> float:
    return float(window_loss(*_values(block, condition, scenarios, runs)).mean())


def _probabilities(
    block: Block, scenarios: Scenarios, runs: Runs
) -> tuple[tuple[ConditionForecast, ...], float]:
    """Probability of each condition, and of all at once; unfinished work has no score in any window."""
    every = np.ones(len(runs.state))
    forecasts = []
    for index, condition in enumerate(block.aim.conditions):
        holds = in_window(*_values(block, condition, scenarios, runs))
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
