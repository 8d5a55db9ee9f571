"""Weights that nobody holds are asked about, whatever the legs could lift; what is merely strong is not."""

import pytest

from athletes.heaviest import HELD
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged
from scoring.plausible_held import held_surprises
from tests.scoring.test_candidates import plan

# Each with the movement that it is a variation of.
MOVEMENT = {
    "goblet_squat": "squat",
    "bench_press_dumbbells": "dumbbell_bench_press",
    "back_squat_barbell": "back_squat",
    "kettlebell_swing": "kettlebell_swing",
    "farmer_carry_dumbbells": "farmer_carry",
}


def logged(variation: str, amount: float, load_kg: float | None, unit: str = "repetitions") -> Logged:
    entry = plan(MOVEMENT[variation]).variations[variation]
    return Logged(SetEntry("a", amount, unit=unit, load_kg=load_kg), entry)


@pytest.mark.parametrize(
    ("variation", "amount", "load_kg", "asked"),
    [
        ("goblet_squat", 40, 160.0, True),  # with 70 kg of body the legs alone might be believed
        ("goblet_squat", 40, 90.0, True),  # a weight that exists, forty times at the chest
        ("goblet_squat", 40, 48.0, False),
        ("goblet_squat", 3, 88.0, False),
        ("goblet_squat", 40, None, False),
        ("kettlebell_swing", 200, 48.0, False),
        ("kettlebell_swing", 100, 70.0, True),
        ("bench_press_dumbbells", 8, 160.0, False),  # two of 80 kg
        ("bench_press_dumbbells", 8, 240.0, True),  # two of 120 kg
        ("back_squat_barbell", 5, 250.0, False),  # nothing is held in the hands
        ("back_squat_barbell", 1, 500.0, False),  # has been lifted
        ("back_squat_barbell", 10, 480.0, True),  # nobody ever has
        ("goblet_squat", 0, 160.0, False),  # a set of nothing
    ],
)
def test_what_is_held_is_bounded_by_the_hands(
    variation: str, amount: float, load_kg: float | None, asked: bool
) -> None:
    """Of two at once each; the more repetitions the less, down to what is usual (estimates, from memory)."""
    found = held_surprises([logged(variation, amount, load_kg)])

    assert bool(found) is asked
    if asked:
        assert found[0].code == "implausible_performance"
        assert logged(variation, amount, load_kg).done.name in found[0].detail
        assert "_" not in found[0].detail
        assert "ask about load and unit" in found[0].detail


def test_one_repetition_is_no_repetitions() -> None:
    [found] = held_surprises([logged("kettlebell_swing", 1, 120.0)])
    assert "for 1 repetition of" in found.detail


def test_a_carry_is_judged_by_its_weight_and_one_finding_is_enough() -> None:
    """Metres are no repetitions: two of 90 kg over 40 m are believed, two of 120 kg asked about, once."""
    strong, wrong = (logged("farmer_carry_dumbbells", 40.0, kg, "distance_m") for kg in (180.0, 240.0))

    assert held_surprises([strong]) == ()
    assert len(held_surprises([wrong, wrong, strong])) == 1


@pytest.mark.parametrize("item", HELD)
def test_the_bound_falls_with_the_repetitions_and_ends_at_what_is_usual(item: str) -> None:
    """Never more of more, the most of one, and at last the heaviest of the usual series."""
    bounds = [HELD[item].after(repetitions) for repetitions in range(1, 300)]

    assert bounds == sorted(bounds, reverse=True)
    assert (bounds[0], bounds[-1]) == (HELD[item].most, HELD[item].long)
