"""The forecast of options that somebody else has chosen: nothing is compared, and nothing is refused."""

from collections.abc import Sequence
from dataclasses import dataclass

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block
from scoring.calc.candidate import Candidate
from scoring.calc.combination import Setting, evaluate, paced
from scoring.calc.effort import Budget, sets_of_a_draw
from scoring.calc.explicit import SetList
from scoring.calc.first_set import Judged, first_windows, judge
from scoring.calc.forecast import BlockForecast, forecast_block, run_policy
from scoring.calc.items import PACE
from scoring.calc.outlook import outlook
from scoring.calc.pacing import Way
from scoring.calc.prescription import ConditionForecast


@dataclass(frozen=True, eq=False)
class Foreseen:
    """The block's forecast with these options, and the probability of each condition and of all at once."""

    forecast: BlockForecast
    conditions: tuple[ConditionForecast, ...]
    p_all: float | None
    judged: tuple[Judged, ...]


def foresee(
    block: Block, options: Sequence[Candidate], *, multiplier: FloatArray, to_failure: bool = True,
    budget: Budget | None = None, policy: Way | None = None,
) -> Foreseen:  # fmt: skip
    """One candidate for each of `block.items`, in that order, with the block's amounts, paced by a given policy or
    list of sets, else as well as may be. A list takes the pace of machines that serves best.

    to_failure False: no set is planned to failure; budget: how much may be simulated. Raises ValueError when arrays
    do not fit.
    """
    judged = tuple(
        judge([one], first_windows(block, item.key))[0]
        for item, one in zip(block.items, options, strict=True)
    )
    setting = Setting(block, multiplier, to_failure, budget or Budget())
    scenarios, instead_of = setting.scenarios(judged), None
    if policy is None or (isinstance(policy, SetList) and (scenarios.items.kind == PACE).any()):
        found = paced(setting, evaluate(setting, judged)).found
        sets = found.sets
        if policy is None:
            policy, instead_of = found.way, found.instead_of
        else:
            policy = policy._replace(pace=found.policy.pace)
    else:
        sets = sets_of_a_draw(block, scenarios)
    if isinstance(policy, SetList):
        sets = max(sets, float(len(policy.rows)))
    played = setting.affordable(scenarios, block.aim.conditions, sets)
    runs = run_policy(block, played, policy)
    conditions, p_all = outlook(block, played, runs, policy)
    told_by = setting.told_by(scenarios, sets)
    forecast = forecast_block(block, scenarios, policy, runs, told_by, instead_of)
    return Foreseen(forecast, conditions, p_all, judged)
