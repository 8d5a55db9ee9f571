"""One option per work item, jointly: what the conditions that couple the items think of a combination.

Later sets, time and score depend on all items and on the pacing, so a combination is forecast with its own best
policy. Which combinations are looked at is told in ``scoring.calc.search``.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf
from typing import Final, TypeVar, cast

from programming.calc.arrays import FloatArray
from programming.calc.revision import Block, Condition
from scoring.calc.candidate import Candidate
from scoring.calc.conditions import stopped_values
from scoring.calc.coupled import LOSS, coupled_losses, is_compiled
from scoring.calc.effort import Budget, limits_of, runs_of, sets_of_a_draw
from scoring.calc.explicit import SetList
from scoring.calc.first_set import Judged
from scoring.calc.forecast import Scenarios, best_policy
from scoring.calc.in_one_go import broken_cost, has_straight_sets
from scoring.calc.loss import window_loss
from scoring.calc.next_set import Policy
from scoring.calc.pacing import Way, asks_for_sets, coarse_grid, finer_grid, policy_grid
from scoring.calc.pacing_price import CHANGES
from scoring.calc.plan_choice import plan_instead
from scoring.calc.policy_choice import WORTHWHILE
from scoring.calc.scenarios import Common
from scoring.calc.stops import TOLD_BY
from scoring.calc.volume import NOVEL_SHARE

# Scenarios that compare combinations, and where sets are not to be broken, which the median tells; the chosen one is
# forecast from all.
COMPARED: Final = 128
COMPARED_BY_MEDIAN: Final = 256
# Those that what is chosen is paced in: the ones behind the draws that pace it judge a plan of sets.
JUDGED: Final = 256
# The least of them, and of those that compare policies, however long a session is.
FEWEST_COMPARED: Final = 32
# Draws that pace a combination to compare it, and those that pace what is chosen: first on the whole grid, then about
# the best of it. How often a window of sets is kept is told too roughly by the fewer ones.
PLANNED: Final = 16
PACED_ROUGHLY: Final = 32
PACED: Final = 64
FEWEST_PLANNED: Final = 8
# Draws that the forecast comes from, and of them those that tell what stops the athlete, at least.
FEWEST_FORESEEN: Final = 64
FEWEST_STOPPED: Final = 16
# Conditions on the block as a whole: more or less work could serve them.
OF_BLOCK: Final = frozenset({"time", "score"})
Found = TypeVar("Found")


@dataclass(frozen=True, eq=False)
class Weighed:
    """What was found of a combination: its pacing, the losses of the coupling conditions and of broken sets, the
    least probability of a condition on the block as a whole (1 without one), and about how many sets a draw has.

    plan: sets that are done in place of the policy, which only what was chosen may have; by the policy it was chosen.
    is_whole False: the losses are more than was asked about, and only told as far as that is sure.
    """

    policy: Policy
    losses: tuple[float, ...]
    p_block: float
    sets: float
    plan: SetList | None = None
    is_whole: bool = True

    @property
    def way(self) -> Way:
        """How it is done: by its plan, or else by its policy."""
        return self.policy if self.plan is None else self.plan

    @property
    def instead_of(self) -> Policy | None:
        """The policy that the plan was taken in place of."""
        return None if self.plan is None else self.policy


@dataclass(frozen=True, eq=False)
class Combination:
    """One option per work item, its expected loss over all conditions, and what was found of it."""

    options: tuple[Judged, ...]
    loss: float
    found: Weighed

    @property
    def policy(self) -> Policy:
        """Its pacing."""
        return self.found.policy

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Its options, without what was judged of them."""
        return tuple(one.candidate for one in self.options)

    @property
    def p_block(self) -> float:
        """The least probability of a condition on the block as a whole, 1 without one."""
        return self.found.p_block


