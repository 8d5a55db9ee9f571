"""Each unit has a name, and tells a capacity of one kind; nothing else does."""

import pytest

from programming.calc.movement_prior import CAPACITY_KINDS
from programming.calc.units import NAMES, TOLD_IN, tells
from programming.calc.variation import UNITS, Variation


def variation(*, curve_applies: bool = True) -> Variation:
    return Variation(key="v", movement="m", rung=1, body_mass_fraction=0.5, curve_applies=curve_applies)


def test_every_unit_has_a_name_and_tells_one_kind() -> None:
    assert set(NAMES) == set(UNITS)
    assert set(TOLD_IN) < set(CAPACITY_KINDS)
    assert sorted(unit for units in TOLD_IN.values() for unit in units) == sorted(UNITS)


@pytest.mark.parametrize(
    ("kind", "unit", "told"),
    [
        ("load_repetition", "repetitions", True),
        ("load_repetition", "distance_m", False),
        ("hold", "hold_s", True),
        ("hold", "repetitions", False),
        ("cyclical", "distance_m", True),
        ("cyclical", "energy_kcal", True),
        ("cyclical", "hold_s", False),
        ("none", "repetitions", False),
    ],
)
def test_which_unit_tells_a_capacity(kind: str, unit: str, told: bool) -> None:
    assert tells(kind, variation(), unit) is told


def test_without_its_curve_repetitions_tell_nothing_and_seconds_do() -> None:
    assert not tells("load_repetition", variation(curve_applies=False), "repetitions")
    assert tells("hold", variation(curve_applies=False), "hold_s")
