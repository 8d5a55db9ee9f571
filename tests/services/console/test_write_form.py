"""From a revision document to the fields of the page for writing, and back: nothing is lost on the way."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from programming.calc.document import parse_revision
from services.console.write_form import Catalogue, Form, document_in, without_blanks
from services.console.write_home import BEGUN
from tests.scoring.several import EVERY, HEAVY, HOLD, ROUNDS, document
from tests.support.pointers import WORK
from tests.support.world import SESSION

FORM = Form(
    Catalogue({"horizontal_row": "Suspension row", "squat": "Squat"}, {"row_45": "Row at 45 degrees"})
)
LADDER: dict[str, Any] = copy.deepcopy(SESSION)
LADDER["blocks"][0]["rules"] |= {
    "order": "ladder",
    "ladder": {"amounts": [1, 0.5, 2], "then_step": 1.5},
    "break": {"counts": "rest_longer_than", "rest_over_s": 22.5, "penalty_repetitions": 3},
    "end": {"kind": "fixed_time", "time_s": 905},
    "split": "a",
}


@pytest.mark.parametrize(
    "told",
    [SESSION, LADDER, BEGUN, document(HEAVY), document(ROUNDS, EVERY), document(HOLD)],
    ids=["turn about", "ladder", "begun", "attempts", "rounds and intervals", "hold"],
)
def test_a_document_goes_through_the_fields_and_back(told: dict[str, Any]) -> None:
    """Nothing is lost, and what it means to the rules is the same."""
    assert FORM.fits(told)
    again = FORM.written(FORM.filled(told)).document
    assert without_blanks(again) == without_blanks(told)
    if told is not BEGUN:
        assert parse_revision(again) == parse_revision(told)


@pytest.mark.parametrize(
    "change",
    [
        {"overall": {"by": "places"}},
        {"blocks": "none"},
        {"blocks": [{"key": "main", "work": [], "rules": "later", "aim": {"conditions": []}}]},
        {"title": 7},
        {"texts": ["why"]},
        {"blocks": [{**SESSION["blocks"][0], "note": "own"}]},
        {"blocks": [SESSION["blocks"][0]] * 9},
    ],
)
def test_what_the_fields_have_no_place_for_does_not_fit(change: dict[str, Any]) -> None:
    """Then it is written as text, and not lost."""
    assert not FORM.fits({**SESSION, **change})


def test_penalty_work_does_not_fit() -> None:
    told = copy.deepcopy(SESSION)
    told["blocks"][0]["rules"]["break"]["penalty_work"] = copy.deepcopy(told["blocks"][0]["work"][0])
    assert not FORM.fits(told)


def test_names_stand_in_the_fields_and_keys_in_the_document() -> None:
    """Of what the catalogue has; by name or key, in whatever case; anything else is handed on to the check."""
    values = FORM.filled(SESSION)
    assert values["0-w0-movement"] == "Suspension row"
    assert values["0-w0-variation"] == "Row at 45 degrees"
    assert values["0-cap"] == "30:00" and values["0-c2-lower"] == "4:00"
    typed = {
        **values,
        "0-w0-movement": "suspension ROW",
        "0-w1-movement": "squat",
        "0-w0-variation": "Flying",
    }
    work = FORM.written(typed).document["blocks"][0]["work"]
    assert [one["movement"] for one in work] == ["horizontal_row", "squat"]
    assert work[0]["as_written"]["variation"] == "Flying"
    twice = Catalogue({"a": "Press", "b": "Press"}, {})
    assert (twice.named("movement", "a"), twice.key("movement", "Press")) == ("a", "Press")


def test_a_fault_finds_the_field_that_it_is_about() -> None:
    """Or that of the part that it stands in; empty rows before it are counted out."""
    values = {**FORM.filled(SESSION), "0-c0-kind": "", "0-c0-work": "", "0-c0-lower": "", "0-c0-upper": ""}
    written = FORM.written(values)
    places = {
        "/title": "title",
        f"/blocks/0/{WORK}/1/as_written/load_kg": "0-w1-load",
        f"/blocks/0/{WORK}/0/distance_m": "0-w0-amount",
        f"/blocks/0/{WORK}/0": "0-w0-movement",
        "/blocks/0/aim/conditions/0/upper": "0-c1-upper",
        "/blocks/0/aim/conditions": "0-c0-kind",
        "/blocks/0/rules/end/cap_s": "0-cap",
        "/blocks/0/rules": "0-order",
        "/blocks": "",
    }
    assert {pointer: written.field_of(pointer) for pointer in places} == places


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[" * 100_000, "deeper than 20 levels"),
        ('{"a":' * 50_000 + "1" + "}" * 50_000, "deeper than 20 levels"),
        ('{"blocks": [{"rules": {"rounds": 1' + "0" * 400 + "}}]}", "larger than"),
        ('{"title": NaN}', "NaN"),
        ('{"title": "\\ud800"}', "half a surrogate pair"),
        ('{"title": "a", "title": "b"}', "twice"),
        ('{"title": ', "This is no JSON"),
        ("[1]", "Write a JSON object"),
    ],
)
def test_a_text_is_read_as_strictly_as_the_interface_reads(text: str, told: str) -> None:
    """What the interface would refuse, or the page could not even show again, is said in a sentence."""
    said = document_in(text)
    assert isinstance(said, str) and told in said
