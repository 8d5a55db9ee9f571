"""Prescriptions of the first version are read as the present ones are."""

from __future__ import annotations

from scoring.api.prescription_serializers import ContentOutput
from scoring.explanation import explain
from scoring.names import Names
from scoring.stored_content import as_current

OPTION = {
    "variation": "row_45",
    "variation_name": "Row, body at 45 degrees",
    "variation_version": 1,
    "load_kg": None,
    "assistance_kg": None,
    "height_cm": None,
    "effective_kg": 30.1,
}
SPREAD = {"p10": 10, "p50": 14, "p90": 19}
FIRST = {
    "title": "Rows",
    "quality": "local_muscular_endurance",
    "feasible": True,
    "as_written": True,
    "work": [
        {
            "work": "a",
            "movement": "horizontal_row",
            "repetitions": 60,
            "standard": "Chest to the bar.",
            "as_written": True,
            **OPTION,
        }
    ],
    "closest": [],
    "plan": [{"work": "a", "repetitions": 12, "rest_before_s": 0}],
    "plan_reason": None,
    "expected": {
        "score_s": {"p10": 300, "p50": 400, "p90": None},
        "score_s_reason": "may_not_finish_in_time",
        "finish_probability": 0.85,
        "breaks": SPREAD,
        "first_set": {"a": SPREAD},
    },
    "conditions": [{"kind": "first_set", "work": "a", "lower": 12, "upper": 22, "probability": 0.6}],
    "check_sets": [
        {
            "work": "a",
            **OPTION,
            "stop_at": 10,
            "reserve_at_least": 2,
            "reserve_at_most": 12,
            "rest_after_s": 600,
            "if_easier_needed": OPTION,
            "if_harder_possible": None,
        }
    ],
    "reasons": [{"code": "uncertain_capacity", "work": "a"}],
    "alternatives": [],
    "ruled_out": [{"work": "a", "variation": "row_75", "reason": "limit:shoulder"}],
    "cautions": ["Stop at pain."],
}


def test_a_first_content_is_whole_to_a_reader() -> None:
    """Every field of the interface is there; nothing that it said is changed."""
    read = ContentOutput(as_current(FIRST)).data
    assert set(read) == set(ContentOutput().fields)
    assert read["work"][0]["repetitions"] == 60
    assert read["work"][0]["hold_s"] is None
    assert type(read["expected"]["breaks"]["p50"]) is int
    assert read["expected"]["score"]["p90"] is None
    assert read["expected"]["score_s_reason"] == "may_not_finish_in_time"
    assert read["check_sets"][0]["if_easier_needed"]["effective_kg_reason"] is None
    assert (read["check_sets"][0]["able_at_least"], read["check_sets"][0]["able_at_most"]) == (
        10 + 2,
        10 + 12,
    )
    assert [one["text"] for one in read["caution_details"]] == FIRST["cautions"]


def test_a_present_content_is_left_alone() -> None:
    """Filling in twice is filling in once."""
    once = as_current(FIRST)
    assert as_current(once) == once


def test_a_first_prescription_can_be_explained() -> None:
    """With the basis that was stored then."""
    basis = {"capacities": {"a": {"observations": 2}}, "candidates": [], "p_all": 0.6}
    why = explain(as_current(FIRST), basis, Names())
    (work,) = why.work
    assert work.ruled_out[0]["text"] == "an active limit (shoulder)"
    assert "Observations of the athlete behind it: 2." in work.sentences
    assert (why.p_all, why.p_all_reason) == (0.6, None)
