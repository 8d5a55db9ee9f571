"""A chance in a first-set window goes before a smaller loss; and what a unit takes of the strength is positive."""

import numpy as np
import pytest

from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.first_set import best_alone, judge
from scoring.calc.loss import Window
from scoring.calc.scenarios import make_scenarios
from tests.scoring.calc.athletes import COUNT, MULTIPLIER
from tests.scoring.calc.blocks import block

AT_LEAST_12 = Window(12.0, 20.0, low_is_hard=True)


def option(load_kg, fresh):
    return Candidate(Option(f"at_{load_kg:g}", load_kg, None, None, load_kg), np.array(fresh))


def test_a_chance_in_the_window_goes_before_a_smaller_loss():
    """Eleven for sure misses twelve by one, which is 3 of 16; 14 on three days of five and 8 on two has 0.6 of a
    chance and loses 2 in 5 times 3 x 4 of 16, which is more.
    """
    sure, chance = option(50.0, [11.5] * 5), option(45.0, [14.5, 14.5, 14.5, 8.5, 8.5])
    judged = judge([chance, sure], [AT_LEAST_12])

    assert [one.candidate for one in judged] == [sure, chance]
    assert [one.aim_loss for one in judged] == pytest.approx([3.0 / 16.0, 0.4 * 12.0 / 16.0])
    assert [one.probability for one in judged] == pytest.approx([0.0, 0.6])
    assert best_alone(judged, [AT_LEAST_12]).candidate is chance


def test_where_nothing_has_a_chance_the_smallest_loss_is_best():
    sure, worse = option(50.0, [11.5] * 5), option(55.0, [9.5] * 5)
    assert best_alone(judge([worse, sure], [AT_LEAST_12]), [AT_LEAST_12]).candidate is sure


@pytest.mark.parametrize("takes", [0.0, -0.03, np.inf, np.nan])
def test_a_unit_takes_some_strength(takes):
    """What takes none would be there for ever, and is divided by."""
    many = np.full(COUNT, 20.0)
    given = [
        Candidate(Option("press", 40.0, None, None, 40.0), many, per_unit=each)
        for each in (0.03, np.append(np.full(COUNT - 1, 0.03), takes))
    ]
    with pytest.raises(ValueError, match="what a unit takes must be finite and positive"):
        make_scenarios(block(), given, MULTIPLIER)
    with pytest.raises(ValueError, match="what a unit takes must be finite and positive"):
        make_scenarios(block(), [given[0], Candidate(given[0].option, many, per_unit=takes)], MULTIPLIER)