@dataclass(frozen=True, eq=False)
class Setting:
    """What all combinations share: the block, multiplier (N,), whether sets to failure may be planned, and how much
    may be simulated.
    """

    block: Block
    multiplier: FloatArray
    to_failure: bool = True
    budget: Budget = field(default_factory=Budget)

    def scenarios(self, options: Sequence[Judged], count: int | None = None) -> Scenarios:
        """The common scenarios, or the first of them, with these options."""
        return self.common.scenarios([one.candidate for one in options], count)

    @cached_property
    def common(self) -> Common:
        """What all combinations are played in."""
        return Common(self.block, self.multiplier, to_failure=self.to_failure)

    @cached_property
    def found(self) -> dict[Hashable, object]:
        """What was found of combinations under this budget, of this block in these scenarios."""
        key = (self.block, self.to_failure, id(self.multiplier))
        return cast(dict[Hashable, object], self.budget.found.setdefault(key, {}))

    def once(
        self, what: Hashable, options: Sequence[Judged], found: Callable[[], Found],
        is_enough: Callable[[Found], bool] = lambda _: True,
    ) -> Found:  # fmt: skip
        """What is found of a combination, not simulated again under the same budget: how finely does not depend on
        what is spent. What is known is found anew where it is not enough.
        """
        candidates = tuple(one.candidate for one in options)
        key = (what, most_share_of(options), candidates)
        if key not in self.found or not is_enough(cast(Found, self.found[key])):
            self.found[key] = found()
        return cast(Found, self.found[key])

    def affordable(self, scenarios: Scenarios, conditions: Sequence[Condition], sets: float) -> Scenarios:
        """As many of the scenarios as the budget has for a forecast and the probabilities of the conditions; sets:
        about so many in a draw.
        """
        each = sets * runs_of(conditions, scenarios.items)
        return scenarios.subset(self.budget.draws(len(scenarios.multiplier), each, FEWEST_FORESEEN))

    def told_by(self, scenarios: Scenarios, sets: float) -> int:
        """How many scenarios tell what stops the athlete, and what another pacing costs; sets: about so many in a
        draw.
        """
        each = sets * (1 + limits_of(scenarios.items) + len(CHANGES))
        return self.budget.draws(min(TOLD_BY, len(scenarios.multiplier)), each, FEWEST_STOPPED)

    @cached_property
    def coupled(self) -> list[Condition]:
        """The conditions that couple the items."""
        return [condition for condition in self.block.aim.conditions if condition.kind != "first_set"]

    @cached_property
    def compared(self) -> int:
        """How many scenarios compare combinations."""
        return COMPARED_BY_MEDIAN if has_straight_sets(self.block) else COMPARED

    @property
    def is_played(self) -> bool:
        """Whether anything but what is there fresh tells combinations apart."""
        return bool(self.coupled) or has_straight_sets(self.block)

    @property
    def asks_of_block(self) -> bool:
        """Whether a condition is on the block as a whole, so that more or less work could serve it."""
        return any(condition.kind in OF_BLOCK for condition in self.coupled)


def evaluate(setting: Setting, options: tuple[Judged, ...], most: float = inf) -> Combination:
    """Pace a combination and weigh it: the items' own losses plus those of the coupling conditions; of one that loses
    more than `most` it is told no more than that it does.
    """
    most_coupled = most - sum(one.loss for one in options)
    found = setting.once(
        "weighed",
        options,
        lambda: _weigh(setting, options, most_coupled),
        lambda known: known.is_whole or sum(known.losses) > most_coupled,
    )
    return _combined(options, found)


def paced(setting: Setting, chosen: Combination) -> Combination:
    """What was chosen, with the pacing that more of the scenarios tell, more closely looked at: perhaps a plan."""
    return _combined(
        chosen.options, setting.once("paced", chosen.options, lambda: _paced_anew(setting, chosen))
    )


def _combined(options: tuple[Judged, ...], found: Weighed) -> Combination:
    return Combination(options, sum(found.losses, sum(one.loss for one in options)), found)


