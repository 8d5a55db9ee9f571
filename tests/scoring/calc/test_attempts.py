"""What the plan of attempts says: every attempt with what is attempted, whether or not it succeeds."""

from dataclasses import replace

from scoring.calc.attempts import as_attempted
from scoring.calc.forecast import PlannedSet
from scoring.calc.foresee import foresee
from tests.scoring.calc.athletes import Athlete
from tests.scoring.calc.test_volume import MULTIPLIER, attempts, block


def test_an_attempt_that_probably_fails_is_planned_as_one():
    """100 kg with a maximum of 90 e^-0.03 = 87.3 kg: none succeeds, and still three times one are attempted."""
    written = attempts("load")
    (heavy,) = Athlete(90.0).candidates(loads=(100.0,))
    seen = foresee(written, [heavy], multiplier=MULTIPLIER).forecast
    assert [one.amount for one in seen.plan] == [0.0, 0.0, 0.0]

    planned = as_attempted(written, seen.plan)
    assert [one.amount for one in planned] == [1.0, 1.0, 1.0]
    assert [replace(one, amount=0.0) for one in planned] == list(seen.plan)


def test_nothing_else_is_changed():
    """Sets of other orders are what is foreseen; so are attempts at as much as possible."""
    sets = (PlannedSet("a", 7.0, 0), PlannedSet("a", 5.0, 60))
    assert as_attempted(block(), sets) == sets
    assert as_attempted(attempts("repetitions", None), sets) == sets
