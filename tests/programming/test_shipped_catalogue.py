"""The shipped catalogue: every entry can be computed with, is sourced, and its ladders climb."""

import math
from itertools import pairwise

import pytest

from programming.calc.catalogue import (
    CAPACITY_KINDS,
    HAZARDS,
    MUSCLE_GROUPS,
    PATTERNS,
    CyclicalPrior,
    HoldPrior,
    MovementPrior,
    parse_variation,
)
from programming.calc.kit import Kit, KitItem, options
from programming.calc.load import effective_load, fraction_at_height
from programming.calc.reader import DocumentError
from programming.calc.variation import UNITS, Option, Variation
from programming.catalogue.shipped import ShippedMovement, shipped_catalogue

BODY_MASS_KG = 80.0
MOVEMENTS = shipped_catalogue()
VARIATIONS = {v.key: v.entry.variation for movement in MOVEMENTS for v in movement.variations}
MOVEMENT_OF = {v.key: movement for movement in MOVEMENTS for v in movement.variations}


def _everything() -> Kit:
    """A place that has whatever any entry names."""
    named = {
        name
        for v in VARIATIONS.values()
        for name in (*v.needs, *v.assistance_item, v.load_item, v.height_item)
        if name is not None
    }
    return Kit({name: KitItem((8.0, 24.0), (15.0, 20.0), (30.48, 60.96)) for name in named})


EVERYTHING = _everything()


def plain_kg(variation: Variation) -> float:
    """The effective load without optional settings; required ones at their lightest."""
    found = options(variation, EVERYTHING, BODY_MASS_KG)

    def is_plain(option: Option) -> bool:
        used = {"load": option.load_kg, "assistance": option.assistance_kg, "height": option.height_cm}
        return {name for name, value in used.items() if value is not None} == variation.required

    return min(option.effective_kg for option in found if is_plain(option))


def test_the_catalogue_covers_the_patterns() -> None:
    """At least 90 variations, over every pattern and every kind of capacity that the vocabulary has."""
    assert len(VARIATIONS) >= 90
    assert {movement.pattern for movement in MOVEMENTS} == PATTERNS
    assert {movement.capacity_kind for movement in MOVEMENTS} == set(CAPACITY_KINDS)


BODY_WEIGHT = [v.key for v in VARIATIONS.values() if v.body_mass_fraction > 0 and not v.required & {"load"}]


def _with(item: str) -> list[str]:
    return [v.key for v in VARIATIONS.values() if v.load_item == item]


def _of(*keys: str) -> list[str]:
    return [key for key, movement in MOVEMENT_OF.items() if movement.key in keys]


def _pattern(*patterns: str) -> list[str]:
    return [key for key in BODY_WEIGHT if MOVEMENT_OF[key].pattern in patterns]


