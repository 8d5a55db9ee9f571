"""Compile the numeric kernels before the first task needs them, once for all children of a worker."""

from time import perf_counter

import numpy as np

from athletes.calc.capacity import Observation, Prior, estimate_capacity, sample_repetitions
from programming.calc.document import parse_revision
from programming.calc.variation import Option
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import Candidate
from scoring.candidates import common_draws

_ITEM = {"movement": "any", "repetitions": 30, "variations": [], "as_written": {"variation": "any"}}
_BLOCK = {
    "key": "main",
    "work": [{"key": "a", **_ITEM}, {"key": "b", **_ITEM}],
    "rules": {
        "order": "swap_on_break",
        "break": {"counts": "set_ended_early", "penalty_s": 30, "penalty": "added"},
        "end": {"kind": "work_done", "cap_s": 1200},
        "scored": "time",
        "tie_break": "fewest_breaks",
    },
    "aim": {"conditions": [{"kind": "first_set", "work": "a", "lower": 8, "upper": 20}]},
}
_DOC = {"title": "warm", "texts": {}, "quality": "local_muscular_endurance", "blocks": [_BLOCK]}


def warm_up() -> float:
    """Run one small capacity and one small prescription; the seconds it took."""
    started = perf_counter()
    draws = common_draws(2)
    seen = [Observation(1, 60.0, 10.0, "to_failure"), Observation(2, 60.0, 8.0, "at_least")]
    capacity = estimate_capacity(Prior(np.log(60.0), 0.4, np.log(0.025), 0.19), seen, day=3)
    candidates = {
        key: [Candidate(Option("any", None, None, None, 60.0), sample_repetitions(capacity, 60.0, u))]
        for key, u in zip(("a", "b"), draws.movements, strict=True)
    }
    prescribe(parse_revision(_DOC).blocks[0], candidates, multiplier=draws.multiplier)
    return perf_counter() - started
