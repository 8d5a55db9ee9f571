"""The calculation alone: compiled; for comparison the same code interpreted (NUMBA_DISABLE_JIT=1), and the plain
versions of services.bench.plain.

`python -m services.bench.calculation <repetitions>` prints one JSON line; no Django is needed for it.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from statistics import median
from typing import Final

import numpy as np
from scipy.stats import qmc

from athletes.calc.capacity import (
    Capacity,
    Kind,
    Observation,
    Work,
    estimate_capacity,
    published_prior,
    sample_lifts,
)
from athletes.calc.fatigue import slow_multipliers
from athletes.calc.load import Days
from athletes.calc.load_history import load_history
from athletes.calc.running_load import RunningLoad, figures
from programming.calc.arrays import FloatArray
from programming.calc.document import parse_revision
from programming.calc.variation import Option
from scoring.calc.choice import Choice, choose_from
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import Candidate, PrescriptionResult
from services.bench.plain import SCENARIOS as PLAIN_SCENARIOS
from services.bench.plain import pandas_load, plain_capacity, plain_choice, plain_load, plain_pacing

ROOT: Final = Path(__file__).resolve().parents[2]
OBSERVATIONS: Final = 500
LOAD_DAYS: Final = 3652
OPTIONS: Final = 6  # of each of two work items
SCENARIOS: Final = 1024

AMOUNT: Final = 60
FIRST_SET: Final = (12, 20)
PENALTY_S: Final = 30.0
_ITEM = {"repetitions": AMOUNT, "as_written": {"variation": "any"}}
_BLOCK = {
    "key": "main",
    "work": [{"key": "a", "movement": "rows", **_ITEM}, {"key": "b", "movement": "squats", **_ITEM}],
    "rules": {
        "order": "swap_on_break",
        "break": {"counts": "set_ended_early", "penalty_s": PENALTY_S, "penalty": "added"},
        "end": {"kind": "work_done", "cap_s": 1800},
        "scored": "time",
        "tie_break": "fewest_breaks",
    },
    "aim": {
        "conditions": [
            {"kind": "first_set", "work": "a", "lower": FIRST_SET[0], "upper": FIRST_SET[1]},
            {"kind": "first_set", "work": "b", "lower": FIRST_SET[0], "upper": FIRST_SET[1]},
            {"kind": "later_sets", "work": "a", "lower": 6, "upper": None},
            {"kind": "time", "lower": 300, "upper": 1200},
        ]
    },
}
_DOC = {"title": "Measured", "texts": {}, "quality": "local_muscular_endurance", "blocks": [_BLOCK]}


@dataclass(frozen=True)
class Timed:
    """Seconds of each run of each round, and a number of the result by which two ways of computing are compared."""

    rounds: list[list[float]]
    value: float

    @property
    def seconds(self) -> list[float]:
        """Of the quickest round: the same computation takes longer only where something else disturbed it (the advice
        of the standard library's timeit), and the speed of a shared machine changes within minutes."""
        return min(self.rounds, key=median)


def history() -> list[Observation]:
    """500 observations over two years of one athlete, as tests and sets tell them."""
    draw = np.random.default_rng(7)
    loads = draw.uniform(40.0, 90.0, OBSERVATIONS)
    seen = np.clip(np.log(110.0 / loads) / 0.026 + draw.normal(0.0, 1.5, OBSERVATIONS), 1.0, 60.0).round()
    kinds: tuple[Kind, ...] = ("to_failure", "at_least", "rir")
    return [
        Observation(int(1.4 * n), float(load), float(count), kind, 2.0 if kind == "rir" else None)
        for n, (load, count) in enumerate(zip(loads, seen, strict=True))
        for kind in (kinds[n % 3],)
    ]


def work_done() -> list[Work]:
    """500 sessions of the movement over the same two years, every eighth with three sets of ten to failure."""
    draw = np.random.default_rng(13)
    return [
        Work(int(1.4 * n), float(draw.integers(30, 60)), 30.0 if n % 8 == 0 else 0.0)
        for n in range(OBSERVATIONS)
    ]


def estimate(observations: list[Observation], work: Sequence[Work] = ()) -> Capacity:
    return estimate_capacity(published_prior(70.0), observations, day=760, work=work)


def load_days() -> Days:
    """Ten years of daily loads in AU."""
    draw = np.random.default_rng(17)
    loads = np.where(draw.random(LOAD_DAYS) < 0.4, 0.0, draw.integers(100, 900, LOAD_DAYS)).astype(np.float64)
    return Days(0, loads, np.ones(LOAD_DAYS, dtype=np.bool_))


def after_all(days: Days) -> RunningLoad:
    return RunningLoad().after_all(days.loads.tolist())


def one_more_day(days: Days) -> Callable[[], object]:
    """One day after ten years, with all its figures."""
    state = after_all(days)
    return lambda: figures(state.after(300.0))


def candidates_of(capacity: Capacity) -> tuple[dict[str, list[Candidate]], FloatArray]:
    """Six options of each of two work items under 1024 scenarios, and the multipliers of the slow fatigue."""
    points = qmc.Sobol(d=5, scramble=True, rng=np.random.default_rng(11)).random(SCENARIOS)
    candidates = {}
    for key, u in (("a", points[:, :2]), ("b", points[:, 2:4])):
        options = [Option(f"{key}{n}", None, None, None, 45.0 + 6.0 * n) for n in range(OPTIONS)]
        drawn = [sample_lifts(capacity, one.effective_kg, u) for one in options]
        candidates[key] = [
            Candidate(one, lifts.repetitions, per_unit=lifts.per_repetition)
            for one, lifts in zip(options, drawn, strict=True)
        ]
    return candidates, slow_multipliers(points[:, 4])


def prescribing(capacity: Capacity) -> Callable[[], PrescriptionResult]:
    """The call that chooses among them."""
    candidates, multiplier = candidates_of(capacity)
    block = parse_revision(_DOC).blocks[0]
    return partial(prescribe, block, candidates, multiplier=multiplier)


def choosing(capacity: Capacity) -> Callable[[], Choice]:
    """The same choice as far as the first sets decide it: without pacing."""
    candidates, _ = candidates_of(capacity)
    block = parse_revision(_DOC).blocks[0]
    return partial(choose_from, block, candidates, (), coach_approved=False)


def choosing_plainly(capacity: Capacity) -> Callable[[], float]:
    """The plain call over the same options and scenarios; the load that is chosen, of both items together [kg]."""
    candidates, _ = candidates_of(capacity)
    fresh = [[one.fresh.tolist() for one in options] for options in candidates.values()]

    def chosen() -> float:
        taken = [plain_choice(draws, *FIRST_SET, None) for draws in fresh]
        pairs = zip(candidates.values(), taken, strict=True)
        return sum(options[number].option.effective_kg for options, number in pairs)

    return chosen


def pacing_plainly(capacity: Capacity) -> Callable[[], float]:
    """The plain call over the same options and scenarios; it looks for the time alone, at no window of sets."""
    candidates, multiplier = candidates_of(capacity)
    fresh = [[one.fresh[:PLAIN_SCENARIOS].tolist() for one in options] for options in candidates.values()]
    return partial(plain_pacing, fresh, multiplier[:PLAIN_SCENARIOS].tolist(), AMOUNT, PENALTY_S)


def seconds_of(call: Callable[[], object], repetitions: int) -> list[float]:
    """Seconds of each run."""
    seconds = []
    for _ in range(repetitions):
        started = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - started)
    return seconds


