"""The shipped catalogue: every entry can be computed with, is sourced, and its ladders climb."""

from itertools import pairwise

import pytest

from programming.calc.catalogue import parse_variation
from programming.calc.kit import Kit, KitItem, options
from programming.calc.load import effective_load, fraction_at_height
from programming.calc.reader import DocumentError
from programming.calc.variation import Option, Variation
from programming.catalogue.shipped import ShippedMovement, shipped_catalogue

BODY_MASS_KG = 80.0
EVERYTHING = Kit(
    {name: KitItem() for name in ("rings", "pull_up_bar", "dip_bars", "bench", "rack", "wall")}
    | {
        "box": KitItem(heights_cm=(30.48, 60.96)),
        "barbell": KitItem(loads_kg=(20.0, 60.0)),
        "dumbbell": KitItem(loads_kg=(8.0, 24.0)),
        "kettlebell": KitItem(loads_kg=(8.0, 24.0)),
        "vest": KitItem(loads_kg=(10.0,)),
        "belt": KitItem(loads_kg=(5.0, 10.0)),
        "band": KitItem(assistances_kg=(15.0,)),
        "counterweight": KitItem(assistances_kg=(20.0,)),
    }
)
MOVEMENTS = shipped_catalogue()
VARIATIONS = {v.key: v.entry.variation for movement in MOVEMENTS for v in movement.variations}


def plain_kg(variation: Variation) -> float:
    """The effective load without optional settings; required ones at their lightest."""
    found = options(variation, EVERYTHING, BODY_MASS_KG)

    def is_plain(option: Option) -> bool:
        used = {"load": option.load_kg, "assistance": option.assistance_kg, "height": option.height_cm}
        return {name for name, value in used.items() if value is not None} == variation.required

    return min(option.effective_kg for option in found if is_plain(option))


def test_the_catalogue_covers_the_patterns() -> None:
    """At least 12 families and 35 variations, over every pattern that the vocabulary has."""
    from programming.calc.catalogue import PATTERNS

    assert len(MOVEMENTS) >= 12
    assert len(VARIATIONS) >= 35
    assert {movement.pattern for movement in MOVEMENTS} == PATTERNS


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda movement: movement.key)
def test_an_entry_says_where_its_numbers_come_from(movement: ShippedMovement) -> None:
    """A source for the prior and for every fraction, a standard, muscles for the fatigue state."""
    assert movement.prior is None or movement.prior.source
    for shipped in movement.variations:
        assert shipped.entry.variation.fraction_source
        assert len(shipped.entry.standard) > 20
        assert shipped.entry.variation.muscle_groups
        assert shipped.entry.variation.curve_applies == movement.curve_applies
        assert shipped.entry.variation.movement == movement.key


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda movement: movement.key)
def test_a_ladder_climbs_strictly_in_effective_load(movement: ShippedMovement) -> None:
    """Each rung without optional settings is heavier than the one before, at one body mass."""
    rungs = [shipped.entry.variation.rung for shipped in movement.variations]
    loads = [plain_kg(shipped.entry.variation) for shipped in movement.variations]
    assert all(lower < upper for lower, upper in pairwise(rungs))
    assert all(lower < upper for lower, upper in pairwise(loads)), loads


def test_jumps_and_explosive_lifts_have_no_curve() -> None:
    """The load-repetition curve is not used where it does not hold."""
    for movement in MOVEMENTS:
        if movement.pattern in ("jump", "explosive_lift"):
            assert not movement.curve_applies
            assert movement.prior is None


def test_push_ups_follow_ebben() -> None:
    """Order and loads at 80 kg of the six push-ups of Ebben et al. 2011 (coefficients from memory)."""

    def at(key: str, height_cm: float | None) -> float:
        variation = VARIATIONS[key]
        share = variation.body_mass_fraction
        if height_cm is not None:
            share = fraction_at_height(variation.height_fractions, height_cm)
        load = effective_load(fraction=share, body_mass_kg=BODY_MASS_KG)
        assert load is not None
        return load

    loads = [
        at("push_up_hands_raised", 60.96),
        at("push_up_knees", None),
        at("push_up_hands_raised", 30.48),
        at("push_up_floor", None),
        at("push_up_feet_raised", 30.48),
        at("push_up_feet_raised", 60.96),
    ]
    assert loads == pytest.approx([32.8, 39.2, 44.0, 51.2, 56.0, 59.2])


def test_rows_follow_melrose_and_dawes() -> None:
    """Shares of body mass by angle of the suspension row (Melrose & Dawes 2015, abstract)."""
    shares = [VARIATIONS[f"row_{angle}"].body_mass_fraction for angle in (30, 45, 60, 75)]
    assert shares == pytest.approx([0.3744, 0.5288, 0.6808, 0.7938])


def test_a_required_setting_is_never_left_out() -> None:
    """A goblet squat always has its kettlebell; body weight alone is another variation."""
    found = options(VARIATIONS["goblet_squat"], EVERYTHING, BODY_MASS_KG)
    assert [option.load_kg for option in found] == [8.0, 24.0]
    raised = options(VARIATIONS["push_up_hands_raised"], EVERYTHING, BODY_MASS_KG)
    assert [option.height_cm for option in raised] == [60.96, 30.48]


def test_the_typical_adult_of_the_prior() -> None:
    """The prior at 80 kg: ten bench presses at 58 % of body mass, k like the published bench press."""
    prior = next(movement.prior for movement in MOVEMENTS if movement.key == "bench_press")
    assert prior is not None
    at_80 = prior.at(80.0)
    assert at_80.log_l10 == pytest.approx(3.8373, abs=1e-4)  # ln(46.4)
    assert at_80.log_k == pytest.approx(-3.6306, abs=1e-4)  # ln(0.0265)


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"body_mass_fraction": float("nan")}, "/body_mass_fraction", "out_of_range"),
        ({"body_mass_fraction": 1.3}, "/body_mass_fraction", "out_of_range"),
        ({"body_mass_fraction": True}, "/body_mass_fraction", "not_a_number"),
        ({"colour": "red"}, "/colour", "unknown_field"),
        ({"fraction_source": " "}, "/fraction_source", "blank"),
        ({"hazards": ["sharks"]}, "/hazards/0", "unknown_choice"),
        ({"muscle_groups": {"chest": 0}}, "/muscle_groups/chest", "out_of_range"),
        ({"muscle_groups": {"che/st": 1}}, "/muscle_groups/che~1st", "unknown_choice"),
        ({"adjustable": ["load"]}, "/load_item", "missing_field"),
        ({"required": ["load"]}, "/required", "not_adjustable"),
        ({"height_fractions": [[30, 0.5], [30, 0.4]]}, "/height_fractions/1/0", "not_ascending"),
        ({"curve_applies": 1}, "/curve_applies", "not_a_boolean"),
    ],
)
def test_a_wrong_variation_document_is_refused_at_its_place(
    change: dict[str, object], pointer: str, code: str
) -> None:
    """Each fault has the pointer of its place and a stable code."""
    good = {
        "key": "wall_push_up", "movement": "push_up", "rung": 1, "body_mass_fraction": 0.3,
        "fraction_source": "estimate", "standard": "The nose touches the wall, then elbows straight.",
    }  # fmt: skip
    parse_variation(good)
    with pytest.raises(DocumentError) as caught:
        parse_variation(good | change)
    assert (pointer, code) in {(problem.pointer, problem.code) for problem in caught.value.problems}