@pytest.mark.parametrize(
    ("mode", "found", "least"),
    [
        ("push", _pattern("horizontal_push"), 4), ("pull", _pattern("vertical_pull"), 4),
        ("dip", _of("dip", "ring_dip"), 3), ("row", _pattern("horizontal_pull"), 4),
        ("squat", _pattern("squat"), 3), ("lunge", _pattern("lunge"), 4), ("hinge", _pattern("hinge"), 3),
        ("core", _pattern("trunk"), 6), ("jump", _pattern("jump"), 4), ("climb", _pattern("climb"), 3),
        ("barbell", _with("barbell"), 12), ("dumbbell", _with("dumbbell"), 10),
        ("kettlebell", _with("kettlebell"), 8), ("belt", _with("belt"), 3),
        ("machine", [k for k, v in VARIATIONS.items() if v.load_item and "machine" in v.load_item], 4),
        ("help of a band", [k for k, v in VARIATIONS.items() if "band" in v.assistance_item], 3),
        ("help of a machine", [k for k, v in VARIATIONS.items() if "counterweight" in v.assistance_item], 3),
        ("run", _of("run"), 2), ("row on a machine", _of("row_machine"), 1), ("ski", _of("ski_machine"), 1),
        ("bike", _of("bike", "fan_bike"), 2),
        ("metres", [k for k, v in VARIATIONS.items() if "distance_m" in v.counted_in], 10),
        ("calories", [k for k, v in VARIATIONS.items() if "energy_kcal" in v.counted_in], 4),
        ("carries", [k for k in _with("kettlebell") + _with("sandbag") if MOVEMENT_OF[k].pattern == "carry"], 3),
        ("holds", [k for k, v in VARIATIONS.items() if v.counted_in == ("hold_s",)], 12),
        ("skills", _pattern("skill"), 5),
    ],
)  # fmt: skip
def test_every_mode_is_there(mode: str, found: list[str], least: int) -> None:
    """What a mixed-ability gym does: body weight, weights, machines, bands, cyclical work, carries, holds, skills."""
    assert len(found) >= least, (mode, found)


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda movement: movement.key)
def test_an_entry_says_where_its_numbers_come_from(movement: ShippedMovement) -> None:
    """A source for the prior and for every fraction, a standard, muscles for the fatigue state."""
    assert (movement.prior is None) == (movement.capacity_kind == "none")
    assert movement.prior is None or movement.prior.source
    for shipped in movement.variations:
        assert shipped.entry.variation.fraction_source
        assert len(shipped.entry.standard) > 20
        assert set(dict(shipped.entry.variation.muscle_groups)) <= MUSCLE_GROUPS
        assert shipped.entry.variation.muscle_groups[0][1] >= 0.6
        assert shipped.entry.variation.curve_applies == movement.curve_applies
        assert shipped.entry.variation.movement == movement.key


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda movement: movement.key)
def test_a_kind_of_capacity_is_counted_in_its_own_unit(movement: ShippedMovement) -> None:
    """Holds in seconds, cyclical work in metres or energy, what has a curve in repetitions."""
    for shipped in movement.variations:
        counted = set(shipped.entry.variation.counted_in)
        assert counted <= set(UNITS)
        assert shipped.entry.variation.repetition_s > 0
        if movement.capacity_kind == "hold":
            assert counted == {"hold_s"}
        elif movement.capacity_kind == "cyclical":
            assert counted <= {"distance_m", "energy_kcal"}
            assert shipped.entry.variation.eccentric == 0
        elif movement.capacity_kind == "load_repetition":
            assert "repetitions" in counted


@pytest.mark.parametrize(
    "movement",
    [movement for movement in MOVEMENTS if movement.capacity_kind in ("load_repetition", "hold")],
    ids=lambda movement: movement.key,
)
def test_a_ladder_climbs_strictly_in_effective_load(movement: ShippedMovement) -> None:
    """Each rung without optional settings is heavier than the one before, at one body mass."""
    rungs = [shipped.entry.variation.rung for shipped in movement.variations]
    loads = [plain_kg(shipped.entry.variation) for shipped in movement.variations]
    assert all(lower < upper for lower, upper in pairwise(rungs))
    assert all(lower < upper for lower, upper in pairwise(loads)), loads


@pytest.mark.parametrize("key", VARIATIONS)
def test_where_something_is_missing_it_is_not_offered(key: str) -> None:
    """With everything there is an option; without any one thing that it needs there is none."""
    variation = VARIATIONS[key]
    assert options(variation, EVERYTHING, BODY_MASS_KG)
    needed = set(variation.needs)
    if "load" in variation.required:
        needed.add(str(variation.load_item))
    if "height" in variation.required:
        needed.add(str(variation.height_item))
    for name in needed:
        left = Kit({item: settings for item, settings in EVERYTHING.items.items() if item != name})
        assert options(variation, left, BODY_MASS_KG) == []


def test_what_needs_nothing_needs_nothing() -> None:
    """In an empty room only body weight is left, and a cyclical machine is never there."""
    here = {key for key, v in VARIATIONS.items() if options(v, Kit(), BODY_MASS_KG)}
    assert {"push_up_floor", "body_weight_squat", "plank", "sit_up", "jump_squat"} <= here
    for key in here:
        assert VARIATIONS[key].body_mass_fraction > 0
        assert not VARIATIONS[key].needs
    assert MOVEMENT_OF.keys() - here >= {"row_machine", "bike_stationary", "run_treadmill", "run_course"}


