"""Effective load against published shares of body mass."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programming.calc.load import effective_load, fraction_at_height, load_said
from tests.references.strength import (
    EBBEN_2011_FRACTIONS,
    EBBEN_2011_HEIGHTS_CM,
    MELROSE_DAWES_2015_PERCENT,
    SUPRAK_2011_PERCENT,
)

masses = st.floats(30, 250)
loads = st.floats(0, 300)


def test_push_up_variants_of_an_80_kg_athlete() -> None:
    """Each of the six is harder than the one before, in the published order (Ebben et al. 2011); an 80 kg athlete
    moves 51.2 kg on the floor."""
    moved = [effective_load(fraction=f, body_mass_kg=80.0) or 0.0 for f in EBBEN_2011_FRACTIONS.values()]

    assert list(EBBEN_2011_FRACTIONS) == ["hands_60", "knees", "hands_30", "floor", "feet_30", "feet_60"]
    assert moved == sorted(moved)
    assert moved[3] == pytest.approx(51.2)


def test_static_push_up_positions_are_what_statics_says() -> None:
    """Moments about the toes, or the knees, of a straight body on straight arms against the published shares.

    Heights as parts of the stature: centre of mass 0.56, shoulder 0.818, knee 0.285; shanks and feet are 0.122 of the
    mass, their centre at 0.14 (Winter, Biomechanics and Motor Control of Human Movement, tables of segments; from
    memory). 1.80 m and 80 kg on the toes: 80 * 1.008 / 1.4724 = 54.8 kg on the hands. On the knees the 9.76 kg below
    them rest on the floor; the other 70.24 have their centre at (0.56 - 0.122 * 0.14) / 0.878 = 0.6184, 0.600 m from
    the knee, the hands at 0.9594 m: 43.9 kg. Suprak et al. 2011 measured 69.16 and 53.56 %.
    """
    by_statics = {"regular_up": 54.8, "knees_up": 43.9}
    for position, kg in by_statics.items():
        moved = effective_load(fraction=SUPRAK_2011_PERCENT[position] / 100, body_mass_kg=80.0)
        assert moved == pytest.approx(kg, rel=0.03), position


def test_bent_arms_and_the_toes_carry_more() -> None:
    """Arms bent more than straight, on the toes more than on the knees, as published (Suprak et al. 2011)."""
    moved = {k: effective_load(fraction=p / 100, body_mass_kg=80.0) for k, p in SUPRAK_2011_PERCENT.items()}
    assert sorted(moved, key=lambda k: moved[k] or 0.0) == [
        "knees_up",
        "knees_down",
        "regular_up",
        "regular_down",
    ]


def test_suspension_row_by_angle() -> None:
    """A published angle gives its share, one between gives one between (Melrose & Dawes 2015)."""
    points = [(angle, mean / 100) for angle, (mean, _) in MELROSE_DAWES_2015_PERCENT.items()]

    for angle, (mean, sd) in MELROSE_DAWES_2015_PERCENT.items():
        assert fraction_at_height(points, angle) == pytest.approx(mean / 100)
        # 75 sin(angle) describes the two steep rows (derived from the same table).
        if angle <= 45:
            assert abs(75 * math.sin(math.radians(angle)) - mean) < sd
    assert fraction_at_height(points, 52.5) == pytest.approx((0.5288 + 0.6808) / 2)


def test_vest_and_counterweight_by_statics() -> None:
    """A vest by moments about the toes, a counterweight by the balance of forces at a pulley (statics, by hand).

    80 kg with the centre 1.008 m from the toes and a vest of 10 kg at 1.296 m, hands at 1.4724 m: 80.64 + 12.96 =
    93.60 kg m, which is 63.57 kg on the hands. The shares are 1.008 / 1.4724 = 0.6846 and 1.296 / 1.4724 = 0.8802.
    70 kg hang from a bar, helped by 50 kg over one movable pulley, which halves them: 45 kg are left to the arms.
    """
    vest = effective_load(fraction=0.6846, body_mass_kg=80.0, external_share=0.8802, external_kg=10.0)
    assisted = effective_load(fraction=1.0, body_mass_kg=70.0, assistance_kg=25.0)
    barbell = effective_load(fraction=0.0, body_mass_kg=80.0, external_kg=60.0)

    assert vest == pytest.approx(63.57, abs=0.01)
    assert assisted == pytest.approx(45.0)
    assert barbell == pytest.approx(60.0)  # the bar alone, whoever curls it


@pytest.mark.parametrize(
    ("fraction", "assistance"), [(0.0, 0.0), (0.5, 40.0), (0.5, 60.0), (0.1, 0.3 * 10 + 5)]
)
def test_nothing_positive_is_not_a_load(fraction: float, assistance: float) -> None:
    """Where assistance takes everything, rounding included, there is no load."""
    assert effective_load(fraction=fraction, body_mass_kg=80.0, assistance_kg=assistance) is None


@pytest.mark.parametrize(
    "wrong",
    [
        {"body_mass_kg": 0.0},
        {"body_mass_kg": math.nan},
        {"fraction": -0.1},
        {"external_kg": -1.0},
        {"assistance_kg": math.inf},
        {"external_share": math.nan},
    ],
)
def test_impossible_arguments_are_refused(wrong: dict[str, float]) -> None:
    """Negative, non-finite and massless arguments raise ValueError that names the argument."""
    with pytest.raises(ValueError, match=next(iter(wrong))):
        effective_load(**({"fraction": 0.6, "body_mass_kg": 80.0} | wrong))


@given(mass=masses, external=loads, assistance=loads, more=st.floats(0.1, 50))
def test_load_moves_with_its_parts(mass: float, external: float, assistance: float, more: float) -> None:
    """More external load is never lighter, more assistance never heavier."""

    def load(**changed: float) -> float:
        settings = {"external_kg": external, "assistance_kg": assistance} | changed
        return effective_load(fraction=0.64, body_mass_kg=mass, external_share=0.7, **settings) or 0.0

    assert load(external_kg=external + more) >= load()
    assert load(assistance_kg=assistance + more) <= load()


def test_height_between_measured_points() -> None:
    """Published heights give published shares; half-way between two, their mean."""
    for height, fraction in EBBEN_2011_HEIGHTS_CM:
        assert fraction_at_height(EBBEN_2011_HEIGHTS_CM, height) == pytest.approx(fraction)
    assert fraction_at_height(EBBEN_2011_HEIGHTS_CM, 15.24) == pytest.approx(0.595)
    assert fraction_at_height([(10.0, 0.5)], 10.0) == 0.5


@given(low=st.floats(-60, 60), high=st.floats(-60, 60))
def test_higher_hands_are_lighter(low: float, high: float) -> None:
    """The share falls as the hands rise."""
    low, high = sorted((low, high))
    assert fraction_at_height(EBBEN_2011_HEIGHTS_CM, low) >= fraction_at_height(EBBEN_2011_HEIGHTS_CM, high)


@pytest.mark.parametrize("height", [-61.0, 61.0, math.nan])
def test_unmeasured_heights_are_refused(height: float) -> None:
    """Outside the measured range there is no fraction."""
    with pytest.raises(ValueError, match="not measured"):
        fraction_at_height(EBBEN_2011_HEIGHTS_CM, height)


@pytest.mark.parametrize("points", [[], [(10.0, 0.5), (10.0, 0.6)], [(20.0, 0.4), (10.0, 0.5)]])
def test_points_that_are_no_table_are_refused(points: list[tuple[float, float]]) -> None:
    """No points, a height twice, or a descending table raise ValueError."""
    with pytest.raises(ValueError, match="height"):
        fraction_at_height(points, 15.0)


def test_two_in_the_hands_are_said_as_two():
    """32 kg in all are two of 16; one piece is itself."""
    assert [load_said(32.0, 2), load_said(5.0, 2), load_said(22.5, 1)] == [
        "2 × 16 kg",
        "2 × 2.5 kg",
        "22.5 kg",
    ]
