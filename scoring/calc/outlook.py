"""How likely each condition of an aim is with what was chosen, and which of them are out of reach."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from programming.calc.revision import Block
from scoring.calc.conditions import condition_values
from scoring.calc.pacing import Way
from scoring.calc.prescription import ConditionForecast, Reason, ReasonCode
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import Runs

# First sets were judged over all options before; effort is never told.
OUT_OF_REACH: Final[dict[str, ReasonCode]] = {
    "time": "time_out_of_reach",
    "later_sets": "later_sets_out_of_reach",
    "score": "score_out_of_reach",
    "share_of_available": "share_out_of_reach",
    "stopped_by": "stopped_by_something_else",
}


def outlook(
    block: Block, scenarios: Scenarios, runs: Runs, policy: Way
) -> tuple[tuple[ConditionForecast, ...], float | None]:
    """Probability of each condition, and of all that can be told at once, None when none of them can.

    Unfinished work for time has no score in any window.
    """
    every, told, forecasts = np.ones(len(runs.state)), not block.aim.conditions, []
    for index, condition in enumerate(block.aim.conditions):
        values = condition_values(block, condition, scenarios, runs, policy)
        probability = None
        if values.reason is None:
            met = values.met
            probability, every, told = round(float(met.mean()), 3), every * met, True
        forecasts.append(
            ConditionForecast(
                index, condition.kind, condition.work, condition.lower, condition.upper, probability,
                condition.by, values.reason,
            )
        )  # fmt: skip
    return tuple(forecasts), round(float(every.mean()), 3) if told else None


def out_of_reach(conditions: Sequence[ConditionForecast], least: float) -> list[Reason]:
    """The conditions that the best combination hardly ever meets."""
    found = [
        Reason(OUT_OF_REACH[one.kind], one.work)
        for one in conditions
        if one.kind in OUT_OF_REACH and one.probability is not None and one.probability < least
    ]
    return list(dict.fromkeys(found))
