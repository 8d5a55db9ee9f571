"""What the shipped catalogue says of hands and limits, where the trade knows it."""

import re

import pytest

from programming.catalogue.shipped import shipped_catalogue

VARIATIONS = {v.key: v.entry.variation for movement in shipped_catalogue() for v in movement.variations}


@pytest.mark.parametrize("key", ["fan_bike", "row_machine", "ski_machine", "kettlebell_clean"])
def test_what_the_arms_pull_asks_something_of_shoulder_and_elbow(key: str) -> None:
    """Moving handles and what is brought to the shoulder: common practice, no source."""
    assert {"shoulder", "elbow"} <= VARIATIONS[key].hazards
    assert "shoulder" not in VARIATIONS["bike_stationary"].hazards


def test_what_takes_one_in_each_hand_says_so():
    """By their sources: a load of both together is that of two, and of nothing else."""
    for key, variation in VARIATIONS.items():
        together = re.search("both (dumbbells|kettlebells) together", variation.fraction_source)
        assert (variation.implements == 2) == bool(together), key
    assert VARIATIONS["overhead_press_dumbbells"].implements == 2
    assert VARIATIONS["farmer_carry_kettlebells"].implements == 2
    assert VARIATIONS["goblet_squat"].implements == 1
