"""Bands: the work average of a measured table, and a kit that is written down as it was measured."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from programming.calc.kit import KitError, options, parse_kit
from programming.calc.load import work_average_kg
from programming.calc.variation import Variation

TABLE = [(40.0, 0.0), (60.0, 8.0), (90.0, 14.0), (130.0, 20.0)]
POINTS = [{"stretch_cm": stretch, "tension_kg": tension} for stretch, tension in TABLE]

tables = st.lists(
    st.tuples(st.integers(0, 300), st.floats(0, 60)),
    min_size=2,
    max_size=12,
    unique_by=lambda point: point[0],
).map(lambda points: sorted((float(stretch), tension) for stretch, tension in points))


def band(**changes: Any) -> dict[str, Any]:
    return {"from_cm": 50, "to_cm": 110, "tensions": POINTS, **changes}


def kit_with(*bands: dict[str, Any], **settings: Any) -> dict[str, Any]:
    return {"items": {"pull_up_bar": {}, "band": {"measured": list(bands), **settings}}}


def test_the_work_average_by_hand() -> None:
    """From 60 to 90 cm the mean of 8 and 14; over the whole table three trapezoids: 1090 kg cm in 90 cm."""
    assert work_average_kg(TABLE, 60.0, 90.0) == pytest.approx(11.0)
    assert work_average_kg(TABLE, 40.0, 130.0) == pytest.approx((80 + 330 + 680) / 90)
    assert work_average_kg(TABLE, 50.0, 60.0) == pytest.approx(6.0)
    # Where the relation is a straight line it is the mean of the tensions at both ends.
    assert work_average_kg([(0.0, 0.0), (100.0, 25.0)], 20.0, 80.0) == pytest.approx((5 + 20) / 2)


@given(table=tables, ends=st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_the_work_average_against_numpy(table: list[tuple[float, float]], ends: tuple[float, float]) -> None:
    """numpy's trapezoid rule over the table's own points, with the ends interpolated by numpy."""
    stretch, tension = (np.array(column) for column in zip(*table, strict=True))
    low, high = sorted(stretch[0] + share * (stretch[-1] - stretch[0]) for share in ends)
    if high - low < 1e-6:
        return
    x = np.unique(np.concatenate([[low, high], stretch[(stretch > low) & (stretch < high)]]))
    expected = np.trapezoid(np.interp(x, stretch, tension), x) / (high - low)
    found = work_average_kg(table, float(low), float(high))
    assert found == pytest.approx(expected, rel=1e-6, abs=1e-6)
    assert tension.min() - 1e-9 <= found <= tension.max() + 1e-9


@pytest.mark.parametrize(
    ("table", "way"),
    [
        (TABLE, (30.0, 90.0)), (TABLE, (60.0, 131.0)), (TABLE, (90.0, 60.0)), (TABLE, (60.0, 60.0)),
        (TABLE, (float("nan"), 60.0)), ([], (0.0, 1.0)), ([(0.0, 1.0)], (0.0, 0.0)),
        ([(0.0, 1.0), (0.0, 2.0)], (0.0, 0.0)), ([(0.0, 1.0), (1.0, float("inf"))], (0.0, 1.0)),
        ([(0.0, 1.0), (1.0, -1.0)], (0.0, 1.0)),
    ],
)  # fmt: skip
def test_what_was_not_measured_is_not_made_up(
    table: list[tuple[float, float]], way: tuple[float, float]
) -> None:
    """A way beyond the table, an empty one, and a table that is none are refused."""
    with pytest.raises(ValueError, match=r"measured|points|tension"):
        work_average_kg(table, *way)


def test_measured_bands_stand_beside_those_given_in_kg() -> None:
    """From 50 to 110 cm: 60 + 330 + 310 kg cm in 60 cm are 11.7 kg; with a band of 15 kg there are two."""
    variation = Variation(
        key="pull_up", movement="pull_up", rung=1, body_mass_fraction=1.0, needs=frozenset({"pull_up_bar"}),
        adjustable=frozenset({"assistance"}), assistance_item=("band",),
    )  # fmt: skip
    place = parse_kit(kit_with(band(), band(), assistances_kg=[15]))
    assert place.item("band").assistances_kg == (11.7, 15.0)
    offered = [option.assistance_kg for option in options(variation, place, 80.0)]
    assert offered == [15.0, 11.7, None]


@pytest.mark.parametrize(
    ("wrong", "pointer", "code"),
    [
        (band(from_cm=30), "", "not_measured"),
        (band(to_cm=50), "", "not_measured"),
        (band(to_cm="far"), "/to_cm", "not_a_number"),
        (band(tensions=POINTS[:1]), "/tensions", "wrong_length"),
        (band(tensions=POINTS[::-1]), "/tensions/1/stretch_cm", "not_ascending"),
        (band(tensions=[{**point, "tension_kg": 0} for point in POINTS]), "", "no_tension"),
        (band(tensions=[{**point, "tension_kg": -1} for point in POINTS]), "/tensions/0/tension_kg", "out_of_range"),
        (band(tensions=[{**point, "tension_kg": float("nan")} for point in POINTS]), "/tensions/0/tension_kg",
         "out_of_range"),
        (band(colour="red"), "/colour", "unknown_field"),
        ({"from_cm": 50}, "/tensions", "missing_field"),
    ],
)  # fmt: skip
def test_a_wrong_table_is_refused_at_its_place(wrong: dict[str, Any], pointer: str, code: str) -> None:
    """Pointer and code of each fault."""
    with pytest.raises(KitError) as caught:
        parse_kit(kit_with(wrong))
    found = {(problem.pointer, problem.code) for problem in caught.value.problems}
    assert (f"/items/band/measured/0{pointer}", code) in found
