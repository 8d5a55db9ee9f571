"""What it costs to pace a block otherwise: the neighbours of a pacing in the same scenarios.

Only one thing is changed at a time: the next longer or the next shorter rest of the grid, the next smaller share of
what is available, or every set to failure; of a plan, the policy that it was taken in place of. What a change costs
is the median over the scenarios of what it loses beside the pacing as it is, in the unit of the score; with it go the
breaks that it makes more or spares, so that the two can be weighed: a break more instead of so much rest. What cannot
be told from the spread of the scenarios is left out.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Final, Literal

from programming.calc.revision import Block
from programming.calc.rule_codes import NO_ITEM
from scoring.calc.items import KEPT, POWER, RESERVOIR, Items, score_unit
from scoring.calc.next_set import Policy
from scoring.calc.pacing import OWN_RESTS_S, SHARES, Way, plan_losses, run_policy
from scoring.calc.readiness import EPSILON
from scoring.calc.scenarios import Scenarios
from scoring.calc.simulation import Runs
from scoring.calc.spread import median

Change = Literal["longer_rest", "shorter_rest", "smaller_sets", "to_failure", "same_share"]
CHANGES: Final[tuple[Change, ...]] = (
    "longer_rest",
    "shorter_rest",
    "smaller_sets",
    "to_failure",
    "same_share",
)

# The standard error of a median is so many times that of a mean, of what is spread normally: sqrt(pi / 2).
OF_A_MEDIAN: Final = 1.2533
CLEAR: Final = 2.0  # standard errors


@dataclass(frozen=True)
class OtherPacing:
    """One change of a pacing: own_rest_s and share with it; "same_share": of a plan, the same share each time.

    costs: in the unit of the score, more than 0 where it is worse; breaks: how many more, fewer below 0; both
    medians of the differences.
    """

    change: Change
    own_rest_s: float
    share: float
    costs: float
    breaks: float


def neighbours(policy: Policy, items: Items) -> dict[Change, Policy]:
    """The pacings that differ in one thing. None to failure where something is always kept, and none at all where
    no set can run empty.
    """
    if RESERVOIR not in items.kind.tolist() and (
        items.engine == NO_ITEM or not (items.table[POWER] > 0.0).any()
    ):
        return {}
    longer = [rest for rest in OWN_RESTS_S if rest > policy.own_rest_s + EPSILON]
    shorter = [rest for rest in OWN_RESTS_S if rest < policy.own_rest_s - EPSILON]
    smaller = [share for share in SHARES if share < policy.share - EPSILON]
    found: dict[Change, Policy] = {}
    if longer:
        found["longer_rest"] = policy._replace(own_rest_s=longer[0])
    if shorter:
        found["shorter_rest"] = policy._replace(own_rest_s=shorter[-1])
    if smaller:
        found["smaller_sets"] = policy._replace(share=smaller[-1])
    if policy.share < 1.0 and not items.table[KEPT].any():
        found["to_failure"] = policy._replace(share=1.0)
    return found


def _others(way: Way, items: Items, instead_of: Policy | None) -> dict[Change, Policy]:
    if isinstance(way, Policy):
        return neighbours(way, items)
    return {} if instead_of is None else {"same_share": instead_of}


def other_pacings(
    block: Block, scenarios: Scenarios, way: Way, runs: Runs | None = None, instead_of: Policy | None = None
) -> tuple[OtherPacing, ...]:
    """What the neighbours of a pacing cost, those that differ by more than the noise; none where nothing is scored.
    A list of sets has none but the policy that it was taken instead of.

    runs: under the pacing, where already made, in as many of the scenarios or more.
    """
    if score_unit(block) is None:
        return ()
    count = len(scenarios.multiplier)
    played = run_policy(block, scenarios, way) if runs is None or len(runs.state) < count else runs
    before, breaks = plan_losses(block, played)[:count], played.breaks[:count]
    found = []
    for change, other in _others(way, scenarios.items, instead_of).items():
        otherwise = run_policy(block, scenarios, other)
        lost = plan_losses(block, otherwise) - before
        costs = median(lost)
        if abs(costs) > CLEAR * OF_A_MEDIAN * float(lost.std()) / sqrt(count):
            more = median(otherwise.breaks - breaks)
            found.append(OtherPacing(change, other.own_rest_s, other.share, round(costs, 2), more))
    return tuple(found)