def measure(repetitions: int, rounds: int) -> dict[str, Timed]:
    """Rounds of all calls in turn; one call of each before them compiles and is not counted."""
    observations, work = history(), work_done()
    capacity, tired = estimate(observations), estimate(observations, work)
    known = estimate(observations[:12])
    call, choose = prescribing(known), choosing(known)
    days = load_days()
    p_all = call().p_all
    calls: dict[str, tuple[Callable[[], object], float]] = {
        "capacity": (partial(estimate, observations), float(capacity.weight @ capacity.mean)),
        "capacity_work": (partial(estimate, observations, work), float(tired.weight @ tired.mean)),
        "choice": (choose, sum(one.candidate.option.effective_kg for one in choose().best_alone)),
        "prescription": (call, -1.0 if p_all is None else p_all),
        "load": (partial(load_history, days), float(load_history(days).weighted_chronic.values[-1])),
        "load_day": (one_more_day(days), figures(after_all(days)).weighted_chronic.value or -1.0),
    }
    found: dict[str, list[list[float]]] = {name: [] for name in calls}
    for _ in range(rounds):
        for name, (one, _value) in calls.items():
            found[name].append(seconds_of(one, repetitions))
    return {name: Timed(found[name], value) for name, (_call, value) in calls.items()}


def measure_plain() -> dict[str, Timed]:
    """The plain versions in this process, once each."""
    observations = history()
    plain = partial(plain_capacity, published_prior(70.0), observations)
    known = estimate(observations[:12])
    pacing, choose = pacing_plainly(known), choosing_plainly(known)
    days = load_days().loads.tolist()
    return {
        "capacity": Timed([seconds_of(plain, 1)], plain()),
        "choice": Timed([seconds_of(choose, 1)], choose()),
        "prescription": Timed([seconds_of(pacing, 1)], math.nan),
        "load": Timed([seconds_of(partial(plain_load, days), 1)], plain_load(days)),
        **_by_pandas(days),
    }


def _by_pandas(days: list[float]) -> dict[str, Timed]:
    """Where it is installed; the first call is not counted."""
    if find_spec("pandas") is None:
        return {}
    value = pandas_load(days)
    return {"load_pandas": Timed([seconds_of(partial(pandas_load, days), 10)], value)}


def measure_interpreted() -> dict[str, Timed]:
    """The same in a process in which nothing is compiled, once each."""
    answer = subprocess.run(
        [sys.executable, "-m", "services.bench.calculation", "1"],
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return {name: Timed(**fields) for name, fields in json.loads(answer.stdout).items()}


if __name__ == "__main__":
    measured = measure(int(sys.argv[1]), 1)
    print(json.dumps({name: {"rounds": one.rounds, "value": one.value} for name, one in measured.items()}))