@pytest.mark.parametrize("movement", MOVEMENTS, ids=lambda movement: movement.key)
def test_masses_and_powers_are_those_of_people(movement: ShippedMovement) -> None:
    """At 80 kg: ten repetitions or a minute of 2 to 200 kg, within a factor of four of what the ladder offers;
    40 to 400 W with 5 to 40 kJ above; 1.5 to 6 m/s with 50 to 400 m above."""
    prior = movement.prior
    if isinstance(prior, CyclicalPrior):
        start = prior.at(BODY_MASS_KG)
        low, high, least, most = (40, 400, 5_000, 40_000) if start.measure == "power" else (1.5, 6, 50, 400)
        assert low <= math.exp(start.log_critical) <= high
        assert least <= math.exp(start.log_reserve) <= most
        return
    if isinstance(prior, MovementPrior):
        typical = math.exp(prior.at(BODY_MASS_KG).log_l10)
    elif isinstance(prior, HoldPrior):
        typical = math.exp(prior.at(BODY_MASS_KG).log_l60)
    else:
        return
    assert 2 <= typical <= 200
    body = [plain_kg(s.entry.variation) for s in movement.variations if s.entry.variation.body_mass_fraction]
    assert not body or min(body) / 4 <= typical <= max(body) * 4


def test_hazards_are_named_where_work_is_known_to_have_them() -> None:
    """What a limit must keep away from an athlete: jumps, work overhead and upside down, the bar on the body."""
    for key, variation in VARIATIONS.items():
        movement = MOVEMENT_OF[key]
        assert variation.hazards, key
        assert variation.hazards <= HAZARDS
        words = f"{key} {movement.key} {movement.name} {shipped_standard(key)}".lower()
        if movement.pattern == "jump" or "jump" in key or movement.key in ("run", "shuttle_run"):
            assert "impact" in variation.hazards, key
            assert variation.hazards & {"knee", "ankle"}, key
        if (
            "overhead" in words
            or "above the head" in words
            or movement.key in ("pull_up", "chin_up", "bar_hang")
        ):
            assert "overhead" in variation.hazards, key
        if any(word in key for word in ("handstand", "pike", "cartwheel", "wall_walk")):
            assert {"inversion", "wrist", "shoulder"} <= variation.hazards, key
        if key.startswith(
            ("bench_press_barbell", "incline_bench_press_b", "back_squat", "front_squat", "good_m")
        ):
            assert {"under_load", "breath_holding"} <= variation.hazards, key
        if movement.pattern in ("squat", "lunge", "jump"):
            assert variation.hazards & {"knee", "ankle"}, key
        if movement.pattern == "hinge" and movement.key != "leg_curl":
            assert variation.hazards & {"lower_back", "hip"}, key


def test_what_holding_the_load_asks_of_the_arms() -> None:
    """Common practice, no source: a bar on the back turns the shoulders out, one in front bends the wrists back and
    the elbows fully, a barbell pulled to the shoulders asks for all three, and what goes overhead for the shoulders.
    """
    asked: dict[str, set[str]] = {}
    for key, variation in VARIATIONS.items():
        words = f"{key} {shipped_standard(key)}".lower()
        if "bar on the back" in words:
            asked[key] = {"shoulder"}
        elif "bar on the shoulders in front" in words:
            asked[key] = {"wrist", "elbow"}
        elif "clean_barbell" in key or "_to_shoulder" in key:
            asked[key] = {"shoulder", "elbow"}
        elif "overhead" in variation.hazards:
            asked[key] = {"shoulder"}
    lacking = {key: found for key, parts in asked.items() if (found := parts - VARIATIONS[key].hazards)}
    assert lacking == {}
    assert {"back_squat_barbell", "good_morning_barbell", "front_squat_barbell", "pull_up"} <= asked.keys()
    assert {"goblet_squat", "deadlift_barbell"} <= {
        key for key, one in VARIATIONS.items() if "shoulder" not in one.hazards
    }, "what spares a shoulder is left"


def shipped_standard(key: str) -> str:
    return next(v.entry.standard for v in MOVEMENT_OF[key].variations if v.key == key)


def test_jumps_skills_and_explosive_lifts_keep_no_capacity() -> None:
    """The load-repetition curve is not used where it does not hold."""
    for movement in MOVEMENTS:
        if movement.pattern in ("jump", "explosive_lift", "skill", "climb"):
            assert movement.capacity_kind == "none"
            assert movement.prior is None


def test_energy_that_a_machine_displays() -> None:
    """15 displayed kilocalories are about 16 kJ of work: 4184 J a kilocalorie at a quarter efficiency.

    The quarter is common knowledge of human gross efficiency (0.20 to 0.25), from memory.
    """
    for key in ("row_machine", "ski_machine", "fan_bike", "bike_stationary"):
        work = VARIATIONS[key].work_j_per_kcal
        assert work is not None
        assert 15 * work == pytest.approx(16_000, rel=0.01)
        assert 0.20 <= work / 4184 <= 0.26


