"""The forecast of a block for one athlete: pacing, score, breaks and sets under N common scenarios.

A scenario is one draw of the fresh repetitions of each work item and of the athlete's fatigue multiplier. The
pacing policy (share of the repetitions available, own rest) with the lowest mean score is taken from a small
grid, among those that keep the aim's windows of later sets about as likely as any policy can. The grid is
compared on a few scenarios; the forecast comes from all of them. Nothing here is random: the scenarios are
passed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any, Final

import numpy as np

from programming.calc.arrays import FloatArray, IntArray
from programming.calc.revision import Block
from programming.calc.rules import RuleCodes, rule_codes
from scoring.calc.simulation import FINISHED, Runs, run_all, run_scenario, score_policies

FORECAST_VERSION: Final = 1

# One repetition of a body-weight or light-load movement at a working pace: common practice, no source.
SECONDS_PER_REPETITION: Final = 2.0
# Shares below 0.6 only add penalties, own rests above three minutes only add seconds in work for time.
SHARES: Final = (0.6, 0.7, 0.8, 0.9, 1.0)
OWN_RESTS_S: Final = (20.0, 40.0, 60.0, 90.0, 150.0)
# Scenarios that compare the grid: the best policy's mean differs by under 1 % from that of all scenarios.
PLAN_SCENARIOS: Final = 32
# A policy keeps the windows of later sets when it is within this of the most that any policy reaches.
LATER_TOLERANCE: Final = 0.05

LEVELS: Final = tuple(round(0.05 * step, 2) for step in range(1, 20))
LOW, MIDDLE, HIGH = LEVELS.index(0.1), LEVELS.index(0.5), LEVELS.index(0.9)


@dataclass(frozen=True)
class Spread:
    """Quantiles of a quantity over the scenarios."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class PlannedSet:
    """One set of the plan: whole repetitions and whole seconds."""

    work: str
    repetitions: int
    rest_before_s: int


@dataclass(frozen=True)
class WorkForecast:
    """One work item: fresh repetitions available, the smallest and the largest later set if there is one."""

    work: str
    fresh: Spread
    smallest_later: Spread | None
    largest_later: Spread | None


@dataclass(frozen=True)
class BlockForecast:
    """What is foreseen of a block for one athlete on one version of the work.

    score_quantiles: seconds at LEVELS, None where the scenario does not finish in time; p_finish: share of
    scenarios that do; share, own_rest_s: the policy; plan: the policy in the middle scenario, empty when that
    scenario has not one repetition; scenarios: N.
    """

    score_quantiles: tuple[float | None, ...]
    p_finish: float
    breaks: Spread
    share: float
    own_rest_s: float
    work: tuple[WorkForecast, ...]
    plan: tuple[PlannedSet, ...]
    scenarios: int
    version: int = FORECAST_VERSION

    @property
    def p10(self) -> float | None:
        """Score with a good day."""
        return self.score_quantiles[LOW]

    @property
    def p50(self) -> float | None:
        """Score in the middle."""
        return self.score_quantiles[MIDDLE]

    @property
    def p90(self) -> float | None:
        """Score with a bad day."""
        return self.score_quantiles[HIGH]

    def to_json(self) -> dict[str, object]:
        """Plain JSON values."""
        return asdict(self)

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "BlockForecast":
        """What `to_json` gave, also after JSON text; KeyError or TypeError for anything else."""
        nested = {
            "score_quantiles": tuple(stored["score_quantiles"]),
            "breaks": Spread(**stored["breaks"]),
            "work": tuple(
                WorkForecast(
                    part["work"], Spread(**part["fresh"]), _stored_spread(part["smallest_later"]),
                    _stored_spread(part["largest_later"]),
                )
                for part in stored["work"]
            ),
            "plan": tuple(PlannedSet(**one) for one in stored["plan"]),
        }  # fmt: skip
        return cls(**{**stored, **nested})


