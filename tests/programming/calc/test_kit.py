"""The ways to perform a variation with what a place has."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programming.calc.kit import Kit, KitError, KitItem, options, parse_kit
from programming.calc.variation import Option, Variation
from tests.references.strength import EBBEN_2011_HEIGHTS_CM

PUSH_UP = Variation(
    key="push_up",
    movement="horizontal_push",
    rung=2,
    body_mass_fraction=0.64,
    height_fractions=EBBEN_2011_HEIGHTS_CM,
    external_share=0.8,
    adjustable=frozenset({"load", "height"}),
    load_item="vest",
    height_item="box",
)
PULL_UP = Variation(
    key="pull_up",
    movement="vertical_pull",
    rung=3,
    body_mass_fraction=1.0,
    adjustable=frozenset({"load", "assistance"}),
    load_item="belt",
    assistance_item=("band", "counterweight"),
    needs=frozenset({"pull_up_bar"}),
)
BENCH = Variation(
    key="bench_press",
    movement="bench_press",
    rung=1,
    body_mass_fraction=0.0,
    adjustable=frozenset({"load"}),
    load_item="barbell",
    needs=frozenset({"barbell", "bench"}),
)


def kit(**items: dict[str, list[float]]) -> Kit:
    return parse_kit({"items": items})


def test_empty_room_leaves_body_weight() -> None:
    """Without any equipment a push-up on the floor is the one option."""
    assert options(PUSH_UP, kit(), 80.0) == [Option("push_up", None, None, None, pytest.approx(51.2))]


def test_missing_equipment_gives_nothing() -> None:
    """A variation whose equipment the place lacks is never offered."""
    assert options(PULL_UP, kit(belt={"loads_kg": [10]}), 80.0) == []
    assert options(BENCH, kit(barbell={"loads_kg": [20, 40]}), 80.0) == []


def test_barbell_takes_the_bar_alone() -> None:
    """Body mass does not enter a barbell's load, and an empty hand is not an option."""
    offered = options(BENCH, kit(barbell={"loads_kg": [20, 22.5]}, bench={}), 80.0)

    assert [(option.load_kg, option.effective_kg) for option in offered] == [(20.0, 20.0), (22.5, 22.5)]


def test_load_and_assistance_exclude_each_other() -> None:
    """Pull-ups with bands, a counterweight or a belt: lightest first, help offered twice listed once."""
    place = kit(
        pull_up_bar={},
        band={"assistances_kg": [15, 90]},
        counterweight={"assistances_kg": [10, 15]},
        belt={"loads_kg": [5]},
    )

    offered = [
        (option.load_kg, option.assistance_kg, option.effective_kg)
        for option in options(PULL_UP, place, 80.0)
    ]

    assert offered == [(None, 15.0, 65.0), (None, 10.0, 70.0), (None, None, 80.0), (5.0, None, 85.0)]


def test_only_measured_heights() -> None:
    """A box higher than any that was measured is not offered; the vest counts with the lever's share."""
    place = kit(box={"heights_cm": [30.48, 100]}, vest={"loads_kg": [10]})

    offered = [
        (option.height_cm, option.load_kg, option.effective_kg) for option in options(PUSH_UP, place, 80.0)
    ]

    assert offered == [
        (30.48, None, pytest.approx(44.0)),
        (None, None, pytest.approx(51.2)),
        (30.48, 10.0, pytest.approx(52.0)),
        (None, 10.0, pytest.approx(59.2)),
    ]


def test_settings_that_are_never_left_out() -> None:
    """With the load required there is no option without one; with the height required none on the floor."""
    place = kit(box={"heights_cm": [30.48]}, vest={"loads_kg": [10]})

    loaded = options(replace(PUSH_UP, required=frozenset({"load"})), place, 80.0)
    raised = options(replace(PUSH_UP, required=frozenset({"height"})), place, 80.0)

    assert [(option.load_kg, option.height_cm) for option in loaded] == [(10.0, 30.48), (10.0, None)]
    assert [(option.load_kg, option.height_cm) for option in raised] == [(None, 30.48), (10.0, 30.48)]
    assert options(replace(PUSH_UP, required=frozenset({"load"})), kit(), 80.0) == []


settings_lists = st.lists(st.integers(1, 120).map(float), max_size=5, unique=True).map(sorted)


@given(loads=settings_lists, bands=settings_lists, weights=settings_lists, mass=st.floats(40, 150))
def test_options_against_enumeration(
    loads: list[float], bands: list[float], weights: list[float], mass: float
) -> None:
    """Every combination that leaves something to move is there exactly once, ascending."""
    place = kit(
        pull_up_bar={},
        belt={"loads_kg": loads},
        band={"assistances_kg": bands},
        counterweight={"assistances_kg": weights},
    )
    expected = set()
    for load, help_kg in product([0.0, *loads], [0.0, *bands, *weights]):
        if (load == 0.0 or help_kg == 0.0) and mass + load - help_kg > 1e-9:
            expected.add((load, help_kg))

    offered = options(PULL_UP, place, mass)

    assert len(offered) == len(expected)
    assert {(option.load_kg or 0.0, option.assistance_kg or 0.0) for option in offered} == expected
    assert [option.effective_kg for option in offered] == sorted(option.effective_kg for option in offered)


def test_kit_that_parses() -> None:
    """Lists become ascending tuples, items without settings stay known."""
    parsed = parse_kit({"items": {"rings": {}, "box": {"heights_cm": [30, 60]}}})

    assert parsed == Kit({"rings": KitItem(), "box": KitItem(heights_cm=(30.0, 60.0))})