def test_power_of_a_rowing_machine() -> None:
    """P = 2.8 v^3 (from memory): 500 m in 2:00 is 203 W; it costs the square of the pace more than time."""
    c = VARIATIONS["row_machine"].power_per_cubed_speed
    assert c is not None
    assert c * (500 / 120) ** 3 == pytest.approx(202.5, abs=0.1)
    assert VARIATIONS["bike_stationary"].power_per_cubed_speed is None
    assert "distance_m" not in VARIATIONS["bike_stationary"].counted_in


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


def test_static_push_up_positions_follow_suprak() -> None:
    """Suprak et al. 2011 (from memory): top 69.16 % and 53.56 % (knees), bottom 75.04 % and 61.80 %."""
    keys = ("plank", "plank_knees", "push_up_hold", "push_up_hold_knees")
    shares = [VARIATIONS[key].body_mass_fraction for key in keys]
    assert shares == pytest.approx([0.6916, 0.5356, 0.7504, 0.6180])


def test_rows_follow_melrose_and_dawes() -> None:
    """Shares of body mass by angle of the suspension row (Melrose & Dawes 2015, abstract)."""
    shares = [VARIATIONS[f"row_{angle}"].body_mass_fraction for angle in (30, 45, 60, 75)]
    assert shares == pytest.approx([0.3744, 0.5288, 0.6808, 0.7938])


def test_segments_follow_winter() -> None:
    """Shares from segment masses of Winter (from memory): hand .006, forearm .016, foot .0145, foot and shank
    .061, leg .161 of the body."""
    expected = {
        "body_weight_squat": 1 - 2 * 0.061, "wall_sit": 1 - 2 * 0.061, "single_leg_squat": 1 - 0.061,
        "handstand_push_up": 1 - 2 * 0.022, "rope_climb_feet": 1 - 2 * 0.022,
        "hanging_leg_raise": 2 * 0.161, "lying_leg_raise": 2 * 0.161, "calf_raise": 1 - 2 * 0.0145,
    }  # fmt: skip
    shares = {key: VARIATIONS[key].body_mass_fraction for key in expected}
    assert shares == pytest.approx(expected)


def test_a_required_setting_is_never_left_out() -> None:
    """A goblet squat always has its kettlebell; body weight alone is another variation."""
    found = options(VARIATIONS["goblet_squat"], EVERYTHING, BODY_MASS_KG)
    assert [option.load_kg for option in found] == [8.0, 24.0]
    raised = options(VARIATIONS["push_up_hands_raised"], EVERYTHING, BODY_MASS_KG)
    assert [option.height_cm for option in raised] == [60.96, 30.48]


def test_the_typical_adult_of_the_prior() -> None:
    """The prior at 80 kg: ten bench presses at 58 % of body mass, k like the published bench press."""
    prior = next(movement.prior for movement in MOVEMENTS if movement.key == "bench_press")
    assert isinstance(prior, MovementPrior)
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
        ({"counted_in": []}, "/counted_in", "wrong_length"),
        ({"counted_in": ["laps"]}, "/counted_in/0", "unknown_choice"),
        ({"counted_in": ["energy_kcal"]}, "/work_j_per_kcal", "missing_field"),
        ({"repetition_s": 0}, "/repetition_s", "out_of_range"),
        ({"eccentric": 1.5}, "/eccentric", "out_of_range"),
        ({"work_j_per_kcal": -1}, "/work_j_per_kcal", "out_of_range"),
        ({"power_per_cubed_speed": float("inf")}, "/power_per_cubed_speed", "out_of_range"),
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
    read = parse_variation(good).variation
    assert (read.counted_in, read.repetition_s, read.eccentric) == (("repetitions",), 2.0, 0.5)
    with pytest.raises(DocumentError) as caught:
        parse_variation(good | change)
    assert (pointer, code) in {(problem.pointer, problem.code) for problem in caught.value.problems}


def test_units_have_one_order() -> None:
    """The order in which a document names its units does not change what is read."""
    good = {
        "key": "machine", "movement": "row", "rung": 1, "body_mass_fraction": 0, "work_j_per_kcal": 1067,
        "fraction_source": "estimate", "standard": "The display starts at zero; its metres count.",
    }  # fmt: skip
    first, second = (
        parse_variation(good | {"counted_in": units}).variation.counted_in
        for units in (["distance_m", "energy_kcal"], ["energy_kcal", "distance_m"])
    )
    assert first == second == ("distance_m", "energy_kcal")