@dataclass(frozen=True, eq=False)
class Scenarios:
    """Common scenarios of a block: fresh (N, M) repetitions, multiplier (N,), seconds per repetition (M,)."""

    fresh: FloatArray
    multiplier: FloatArray
    seconds: FloatArray

    def subset(self, count: int) -> "Scenarios":
        """`count` of the scenarios, spread so that no regular order among them is aliased."""
        rows = _spread_rows(len(self.multiplier), count)
        return Scenarios(self.fresh[rows], self.multiplier[rows], self.seconds)


@lru_cache(maxsize=64)
def _spread_rows(total: int, count: int) -> IntArray:
    """The first `count` multiples of a step near the golden section of `total`, prime to it."""
    if count >= total:
        return np.arange(total)
    step = next(s for s in range(max(1, round(0.618 * total)), 2 * total) if np.gcd(s, total) == 1)
    return np.sort((np.arange(count) * step) % total)


def make_scenarios(
    fresh: Sequence[FloatArray], multiplier: FloatArray, seconds: Sequence[float] | None = None
) -> Scenarios:
    """Check and stack: one (N,) array of fresh repetitions per work item, in the block's order.

    The arrays of two items should come from independent uniforms, unless the same movement is meant.
    Raises ValueError on other shapes and on values that are not finite or not in their range.
    """
    stacked = np.column_stack([np.asarray(values, dtype=float) for values in fresh])
    pace = (
        np.full(stacked.shape[1], SECONDS_PER_REPETITION) if seconds is None else np.asarray(seconds, float)
    )
    m = np.ascontiguousarray(multiplier, dtype=float)
    if m.shape != stacked.shape[:1] or not m.size or pace.shape != stacked.shape[1:]:
        raise ValueError(f"fresh {stacked.shape}, multiplier {m.shape}, seconds {pace.shape} do not fit")
    finite = np.isfinite(stacked).all() and np.isfinite(m).all() and np.isfinite(pace).all()
    if not finite or stacked.min() < 0.0 or m.min() < 0.0 or pace.min() <= 0.0:
        raise ValueError("repetitions and multipliers must be finite and not negative, seconds positive")
    return Scenarios(np.ascontiguousarray(stacked), m, pace)


def work_array(block: Block) -> IntArray:
    """Repetitions of each item (M,)."""
    return np.array([item.repetitions for item in block.work], dtype=np.int64)


def later_windows(block: Block) -> FloatArray:
    """Tightest window of later sets of each item (M, 2), infinite where open."""
    windows = np.tile([-np.inf, np.inf], (len(block.work), 1))
    for condition in block.aim.conditions:
        if condition.kind == "later_sets" and condition.work is not None:
            item = block.index_of(condition.work)
            if condition.lower is not None:
                windows[item, 0] = max(windows[item, 0], condition.lower)
            if condition.upper is not None:
                windows[item, 1] = min(windows[item, 1], condition.upper)
    return windows


@dataclass(frozen=True)
class Policy:
    """How to pace: share of the repetitions available, seconds since the own last set."""

    share: float
    own_rest_s: float


GRID: Final = np.array([(share, rest) for share in SHARES for rest in OWN_RESTS_S])
# No set planned to failure: about one repetition in ten is always left.
BELOW_FAILURE_SHARE: Final = 0.9
BELOW_FAILURE_GRID: Final = GRID[GRID[:, 0] <= BELOW_FAILURE_SHARE]


def best_policy(block: Block, scenarios: Scenarios, grid: FloatArray = GRID) -> Policy:
    """The policy of the grid (P, 2) with the lowest mean projected score inside the aim's later windows."""
    few = scenarios.subset(PLAN_SCENARIOS)
    judged = score_policies(
        rule_codes(block.rules), work_array(block), few.seconds, few.fresh, few.multiplier, grid,
        later_windows(block),
    )  # fmt: skip
    allowed = judged[:, 1] >= judged[:, 1].max() - LATER_TOLERANCE
    best = int(np.argmin(np.where(allowed, judged[:, 0], np.inf)))
    return Policy(float(grid[best, 0]), float(grid[best, 1]))


