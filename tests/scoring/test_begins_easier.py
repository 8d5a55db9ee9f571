"""Work that no capacity tells of, in a version that was never done: it begins with what is easier, and says so."""

from dataclasses import replace

import pytest

from scoring.calc.prescribe import prescribe
from scoring.candidates import gather, gather_block
from scoring.loadable import loadable
from scoring.person import Person
from tests.scoring.test_candidates import ACCOMPANIED, plan

KIT = {
    "climbing_rope": {}, "barbell": {"loads_kg": [20, 40, 60]}, "bar_floor": {}, "rings": {},
    "kettlebell": {"loads_kg": [8, 16, 24], "pairs_kg": [8, 16]},
}  # fmt: skip


def session_of(movement, **written):
    """The movement as its hardest version is shipped, beside rows that nothing hangs on."""
    session = plan(movement, items=KIT)
    block = session.block
    first = block.work[0]
    first = replace(first, as_written=replace(first.as_written, **written))
    block = replace(block, work=(first, *block.work[1:]))
    return replace(session, doc=replace(session.doc, blocks=(block,)))


def told(session, *done):
    """(variation, load, whether it says so) of the first item, of somebody who did these variations."""
    known = frozenset(session.variations[key].variation_id for key in done)
    choice = gather(session, ACCOMPANIED, {}, known)
    (one,) = choice.candidates["a"]
    block = replace(session.block, work=session.block.work[:1])
    result = prescribe(block, {"a": [one]}, multiplier=choice.multiplier)
    assert result.feasible
    codes = {(reason.code, reason.work) for reason in result.reasons}
    return one.option.variation_key, one.option.load_kg, ("begins_easier", "a") in codes


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        ((), "rope_pull_from_lying"),
        (("row_30",), "rope_pull_from_lying"),
        (("rope_climb_feet",), "rope_climb_feet"),
        (("rope_pull_from_lying",), "rope_pull_from_lying"),
        (("rope_climb_arms",), "rope_climb_arms"),
    ],
)
def test_a_climb_that_was_never_done_begins_with_the_rung_that_was(done, expected):
    """Whoever did a rung does that one; whoever did none the easiest; whoever did the one written does it."""
    session = session_of("rope_climb")
    variation, _, says_so = told(session, *done)

    assert variation == expected
    assert says_so is (expected != "rope_climb_arms")


@pytest.mark.parametrize("done", ["rope_climb_feet", "rope_climb_arms"])
def test_who_did_the_rung_or_a_harder_one_does_it(done):
    """Nobody who climbs without the feet needs to be shown how to pull from lying."""
    feet = session_of("rope_climb", variation="rope_climb_feet")

    assert told(feet, done) == ("rope_climb_feet", None, False)


def test_a_lift_begins_with_the_lightest():
    """Sixty kilograms are written; once it was done, what is written is done."""
    clean = session_of("power_clean", load_kg=60.0)

    assert told(clean) == ("power_clean_barbell", 20.0, True)
    assert told(clean, "power_clean_barbell") == ("power_clean_barbell", 60.0, False)


def test_what_has_nothing_easier_is_done_as_written_and_says_nothing():
    """Of a tuck jump there is one version."""
    assert told(session_of("tuck_jump")) == ("tuck_jump", None, False)


def test_what_is_written_and_cannot_be_loaded_begins_light_too():
    """A hundred kilograms, of a bar that can be loaded to sixty."""
    assert told(session_of("power_clean", load_kg=100.0)) == ("power_clean_barbell", 20.0, True)


@pytest.mark.parametrize(
    ("heaviest", "expected", "says_so"),
    [
        (20.0, 20.0, True),  # one clean with the empty bar: forty would be double
        (30.0, 40.0, True),  # the next load that there is, a third more
        (40.0, 60.0, False),
        (48.0, 60.0, False),
        (100.0, 60.0, False),
        (None, 60.0, False),  # done, and nobody knows with how much
    ],
)
def test_what_was_done_lightly_is_not_done_heavily_at_once(heaviest, expected, says_so):
    """Sixty kilograms are written, and the bar is loaded to 20, 40 or 60: a step more than was done, and no two
    (common practice, no source).
    """
    session = session_of("power_clean", load_kg=60.0)
    clean = session.variations["power_clean_barbell"].variation_id
    done = {} if heaviest is None else {clean: heaviest}
    person = Person(ACCOMPANIED, {}, frozenset({clean}), heaviest=done)
    choice = gather_block(session, session.block, person, loadable(session, ACCOMPANIED))
    (one,) = choice.candidates["a"]

    assert (one.option.load_kg, one.is_as_written, one.is_eased) == (expected, not says_so, says_so)


@pytest.mark.parametrize(
    ("heaviest", "expected", "says_so"), [(20.0, 20.0, True), (30.0, 40.0, True), (90.0, 60.0, False)]
)
def test_what_cannot_be_loaded_is_no_reason_for_a_greater_step(heaviest, expected, says_so):
    """A hundred kilograms are written, the bar is loaded to sixty: sixty is no step from twenty either."""
    session = session_of("power_clean", load_kg=100.0)
    clean = session.variations["power_clean_barbell"].variation_id
    person = Person(ACCOMPANIED, {}, frozenset({clean}), heaviest={clean: heaviest})
    choice = gather_block(session, session.block, person, loadable(session, ACCOMPANIED))
    (one,) = choice.candidates["a"]

    assert (one.option.load_kg, one.is_eased) == (expected, says_so)
