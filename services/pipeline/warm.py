"""Compile the numeric kernels before the first task needs them, once for all children of a worker."""

from time import perf_counter
from typing import Any

import numpy as np

from athletes.calc.available import available_before
from athletes.calc.capacity import Observation, Prior, Work, estimate_capacity, one_rm, sample_lifts
from athletes.calc.hold import estimate_hold
from athletes.calc.hold_forecast import load_for_a_minute
from athletes.calc.multiplier import Able, SetsDone, learn
from athletes.calc.smooth import course_of_load
from athletes.calc.tired import spent_before
from programming.calc.document import parse_revision
from programming.calc.movement_prior import HoldStart
from programming.calc.rule_codes import NO_ITEM
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine
from scoring.calc.explicit import ListedSet, read_list
from scoring.calc.forecast import forecast_block, make_scenarios
from scoring.calc.next_set import Policy
from scoring.calc.plan_choice import best_plan, is_better
from scoring.calc.prescribe import prescribe
from scoring.person import common_draws

_ITEM = {"movement": "any", "repetitions": 30, "variations": [], "as_written": {"variation": "any"}}
_RIDE = {"movement": "ride", "energy_kcal": 10, "variations": [], "as_written": {"variation": "any"}}


def _doc(second: dict[str, Any], end: dict[str, Any], scored: str) -> dict[str, Any]:
    penalty = {"penalty_s": 30} if scored == "time" else {"penalty_repetitions": 1}
    rules = {
        "order": "in_sequence",
        "break": {"counts": "set_ended_early", "penalty": "added", **penalty},
        "end": end,
        "scored": scored,
        "tie_break": "fewest_breaks",
    }
    aim = [
        {"kind": "first_set", "work": "a", "lower": 8, "upper": 20},
        {"kind": "share_of_available", "upper": 95},
    ]
    work = [{"key": "a", **_ITEM}, {"key": "b", **second}]
    block = {"key": "main", "work": work, "rules": rules, "aim": {"conditions": aim}}
    return {"title": "warm", "texts": {}, "quality": "local_muscular_endurance", "blocks": [block]}


_PACED = Policy(0.8, 40.0)
# For time and for an amount, with and without cyclical work: every path that is compiled on its own.
_DOCS = (
    _doc(_ITEM, {"kind": "work_done", "cap_s": 1200}, "time"),
    _doc(_RIDE, {"kind": "fixed_time", "time_s": 300}, "repetitions"),
)


def warm_up() -> float:
    """Run small capacities and two small prescriptions; the seconds it took."""
    started = perf_counter()
    warm_capacity()
    warm_prescribing()
    return perf_counter() - started


def warm_capacity() -> None:
    """What is learned of an athlete, and told of it."""
    seen = [
        Observation(1, 60.0, 10.0, "to_failure"),
        Observation(2, 60.0, 8.0, "at_least"),
        Observation(3, 60.0, 8.0, "rir", 2.0, variation="another"),
    ]
    # The filter for one unknown beside strength, and the one for more.
    estimate_capacity(Prior(np.log(60.0), 0.4, np.log(0.025), 0.19), seen[:2], day=3)
    capacity = estimate_capacity(Prior(np.log(60.0), 0.4, np.log(0.025), 0.19), seen, day=3)
    # How it went up to there.
    course_of_load(Prior(np.log(60.0), 0.4, np.log(0.025), 0.19), seen, [1, 3], "")
    # With a hard session before it, whose soreness is felt.
    estimate_capacity(Prior(np.log(60.0), 0.4, np.log(0.025), 0.19), seen, day=3, work=[Work(1, 60.0, 60.0)])
    # Slow fatigue, learned from a set that went to failure, and what was available before it.
    done = SetsDone(np.zeros(1, np.int64), np.zeros(1), np.ones(1), np.ones(1), np.zeros(1, np.int64))
    able = Able(np.full((2, 1), 5.0), np.full((2, 1), 0.03), np.ones((1, 1)))
    learn([(done, able)])
    available_before(done, able, 0.5)
    # What was spent before a set that failed late.
    pair = np.zeros(2, np.int64)
    spent_before(SetsDone(pair, np.array([0.0, 60.0]), np.ones(2), np.ones(2), pair))
    # What a prescription draws, and a basis tells, of a capacity: mixtures of both forms.
    sample_lifts(capacity, 60.0, np.full((1, 2), 0.5))
    one_rm(capacity)
    load_for_a_minute(estimate_hold(HoldStart(np.log(60.0), 0.3, np.log(0.5), 0.25), (), day=3))


def warm_prescribing() -> None:
    """The search among options, with and without cyclical work."""
    draws = common_draws(2)
    option, count = Option("any", None, None, None, 60.0), len(draws.multiplier)
    lifts = [[Candidate(option, 12.0 + 4.0 * u[:, 1])] for u in draws.movements]
    engine = Engine(np.full(count, 200.0), np.full(count, 15_000.0), "power", work_j_per_kcal=1000.0)
    ride = Candidate(option, np.full(count, np.inf), kind="cyclical", engine=engine)
    for doc, second in zip(_DOCS, (lifts[1], [ride]), strict=True):
        candidates = {"a": lifts[0], "b": second}
        block = parse_revision(doc).blocks[0]
        prescribe(block, candidates, multiplier=draws.multiplier, volume_caps={"a": 50.0})
        # What if it is done in sets that somebody has written down.
        scenarios = make_scenarios(block, [one[0] for one in candidates.values()], draws.multiplier)
        forecast_block(block, scenarios, read_list(block, [ListedSet(0, 5.0, 0.0)]))
        if scenarios.items.engine == NO_ITEM:
            # Sets that are chosen one by one.
            plan, _ = best_plan(block, scenarios, _PACED, 1.0)
            if plan is not None:
                is_better(block, scenarios, plan, _PACED)