def most_share_of(options: Sequence[Judged]) -> float:
    """The most of what is available that a set of them may take: less of what is new and unsure."""
    return NOVEL_SHARE if any(one.is_new_and_unsure for one in options) else 1.0


def _weigh(setting: Setting, options: tuple[Judged, ...], most: float) -> Weighed:
    scenarios = setting.scenarios(options, setting.compared)
    sets = sets_of_a_draw(setting.block, scenarios)
    grid = coarse_grid(scenarios.items, most_share_of(options))
    policy = _policy(setting, scenarios, sets, grid, PLANNED)
    return _weighed(setting, scenarios, policy, sets, most)


def _paced_anew(setting: Setting, chosen: Combination) -> Weighed:
    scenarios, sets = setting.scenarios(chosen.options, JUDGED), chosen.found.sets
    most_share = most_share_of(chosen.options)
    grid = policy_grid(scenarios.items, most_share)
    roughly = PACED if asks_for_sets(setting.block) else PACED_ROUGHLY
    rough = _policy(setting, scenarios, sets, grid, roughly)
    finer = finer_grid(scenarios.items, rough, most_share)
    # Where something is left out for the budget anyway, there is none for this.
    if setting.budget.coarse:
        return chosen.found if rough == chosen.policy else _weighed(setting, scenarios, rough, sets)
    policy = _policy(setting, scenarios, sets, finer, PACED)
    found = chosen.found if policy == chosen.policy else _weighed(setting, scenarios, policy, sets)
    if most_share < 1.0:  # a plan does not know what is there on the day
        return found
    return replace(found, plan=plan_instead(setting.block, scenarios, policy, PACED, setting.budget))


def _weighed(
    setting: Setting, scenarios: Scenarios, policy: Policy, sets: float, most: float = inf
) -> Weighed:
    if not setting.is_played:
        return Weighed(policy, (), 1.0, sets)
    losses, p_block = losses_under(setting, scenarios, policy, sets, most)
    return Weighed(policy, tuple(losses), p_block or 0.0, sets, is_whole=p_block is not None)


def _policy(setting: Setting, scenarios: Scenarios, sets: float, policies: FloatArray, wanted: int) -> Policy:
    """The best of policies (P, 4) by so many draws, or fewer where the budget has no more."""
    budget = setting.budget
    grid = budget.policies(policies, FEWEST_PLANNED, sets)
    draws = budget.draws(wanted, sets * (len(grid) + len(WORTHWHILE)), FEWEST_PLANNED, budget.comparisons)
    return best_policy(setting.block, scenarios, grid, draws)


def losses_under(
    setting: Setting, scenarios: Scenarios, policy: Policy, sets: float, most: float = inf
) -> tuple[list[float], float | None]:
    """(the losses of the coupling conditions and of broken sets, the least probability of a condition on the whole
    block) under one policy; sets: about so many in a draw. Where the losses are more than `most`, the scenarios are
    not all played: (what is lost so far, None).
    """
    budget, runs_each = setting.budget, runs_of(setting.coupled, scenarios.items)
    wanted = min(setting.compared, len(scenarios.multiplier))
    few = budget.draws(wanted, sets * runs_each, min(wanted, FEWEST_COMPARED), budget.comparisons)
    compared = scenarios.subset(few)
    found, sizes = coupled_losses(setting.block, compared, policy, most)
    if len(sizes) < len(compared.multiplier):
        return found[:, LOSS].tolist(), None
    losses, p_block, rows = [], 1.0, iter(found.tolist())
    for condition in setting.coupled:
        if condition.kind == "stopped_by":
            values = stopped_values(setting.block, condition, compared, policy)
            if values.reason is None:
                losses.append(float(window_loss(values.low, values.high, values.window).mean()))
        if not is_compiled(condition):
            continue
        loss, met, is_told = next(rows)
        losses += [loss] if is_told else []
        p_block = min(p_block, met) if condition.kind in OF_BLOCK else p_block
    losses.append(broken_cost(setting.block, sizes))
    return losses, p_block
