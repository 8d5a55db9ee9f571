"""The measured week is one that a coach could publish: sessions of different kinds, and tests that can be read."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.roster import read_roster
from programming.calc.document import contradictions, parse_revision
from programming.calc.kit import parse_kit
from services.bench.week import KIT, RICH_KIT, WEEK
from services.bench.week_ground import GYM_SIZE, TESTS, ability_of, roster_of


def test_the_sessions_hold_together_and_differ_in_kind() -> None:
    """Five copies of one session would measure one path of the calculation."""
    blocks = [parse_revision(draft).blocks[0] for draft in WEEK]
    for draft in WEEK:
        assert not contradictions(parse_revision(draft))
    kinds = {(one.rules.order, one.rules.end.kind, one.rules.scored) for one in blocks}
    assert len(kinds) == len(WEEK) == 5
    assert {item.unit for one in blocks for item in one.work} == {"repetitions", "energy_kcal"}


def test_every_row_of_a_roster_can_be_read() -> None:
    """All tests of everybody, and nobody like the next one."""
    roster = read_roster(roster_of(3, 1, dt.date(2030, 1, 31)), {})
    assert len(roster.rows) == GYM_SIZE
    assert all(not row.faults and len(row.tests) == len(TESTS) for row in roster.rows)
    able = [ability_of(3, place) for place in range(GYM_SIZE)]
    assert len(set(able)) == GYM_SIZE
    assert 0.7 <= min(able) < 0.75 and 1.35 < max(able) <= 1.4


@pytest.mark.parametrize("document", [KIT, RICH_KIT], ids=["of a hall", "rich"])
def test_what_is_written_can_be_set_up(document: dict[str, object]) -> None:
    """Else the measured week would be one of substitutes."""
    kit = parse_kit(document)
    items = {"squat_to_press_dumbbells": "dumbbell", "overhead_press_dumbbells": "dumbbell", "fan_bike": "fan_bike",
             "goblet_squat": "kettlebell", "kettlebell_swing": "kettlebell", "row_45": "rings",
             "back_squat_barbell": "barbell", "bench_press_barbell": "barbell"}  # fmt: skip
    written = [item.as_written for draft in WEEK for item in parse_revision(draft).blocks[0].work]
    used = [one for one in written if one.variation in items]
    assert len(used) == len(items)
    for one in used:
        there = kit.items[items[one.variation]]
        assert one.load_kg is None or one.load_kg in there.loads_kg, one


def test_the_rich_hall_has_all_that_the_other_has_and_twice_as_much() -> None:
    lean, rich = parse_kit(KIT).items, parse_kit(RICH_KIT).items
    for name, item in lean.items():
        assert set(item.loads_kg) <= set(rich[name].loads_kg) and set(item.heights_cm) <= set(
            rich[name].heights_cm
        )
    settings = [sum(len(one.loads_kg) + len(one.heights_cm) for one in kit.values()) for kit in (lean, rich)]
    assert settings[1] > 2 * settings[0]
