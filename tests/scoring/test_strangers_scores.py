"""Scores of people whom nobody here made (tests.oracles.strangers), foreseen from all of their earlier sessions.

Two sessions of each person's twelve are by amounts of two movements: in rounds, or swapping at every break with a
penalty. Wanted as for first sets (`test_strangers_first_sets.py`, the same run): a mean error a fifth below that of
what a coach would write down (the last score of the same kind, a 1RM equation (Epley 1985) with its table, equal sets
at the average), or within a tenth of the error that the person's true parameters would make; 80 % intervals that hold
75 to 85 % of all, 70 to 90 % in each population, and lie to no side. Habits know the person's own seconds of a
repetition, too.
"""

import numpy as np
import pytest

from tests.oracles.strangers.populations import POPULATIONS
from tests.scoring.strangers_tried import PEOPLE, THOROUGH, tried

pytestmark = pytest.mark.xdist_group("strangers")
ROOM = 0.0 if THOROUGH else 0.05
"""Two standard errors of the pooled share of some 360 scores are 3.7 %, of their mean rank 0.03."""
NEAR_THE_MIDDLE = 0.05 if THOROUGH else 0.08
A_FIFTH_BELOW = 0.8


def test_intervals_hold_as_many_as_they_say() -> None:
    held = {name: (tried(name).ranks > 0.1) & (tried(name).ranks < 0.9) for name in POPULATIONS}

    assert 0.75 - ROOM <= np.concatenate(list(held.values())).mean() <= 0.85 + ROOM
    for name, one in held.items():
        assert 0.70 - ROOM <= one.mean() <= 0.90 + ROOM, name


def test_they_are_neither_too_slow_nor_too_quick() -> None:
    """The mean rank is 0.5; of 100 people each it is 0.46, since first sets are foreseen half a repetition too low
    (`test_strangers_first_sets.py`).
    """
    ranks = np.concatenate([tried(name).ranks for name in POPULATIONS])
    assert abs(ranks.mean() - 0.5) <= NEAR_THE_MIDDLE


@pytest.mark.parametrize("name", sorted(POPULATIONS))
def test_they_are_nearer_than_what_a_coach_writes_down(name: str) -> None:
    scores = tried(name).scores
    assert len(scores) > PEOPLE
    for habit in ("last", "equation", "average"):
        both = scores.dropna(subset=[habit, "true"])
        assert len(both) > PEOPLE / 3
        ours, theirs, true = (both[one].mean() for one in ("ours", habit, "true"))
        assert ours <= max((A_FIFTH_BELOW + ROOM) * theirs, 1.1 * true), (habit, ours, theirs, true)
