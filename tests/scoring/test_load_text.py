"""Loads are told as they are set up: two in the hands as two."""

from dataclasses import replace

from athletes.calc.capacity import estimate_capacity
from programming.calc.kit import options
from scoring.api.prescription_serializers import PrescribedOptionOutput
from scoring.candidates import gather
from scoring.content_work import option_told
from tests.scoring.test_candidates import ACCOMPANIED, plan

RACK = {"dumbbell": {"loads_kg": [30], "pairs_kg": [8, 16]}, "bar_floor": {}, "rings": {}}


def test_a_pair_is_told_as_two_of_one_weight() -> None:
    """From the kit to the answer: pairs of 8 and 16 kg are 16 and 32 kg in all; the single 30 is of no use here."""
    session = plan("dumbbell_press", items=RACK)
    first = session.block.work[0]
    written = replace(first.as_written, load_kg=32.0)
    session = replace(
        session,
        doc=replace(
            session.doc,
            blocks=(
                replace(session.block, work=(replace(first, as_written=written), *session.block.work[1:])),
            ),
        ),
    )
    capacities = {
        one.id: estimate_capacity(one.prior.at(69.0), (), day=0)
        for one in {session.movement(item.key) for item in session.block.work}
    }
    found = gather(session, ACCOMPANIED, capacities, frozenset()).candidates[first.key]
    told = [PrescribedOptionOutput(option_told(session, one.option)).data for one in found]

    assert [(one["load_kg"], one["load_text"]) for one in told] == [(16.0, "2 × 8 kg"), (32.0, "2 × 16 kg")]


def test_a_vest_is_told_beside_body_weight() -> None:
    """Its 10 kg are no load in the hands; without them there is nothing to tell, and nothing more is stored."""
    session = plan("push_up", items={"vest": {"loads_kg": [10]}, **RACK})
    entry = session.variations["push_up_floor"]
    bare, loaded = options(entry.variation, session.kit, 69.0)
    told = [PrescribedOptionOutput(option_told(session, one)).data["load_text"] for one in (bare, loaded)]

    assert told == [None, "body weight + vest of 10 kg"]
    assert "worn" not in option_told(session, bare)


def test_what_was_stored_before_is_told_in_one_piece() -> None:
    """Without the number of implements; and nothing of no load."""
    stored = {
        "variation": "squat", "variation_name": "Squat", "variation_version": 1, "load_kg": 20.0,
        "assistance_kg": None, "height_cm": None, "effective_kg": 60.0, "effective_kg_reason": None,
    }  # fmt: skip

    assert PrescribedOptionOutput(stored).data["load_text"] == "20 kg"
    assert PrescribedOptionOutput(stored | {"load_kg": None}).data["load_text"] is None
