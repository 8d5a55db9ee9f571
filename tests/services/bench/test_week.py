"""The measured week is one that a coach could publish: sessions of different kinds, and tests that can be read."""

from __future__ import annotations

import datetime as dt

from athletes.roster import read_roster
from programming.calc.document import contradictions, parse_revision
from services.bench.week import WEEK
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
