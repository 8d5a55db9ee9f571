"""A limit never gets its hazard: over everything that is shipped, in a place that has everything."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.day import AS_USUAL
from programming.calc.catalogue import HAZARDS
from programming.catalogue.shipped import shipped_catalogue
from programming.plans import SessionPlan
from scoring.loadable import loadable
from tests.programming.test_shipped_catalogue import EVERYTHING
from tests.scoring.test_candidates import ACCOMPANIED, plan

MOVEMENTS = [one.key for one in shipped_catalogue()]


def session_of(movement: str, unit: str) -> SessionPlan:
    """Forty of it, counted in the unit; the kit is everything."""
    session = replace(plan(movement), kit=EVERYTHING)
    block = session.block
    first = replace(block.work[0], unit=unit)
    block = replace(block, work=(first, *block.work[1:]))
    return replace(session, doc=replace(session.doc, blocks=(block,)))


def sessions_of(movement: str) -> list[SessionPlan]:
    shipped = next(one for one in shipped_catalogue() if one.key == movement)
    units = {unit for rung in shipped.variations for unit in rung.entry.variation.counted_in}
    return [session_of(movement, unit) for unit in sorted(units)]


SESSIONS = {movement: sessions_of(movement) for movement in MOVEMENTS}


@pytest.mark.parametrize("movement", MOVEMENTS)
@settings(deadline=None, max_examples=12)
@given(limited=st.sets(st.sampled_from(sorted(HAZARDS)), min_size=1, max_size=4), is_sore=st.booleans())
def test_no_option_has_what_is_limited_or_sore(movement: str, limited: set[str], is_sore: bool) -> None:
    """Every variation that has it is left out, says why, and none of its options is there."""
    hazards = frozenset(limited)
    inputs = ACCOMPANIED if is_sore else replace(ACCOMPANIED, hazards=hazards)
    day = replace(AS_USUAL, hazards=hazards) if is_sore else AS_USUAL
    for session in SESSIONS[movement]:
        found = loadable(session, inputs, day)
        because = {(one.work, one.variation): one.reason for one in found.ruled_out}
        for item in session.block.work:
            offered = {entry.variation.key for entry, _ in found.options[item.key]}
            for entry in session.ladder(item.key):
                against = entry.variation.hazards & hazards
                if against:
                    assert entry.variation.key not in offered
                    assert because[item.key, entry.variation.key].split(":")[1] in against
                else:
                    kind = because.get((item.key, entry.variation.key), "").partition(":")[0]
                    assert kind not in ("limit", "sore")


def test_without_a_limit_everything_is_offered_in_some_unit() -> None:
    """Else what is shown above would be of nothing."""
    offered = {
        entry.variation.key
        for listed in SESSIONS.values()
        for session in listed
        for entry, _ in loadable(session, ACCOMPANIED).options[session.block.work[0].key]
    }
    assert offered == {rung.key for one in shipped_catalogue() for rung in one.variations}


def test_every_hazard_of_the_vocabulary_is_that_of_some_variation() -> None:
    found = {
        hazard
        for one in shipped_catalogue()
        for rung in one.variations
        for hazard in rung.entry.variation.hazards
    }
    assert found == HAZARDS