def run_policy(block: Block, scenarios: Scenarios, policy: Policy) -> Runs:
    """All scenarios under one policy."""
    return run_all(
        rule_codes(block.rules), work_array(block), scenarios.seconds, scenarios.fresh, scenarios.multiplier,
        policy.share, policy.own_rest_s,
    )  # fmt: skip


def forecast_block(
    block: Block, scenarios: Scenarios, policy: Policy | None = None, runs: Runs | None = None
) -> BlockForecast:
    """Forecast a block; the policy is chosen unless given, `runs` are its runs when already made."""
    chosen = policy or best_policy(block, scenarios)
    runs = runs or run_policy(block, scenarios, chosen)
    codes = rule_codes(block.rules)
    finished = runs.state == FINISHED
    scores = np.where(finished, runs.elapsed_s + codes.penalty_s * runs.breaks, np.inf)
    work = tuple(
        WorkForecast(
            item.key, _spread(scenarios.fresh[:, index]),
            _later_spread(runs.later[:, index, 0]), _later_spread(runs.later[:, index, 1]),
        )
        for index, item in enumerate(block.work)
    )  # fmt: skip
    return BlockForecast(
        score_quantiles=_score_table(scores),
        p_finish=float(finished.mean()),
        breaks=_spread(runs.breaks),
        share=chosen.share,
        own_rest_s=chosen.own_rest_s,
        work=work,
        plan=plan_sets(block, scenarios, chosen, codes),
        scenarios=len(scores),
    )


def plan_sets(
    block: Block, scenarios: Scenarios, policy: Policy, codes: RuleCodes | None = None
) -> tuple[PlannedSet, ...]:
    """The sets of the middle scenario: median repetitions of every item, median multiplier."""
    fresh = np.median(scenarios.fresh, axis=0)
    return trace_sets(block, fresh, float(np.median(scenarios.multiplier)), scenarios.seconds, policy, codes)[
        0
    ]


def trace_sets(
    block: Block, fresh: FloatArray, multiplier: float, seconds: FloatArray, policy: Policy,
    codes: RuleCodes | None = None,
) -> tuple[tuple[PlannedSet, ...], float, bool]:  # fmt: skip
    """One scenario set by set: (sets, elapsed seconds, all done)."""
    work = work_array(block)
    trace = np.zeros((int(work.sum()), 3))
    outcome = run_scenario(
        codes or rule_codes(block.rules), work, seconds, fresh, multiplier, policy.share, policy.own_rest_s,
        np.zeros((len(work), 2)), trace,
    )  # fmt: skip
    sets = tuple(
        PlannedSet(block.work[int(item)].key, int(repetitions), round(rest))
        for item, repetitions, rest in trace[: outcome.sets]
    )
    return sets, outcome.elapsed_s, outcome.state == FINISHED


def _score_table(scores: FloatArray) -> tuple[float | None, ...]:
    """Quantiles at LEVELS; the lower of two neighbours, so that no infinite score is averaged in."""
    table = np.quantile(scores, LEVELS, method="lower")
    return tuple(round(float(value), 1) if np.isfinite(value) else None for value in table)


def _spread(values: FloatArray | IntArray) -> Spread:
    p10, p50, p90 = np.quantile(values, (0.1, 0.5, 0.9))
    return Spread(round(float(p10), 2), round(float(p50), 2), round(float(p90), 2))


def _later_spread(values: FloatArray) -> Spread | None:
    """Over the scenarios that have a later set; None when at most half of them do."""
    with_set = values[np.isfinite(values)]
    return _spread(with_set) if 2 * len(with_set) > len(values) else None


def _stored_spread(stored: Mapping[str, float] | None) -> Spread | None:
    return None if stored is None else Spread(**stored)
