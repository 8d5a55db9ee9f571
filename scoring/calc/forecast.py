"""The forecast of a block for one athlete: pacing, score, breaks and sets under N common scenarios.

A scenario is one draw of what is available fresh of each work item, of the athlete's fatigue multiplier, and of the
engines where there is cyclical work. The pacing policy is chosen by ``scoring.calc.pacing``; the forecast comes from
all scenarios. Each block is forecast from a fresh state. Nothing here is random: the scenarios are passed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any, Final, Literal

import numpy as np

from programming.calc.arrays import FloatArray
from programming.calc.extent import MOST_SETS
from programming.calc.plain import as_plain
from programming.calc.revision import REPETITIONS, Block, WorkItem
from scoring.calc.items import PACE, RESERVOIR, score_unit
from scoring.calc.levels import FRESH_LEVELS, LEVELS, levels_of
from scoring.calc.listed_forecast import SetThere, as_it_came
from scoring.calc.next_set import Policy
from scoring.calc.pacing import Way, best_policy, run_policy, scores_of, trace_policy
from scoring.calc.pacing_price import OtherPacing, other_pacings
from scoring.calc.scenarios import Scenarios, make_scenarios
from scoring.calc.simulation import FINISHED, LATER_HIGH, LATER_LOW, Runs
from scoring.calc.spread import Spread, lower_points, spread, spread_and_points
from scoring.calc.stops import TOLD_BY, Stops, what_stops

__all__ = [
    "FORECAST_VERSION", "FRESH_LEVELS", "LEVELS", "BlockForecast", "PlannedSet", "Policy", "Scenarios", "Spread",
    "WorkForecast", "best_policy", "forecast_block", "levels_of", "make_scenarios", "plan_sets", "run_policy",
    "trace_sets",
]  # fmt: skip

FORECAST_VERSION: Final = 3
TOO_MANY_SETS: Final = "too_many_sets"
"""Why a block has no plan: of more sets than a session may ask for nobody reads the list. A plan is whole or none."""

# Of a share of a round, so that a metre of five thousand is told.
ROUND_DIGITS: Final = 6


@dataclass(frozen=True)
class PlannedSet:
    """One set of the plan: whole units and whole seconds.

    duration_s: for cyclical work, None otherwise; interval: its number from 1, where the block has intervals;
    available: units that are possible before it, None where nothing local limits it.
    """

    work: str
    amount: float
    rest_before_s: int
    unit: str = REPETITIONS
    duration_s: int | None = None
    interval: int | None = None
    available: float | None = field(default=None, compare=False)

    @property
    def repetitions(self) -> int:
        """The amount as whole repetitions, 0 where it is counted otherwise."""
        return round(self.amount) if self.unit == REPETITIONS else 0


@dataclass(frozen=True)
class WorkForecast:
    """One work item: what is available fresh (None: nothing local limits it), the smallest and the largest later
    set if there is one; all in `unit`. fresh_quantiles: the same at FRESH_LEVELS, None until version 2 too.
    """

    work: str
    fresh: Spread | None
    smallest_later: Spread | None
    largest_later: Spread | None
    unit: str = REPETITIONS
    fresh_quantiles: tuple[float, ...] | None = None


@dataclass(frozen=True)
class BlockForecast:
    """What is foreseen of a block for one athlete on one version of the work.

    score_quantiles: of the official score at `levels` in `unit`, ascending; None where a scenario does not finish
    work for time, and throughout where nothing is scored. better: "lower" or "higher". p_finish: share of scenarios
    that do all that is asked in time. share, own_rest_s, pace, worthwhile: the policy, pace None without cyclical
    work, worthwhile 0 in what was stored before it was kept; plan: the pacing in the middle scenario, empty when
    nothing is possible in it, or of more than MOST_SETS (plan_reason); elapsed: the clock at the end. listed: where
    the sets were given, what becomes of each. Where the sets are chosen one by one, or were given, share and
    own_rest_s are those that come of them. other_pacings: what it would cost to pace it otherwise.
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
    unit: str | None = "s"
    better: Literal["lower", "higher"] = "lower"
    pace: float | None = None
    misses: Spread | None = None
    elapsed: Spread | None = None
    stops: Stops | None = None
    plan_reason: str | None = None
    listed: tuple[SetThere, ...] = ()
    other_pacings: tuple[OtherPacing, ...] = ()
    worthwhile: float = 0.0

    @property
    def stopped_by(self) -> str | None:
        """What stops the athlete; None where it was not worked out."""
        return None if self.stops is None else self.stops.by

    @property
    def levels(self) -> tuple[float, ...]:
        """What the quantiles of the score are at."""
        return levels_of(self.score_quantiles)

    @property
    def p10(self) -> float | None:
        """Score that one scenario in ten stays below: of a time a good day, of an amount a bad one."""
        return self.score_quantiles[self.levels.index(0.1)]

    @property
    def p50(self) -> float | None:
        """Score in the middle."""
        return self.score_quantiles[self.levels.index(0.5)]

    @property
    def p90(self) -> float | None:
        """Score that one scenario in ten is above."""
        return self.score_quantiles[self.levels.index(0.9)]

    def to_json(self) -> dict[str, object]:
        """Plain JSON values; of a list that was given nothing is stored."""
        stored = as_plain(self)
        del stored["listed"]
        return stored

    @classmethod
    def from_json(cls, stored: Mapping[str, Any]) -> "BlockForecast":
        """What `to_json` gave, also after JSON text by any version; KeyError or TypeError for anything else."""
        nested = {
            "score_quantiles": tuple(stored["score_quantiles"]),
            "breaks": Spread(**stored["breaks"]),
            "work": tuple(_stored_work(part) for part in stored["work"]),
            "plan": tuple(_stored_set(one) for one in stored["plan"]),
            "misses": _stored_spread(stored.get("misses")),
            "elapsed": _stored_spread(stored.get("elapsed")),
            "stops": None if stored.get("stops") is None else Stops(**stored["stops"]),
            "listed": (),  # of a list nothing is stored
            "other_pacings": tuple(OtherPacing(**one) for one in stored.get("other_pacings", ())),
        }
        return cls(**{**stored, **nested})