@pytest.mark.parametrize(
    ("document", "pointers"),
    [
        ([], [""]),
        ({}, ["/items"]),
        ({"items": []}, ["/items"]),
        ({"items": {}, "more": 1}, ["/more"]),
        ({"items": {"Bad Name": {}}}, ["/items/Bad Name"]),
        ({"items": {"a/b": {}}}, ["/items/a~1b"]),
        ({"items": {"vest": []}}, ["/items/vest"]),
        ({"items": {"vest": {"loads": []}}}, ["/items/vest/loads"]),
        ({"items": {"vest": {"loads_kg": 5}}}, ["/items/vest/loads_kg"]),
        ({"items": {"vest": {"loads_kg": [5, 5]}}}, ["/items/vest/loads_kg/1"]),
        ({"items": {"vest": {"loads_kg": [10, 5]}}}, ["/items/vest/loads_kg/1"]),
        (
            {"items": {"vest": {"loads_kg": [0.5, True, "x"]}}},
            ["/items/vest/loads_kg/1", "/items/vest/loads_kg/2"],
        ),
        ({"items": {"vest": {"loads_kg": [501]}}}, ["/items/vest/loads_kg/0"]),
        ({"items": {"vest": {"loads_kg": [float("nan")]}}}, ["/items/vest/loads_kg/0"]),
        ({"items": {"vest": {"loads_kg": [0, 0.0]}}}, ["/items/vest/loads_kg/0", "/items/vest/loads_kg/1"]),
        ({"items": {"vest": {"loads_kg": [i + 1 for i in range(201)]}}}, ["/items/vest/loads_kg"]),
        ({"items": {f"item_{i}": {} for i in range(101)}}, ["/items"]),
    ],
)
def test_kit_that_does_not_parse(document: object, pointers: list[str]) -> None:
    """Every problem is listed, with the place where it stands."""
    with pytest.raises(KitError) as refused:
        parse_kit(document)

    assert set(pointers) <= {problem.pointer for problem in refused.value.problems}
    assert len(refused.value.problems) <= 2 * len(pointers)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"body_mass_fraction": 1.3}, "fraction"),
        ({"external_share": -0.1}, "external_share"),
        ({"adjustable": frozenset({"colour"})}, "colour"),
        ({"load_item": None}, "load_item"),
        ({"height_item": None}, "height_item"),
        ({"height_fractions": ((30.0, 0.5), (20.0, 0.6))}, "ascend"),
        ({"adjustable": frozenset({"assistance"})}, "assistance_item"),
        ({"muscle_groups": (("chest", 0.0),)}, "chest"),
    ],
)
def test_variation_that_contradicts_itself(changed: dict[str, object], told: str) -> None:
    """A variation that could not be calculated is refused where it is made."""
    good = {name: getattr(PUSH_UP, name) for name in PUSH_UP.__dataclass_fields__}
    with pytest.raises(ValueError, match=told):
        Variation(**(good | changed))


def test_an_absurd_kit_stays_computable():
    """Two hundred loads at two hundred heights are thinned out, from the lightest to the heaviest."""
    variation = Variation(
        key="deep",
        movement="any",
        rung=1,
        body_mass_fraction=0.6,
        height_fractions=((0.0, 0.6), (300.0, 0.4)),
        adjustable=frozenset({"load", "height"}),
        load_item="vest",
        height_item="box",
    )
    loads = [float(kg) for kg in range(1, 201)]
    heights = [float(cm) for cm in range(1, 201)]
    kit = parse_kit({"items": {"vest": {"loads_kg": loads}, "box": {"heights_cm": heights}}})
    found = options(variation, kit, 80.0)
    assert 300 <= len(found) <= 900
    assert {option.load_kg for option in found} == {None, *loads}


CARRY = replace(BENCH, key="carry", load_item="kettlebell", implements=2, needs=frozenset({"kettlebell"}))
ONE_HAND = replace(CARRY, key="one_hand", implements=1)


def test_what_is_done_with_one_in_each_hand_takes_a_pair() -> None:
    """Two of 16, one of 24, two of 12: 24 and 32 kg in both hands, 12, 16 or 24 in one."""
    rack = kit(kettlebell={"loads_kg": [24], "pairs_kg": [12, 16]})

    assert [one.load_kg for one in options(CARRY, rack, 80.0)] == [24.0, 32.0]
    assert [one.effective_kg for one in options(CARRY, rack, 80.0)] == [24.0, 32.0]
    assert [one.load_kg for one in options(ONE_HAND, rack, 80.0)] == [12.0, 16.0, 24.0]


def test_without_pairs_nothing_is_done_with_two_and_where_nothing_is_said_loads_are_totals() -> None:
    """An empty list is an answer, no list is none: then the loads are what is moved, as written down before."""
    said, silent = kit(kettlebell={"loads_kg": [16], "pairs_kg": []}), kit(kettlebell={"loads_kg": [16]})

    assert options(CARRY, said, 80.0) == []
    assert [one.load_kg for one in options(CARRY, silent, 80.0)] == [16.0]
    assert [one.load_kg for one in options(ONE_HAND, said, 80.0)] == [16.0]


@pytest.mark.parametrize(
    ("pairs", "pointer"), [([16, 12], "/1"), ([0], "/0"), ([251], "/0"), (["12"], "/0"), ([12, 12], "/1")]
)
def test_pairs_are_weights_of_one_ascending(pairs: list[float], pointer: str) -> None:
    """Two of 250 kg are the most that a load may be."""
    with pytest.raises(KitError) as refused:
        kit(kettlebell={"pairs_kg": pairs})
    assert [one.pointer for one in refused.value.problems] == [f"/items/kettlebell/pairs_kg{pointer}"]


def test_nobody_holds_three() -> None:
    """One or two hands."""
    with pytest.raises(ValueError, match="implements"):
        replace(CARRY, implements=3)
