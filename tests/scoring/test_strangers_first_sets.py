"""First sets of people whom nobody here made (tests.oracles.strangers), foreseen from all of their earlier sessions.

Three populations, written from published figures alone, each with a curve, a fatigue and a noise of its own, and
twelve sessions each; strength and curves are refitted by the members of a house on the way. Held against it are sets
to failure that open a session, whatever came before. Wanted: 80 % intervals that hold 75 to 85 % of all counts, 70 to
90 % in each population, and a mean error a fifth below that of what a coach would write down: the last result, the
last test by a 1RM equation (Epley 1985) with its table of percentages, and sets at the average of the past ones.

HYPOTHESIS_PROFILE=thorough tries 500 people of each, as wanted; every day fewer are tried, with room for chance.
"""

import pandas as pd
import pytest

from tests.oracles.strangers.populations import POPULATIONS
from tests.scoring.strangers_tried import PEOPLE, THOROUGH, tried

pytestmark = pytest.mark.xdist_group("strangers")  # one run for these and the scores
ROOM = 0.0 if THOROUGH else 0.05
"""Two standard errors of the pooled share of some 550 sets are 3.4 %."""
A_FIFTH_BELOW = 0.8
SMALL_HOUSE = 0.15
"""The third population grows, and sixty people tell curve and gain of four movements poorly: 0.94 of the equation's
error with 60, 0.78 with 200."""


def test_intervals_hold_as_many_as_they_say() -> None:
    every = {name: tried(name).first_sets for name in POPULATIONS}
    held = {name: ((one["rank"] > 0.1) & (one["rank"] < 0.9)) for name, one in every.items()}

    assert 0.75 - ROOM <= pd.concat(list(held.values())).mean() <= 0.85 + ROOM
    for name, one in held.items():
        assert 0.70 - ROOM <= one.mean() <= 0.90 + ROOM, name


def test_they_are_neither_too_high_nor_too_low() -> None:
    """The mean rank is 0.5; an interval may hold its share and still lie to one side. Of 500 people each it is 0.555,
    which is missed: half a repetition is foreseen too little after late failures.
    """
    ranks = pd.concat([tried(name).first_sets["rank"] for name in POPULATIONS])
    assert abs(ranks.mean() - 0.5) <= 0.05


@pytest.mark.parametrize("name", sorted(POPULATIONS))
def test_they_are_nearer_than_what_a_coach_writes_down(name: str) -> None:
    one = tried(name).first_sets.dropna()
    assert len(one) > PEOPLE
    below = A_FIFTH_BELOW + (SMALL_HOUSE if name == "third" and not THOROUGH else ROOM)
    means = one.mean(numeric_only=True)
    for habit in ("last", "equation", "average"):
        assert means["ours"] <= below * means[habit], (habit, means)
