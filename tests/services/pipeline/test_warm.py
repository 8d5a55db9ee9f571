"""A worker compiles before it forks: afterwards no work of any kind compiles anything."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numba.core.registry import CPUDispatcher

import athletes.calc.fatigue
import athletes.calc.multiplier
import scoring.calc.books
import scoring.calc.engine
import scoring.calc.next_set
import scoring.calc.pacing
import scoring.calc.plan_choice
import scoring.calc.plan_polish
import scoring.calc.readiness
import scoring.calc.simulation
from programming.calc.revision import Aim, Condition, EndRule
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.engine import Engine
from scoring.calc.prescribe import prescribe
from services.pipeline.warm import warm_up
from tests.scoring.calc.athletes import COUNT, MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, first_set, later_sets, time
from tests.scoring.calc.small_blocks import draw
from tests.scoring.calc.test_named_plans import people

MODULES = (
    scoring.calc.books,
    scoring.calc.engine,
    athletes.calc.fatigue,
    athletes.calc.multiplier,
    scoring.calc.next_set,
    scoring.calc.pacing,
    scoring.calc.plan_choice,
    scoring.calc.plan_polish,
    scoring.calc.readiness,
    scoring.calc.simulation,
)
ASKED = (first_set(12, 20), later_sets(6), Condition("stopped_by", None, None, None, "local_muscle"))


def compiled() -> Iterator[tuple[str, int]]:
    """How many signatures of each compiled function there are."""
    for module in MODULES:
        for name, value in vars(module).items():
            if isinstance(value, CPUDispatcher):
                yield f"{module.__name__}.{name}", len(value.signatures)


def test_nothing_is_left_to_compile() -> None:
    """Prescriptions for time, amounts and loads, with and without cyclical work, attempts and own amounts."""
    assert warm_up() > 0.0
    before = dict(compiled())
    written = block(conditions=(*ASKED, time(300, 1200)))
    engine = Engine(np.full(COUNT, 200.0), np.full(COUNT, 15_000.0), "power", work_j_per_kcal=1000.0)
    option = Option("bike", None, None, None, 1.0)
    ride = Candidate(option, np.full(COUNT, np.inf), kind="cyclical", engine=engine)
    candidates = {key: Athlete(70.0).candidates(item=item) for item, key in enumerate("ab")}
    prescribe(written, candidates, multiplier=MULTIPLIER, allow_volume=True, volume_caps={"a": 50.0})
    amount = replace(written, aim=Aim((*ASKED, Condition("score", None, 10.0, None))))
    for scored in ("repetitions", "load", "volume_load", "intervals", "smallest_interval", "none"):
        end = EndRule("fixed_time", time_s=300.0)
        other = replace(amount, rules=replace(amount.rules, scored=scored, end=end, order="in_sequence"))
        cycled = replace(other, work=(other.work[0], replace(other.work[1], unit="energy_kcal")))
        prescribe(other, candidates, multiplier=MULTIPLIER, to_failure=False)
        prescribe(cycled, {**candidates, "b": [ride]}, multiplier=MULTIPLIER)

    one = draw(np.random.default_rng([17, 20]), units=(12, 40), fresh=(4.0, 30.0))  # who is known gets a plan
    fresh, multipliers = people(one, 0.08, 512, 20)
    known = {
        item.key: [Candidate(option, there, seconds_per_unit=seconds)]
        for item, there, seconds in zip(one.block.items, fresh, one.seconds, strict=True)
    }
    told = prescribe(one.block, known, multiplier=multipliers).forecast
    assert told is not None and [each.change for each in told.other_pacings] == ["same_share"]

    assert dict(compiled()) == before