_SPREADS: Final = ("fresh", "smallest_later", "largest_later")


def _stored_work(stored: Mapping[str, Any]) -> WorkForecast:
    table = stored.get("fresh_quantiles")
    spreads = {name: _stored_spread(stored[name]) for name in _SPREADS}
    return WorkForecast(**{**stored, **spreads, "fresh_quantiles": None if table is None else tuple(table)})


def _stored_spread(stored: Mapping[str, float] | None) -> Spread | None:
    return None if stored is None else Spread(**stored)


def _stored_set(stored: Mapping[str, Any]) -> PlannedSet:
    if "amount" in stored:
        return PlannedSet(**stored)
    return PlannedSet(stored["work"], float(stored["repetitions"]), stored["rest_before_s"])


def forecast_block(
    block: Block,
    scenarios: Scenarios,
    policy: Way | None = None,
    runs: Runs | None = None,
    told_by: int = TOLD_BY,
    instead_of: Policy | None = None,
) -> BlockForecast:
    """Forecast a block; the policy is chosen unless given, `runs` are its runs when already made, perhaps in fewer
    scenarios. told_by: scenarios that tell what stops the athlete, and what another pacing would cost. instead_of: of
    sets that nobody has given, the policy that they were taken in place of.
    """
    chosen = policy or best_policy(block, scenarios)
    runs = runs or run_policy(block, scenarios, chosen)
    kind = scenarios.items.kind
    plan = plan_sets(block, scenarios, chosen)
    paced, listed = as_it_came(block, scenarios, chosen, runs)
    is_whole = len(plan) <= MOST_SETS
    work = tuple(_work(item, index, scenarios, runs) for index, item in enumerate(block.items))
    return BlockForecast(
        score_quantiles=_score_table(block, runs),
        p_finish=float((runs.state == FINISHED).mean()),
        breaks=spread(runs.breaks),
        share=paced.share,
        own_rest_s=paced.own_rest_s,
        work=work,
        plan=plan if is_whole else (),
        scenarios=len(runs.state),
        unit=score_unit(block),
        better="lower" if block.rules.scored in ("time", "none") else "higher",
        pace=chosen.pace if (kind == PACE).any() else None,
        misses=spread(runs.misses),
        elapsed=spread(runs.elapsed_s),
        stops=what_stops(block, scenarios, chosen, told_by, runs),
        plan_reason=None if is_whole else TOO_MANY_SETS,
        listed=listed if instead_of is None else (),
        other_pacings=other_pacings(block, scenarios.subset(told_by), chosen, runs, instead_of),
        worthwhile=paced.worthwhile,
    )


def _work(item: WorkItem, index: int, scenarios: Scenarios, runs: Runs) -> WorkForecast:
    limited = scenarios.items.kind[index] == RESERVOIR
    fresh, quantiles = spread_and_points(scenarios.fresh[:, index], FRESH_LEVELS) if limited else (None, None)
    return WorkForecast(
        item.key,
        fresh,
        _later_spread(runs.sizes[:, index, LATER_LOW]),
        _later_spread(runs.sizes[:, index, LATER_HIGH]),
        item.unit,
        quantiles,
    )


def plan_sets(block: Block, scenarios: Scenarios, policy: Way) -> tuple[PlannedSet, ...]:
    """The sets of the middle scenario, the median of everything that is drawn; of more than MOST_SETS one more."""
    return trace_sets(block, scenarios, policy, *scenarios.middle())[0]


def trace_sets(
    block: Block, scenarios: Scenarios, policy: Way, person: FloatArray, multiplier: float,
    most_sets: int = MOST_SETS + 1,
) -> tuple[tuple[PlannedSet, ...], float, bool]:  # fmt: skip
    """One scenario, a person (3, M) and a multiplier: (its first most_sets sets, elapsed seconds, all done)."""
    trace, elapsed_s, finished = trace_policy(block, scenarios, policy, person, multiplier, most_sets)
    timed, paced = block.rules.intervals is not None, scenarios.items.kind == PACE
    sets = tuple(
        PlannedSet(
            block.items[int(item)].key, round(float(amount), 3), round(rest), block.items[int(item)].unit,
            round(seconds) if paced[int(item)] else None, int(round_) + 1 if timed else None,
            round(float(available), 1) if available > 0.0 else None,
        )
        for item, amount, rest, seconds, round_, _, available in trace
    )  # fmt: skip
    return sets, elapsed_s, finished


def _score_table(block: Block, runs: Runs) -> tuple[float | None, ...]:
    """Quantiles at LEVELS; the lower of two neighbours, so that no infinite score is averaged in."""
    if block.rules.scored == "none":
        return (None,) * len(LEVELS)
    table = lower_points(scores_of(block, runs), LEVELS)
    digits = ROUND_DIGITS if block.by_progress else 1
    return tuple(round(value, digits) if isfinite(value) else None for value in table)


def _later_spread(values: FloatArray) -> Spread | None:
    """Over the scenarios that have a later set; None when at most half of them do."""
    with_set = values[np.isfinite(values)]
    return spread(with_set) if 2 * len(with_set) > len(values) else None
