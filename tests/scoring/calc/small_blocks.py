"""Invented blocks of repetitions for time, each with the same block as the oracles of pacing read it."""

from dataclasses import dataclass

import numpy as np

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule, Ladder
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.scenarios import Scenarios, make_scenarios
from tests.oracles.plan_search import EARLY, LONG_REST, Small
from tests.scoring.calc.orders import item

OPTION = Option("any", 20.0, None, None, 50.0)
RUNGS = ((1.0, 2.0), (1.0, 2.0, 3.0), (3.0, 2.0, 1.0))


@dataclass(frozen=True)
class Drawn:
    """A block, the same for the oracle, and an athlete: fresh (M,), seconds of a repetition (M,), m."""

    block: Block
    small: Small
    fresh: np.ndarray
    seconds: np.ndarray
    multiplier: float

    def by_key(self, values):
        """By work key."""
        return dict(zip([one.key for one in self.block.items], values, strict=True))

    def scenarios(self, fresh=None, multiplier=None, **named) -> Scenarios:
        """Fresh (M, N) and multipliers (N,), the athlete alone unless given."""
        fresh = self.fresh[:, None] if fresh is None else fresh
        made = [
            Candidate(OPTION, there, seconds_per_unit=s) for there, s in zip(fresh, self.seconds, strict=True)
        ]
        return make_scenarios(
            self.block, made, np.array([self.multiplier]) if multiplier is None else multiplier, **named
        )


def _break_rule(rng, order, costs):
    kind = "set_ended_early" if order == "swap_on_break" or rng.integers(3) else "rest_longer_than"
    return BreakRule(
        kind, penalty_s=float(rng.choice(costs)), penalty=("added", "served_rest")[rng.integers(2)],
        rest_over_s=float(rng.choice([25.0, 60.0])) if kind == "rest_longer_than" else None,
    )  # fmt: skip


def draw(rng, *, units, fresh, costs=(5.0, 10.0, 20.0, 45.0)) -> Drawn:
    """A block of about `units` repetitions, in one of four orders, one to three movements, breaks that cost.

    units: least, most; fresh: the same of what an athlete has, evenly in logarithms.
    """
    order = ("in_sequence", "rounds", "swap_on_break", "ladder")[rng.integers(4)]
    many = int(rng.integers(2 if order == "swap_on_break" else 1, 4))
    rounds = int(rng.integers(2, 4)) if order == "rounds" else 1
    rungs = RUNGS[rng.integers(3)] if order == "ladder" else (1.0,) * rounds
    each = max(many, round(int(rng.integers(units[0], units[1] + 1)) / sum(rungs)))
    parts = 1.0 + rng.multinomial(each - many, np.ones(many) / many)
    breaks = _break_rule(rng, order, costs)
    pause = float(rng.choice([0.0, 30.0])) if order == "rounds" else 0.0
    rules = BlockRules(
        order, breaks, EndRule("work_done"), "time", "none", rounds, pause,
        Ladder(rungs, None) if order == "ladder" else None,
    )  # fmt: skip
    work = tuple(item(key, float(amount)) for key, amount in zip("abc", parts, strict=False))
    added = breaks.penalty == "added"
    small = Small(
        np.outer(rungs, parts), order == "swap_on_break", EARLY if breaks.counts == "set_ended_early" else LONG_REST,
        breaks.rest_over_s or 0.0, breaks.penalty_s if added else 0.0, 0.0 if added else breaks.penalty_s, pause,
    )  # fmt: skip
    return Drawn(
        Block("main", work, rules, Aim(())), small, np.exp(rng.uniform(*np.log(fresh), many)),
        rng.choice([1.5, 2.0, 3.0], many), float(rng.uniform(0.1, 1.2)),
    )  # fmt: skip
