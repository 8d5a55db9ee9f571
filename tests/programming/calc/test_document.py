"""Reading revision documents: what is accepted, what is refused, and that everything wrong is listed."""

import copy
import math

import pytest

from programming.calc.document import DocumentError, canonical_hash, parse_revision
from programming.calc.revision import AsWritten, BreakRule, Condition, EndRule
from tests.programming.calc.documents import row_and_squat
from tests.support.pointers import WORK


def problems_of(doc):
    """(pointer, code) of every problem of a document that must be refused."""
    with pytest.raises(DocumentError) as caught:
        parse_revision(doc)
    assert all(problem.detail.endswith(".") for problem in caught.value.problems)
    return {(problem.pointer, problem.code) for problem in caught.value.problems}


def put(path, value):
    """A good document with one value replaced, or added, at a pointer."""
    doc = copy.deepcopy(row_and_squat())
    *parents, last = path.strip("/").split("/")
    target = doc
    for token in parents:
        target = target[int(token)] if isinstance(target, list) else target[token]
    target[int(last) if isinstance(target, list) else last] = value
    return doc


def test_a_good_document_becomes_frozen_values():
    """Every field of the document arrives where it belongs."""
    doc = parse_revision(row_and_squat())

    block = doc.blocks[0]
    assert (doc.title, doc.quality, doc.texts.why) == (
        "Row and squat sixty", "local_muscular_endurance", "Long sets under fatigue.",
    )  # fmt: skip
    assert [(item.key, item.movement, item.repetitions) for item in block.work] == [
        ("a", "horizontal_row", 60),
        ("b", "squat", 40),
    ]
    assert block.work[0].variations == ("row_30", "row_45")
    assert block.work[1].as_written == AsWritten("goblet_squat", load_kg=16.0)
    assert block.rules.break_rule == BreakRule("set_ended_early", 30.0, "added")
    assert block.rules.end == EndRule("work_done", 1500.0)
    assert block.aim.conditions == (
        Condition("first_set", "a", 12.0, 20.0),
        Condition("later_sets", "a", 6.0, None),
        Condition("time", None, 300.0, 1200.0),
    )


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/texts", {}),
        ("/blocks/0/rules/end", {"kind": "work_done", "cap_s": None}),
        ("/blocks/0/rules/end", {"kind": "work_done"}),
        ("/blocks/0/rules/tie_break", "none"),
        ("/blocks/0/rules/break/penalty_s", 0),
        ("/blocks/0/rules/break/penalty_s", 600),
        ("/blocks/0/rules/end/cap_s", 30),
        ("/blocks/0/rules/end/cap_s", 14400),
        (f"/blocks/0/{WORK}/0/repetitions", 1),
        (f"/blocks/0/{WORK}/0/repetitions", 2000),
        (f"/blocks/0/{WORK}/0/repetitions", 60.0),
        ("/blocks/0/aim/conditions", []),
        ("/texts/how", "x" * 4000),
    ],
)
def test_the_edges_of_the_allowed_are_allowed(path, value):
    """Bounds are inclusive; optional fields may be absent."""
    parse_revision(put(path, value))


@pytest.mark.parametrize(
    ("path", "value", "pointer", "code"),
    [
        ("/colour", "red", "/colour", "unknown_field"),
        (f"/blocks/0/{WORK}/0/re~ps", 1, f"/blocks/0/{WORK}/0/re~0ps", "unknown_field"),
        ("/blocks/0/rules/break/a~1b", 1, "/blocks/0/rules/break/a~01b", "unknown_field"),
        ("/title", "  ", "/title", "blank"),
        ("/title", "", "/title", "wrong_length"),
        ("/title", 7, "/title", "not_a_string"),
        ("/title", "x" * 201, "/title", "wrong_length"),
        ("/texts/how", "x" * 4001, "/texts/how", "wrong_length"),
        ("/texts/how", "a\x00b", "/texts/how", "invalid_characters"),
        ("/texts/how", "a\ud800b", "/texts/how", "invalid_characters"),
        ("/texts/how", None, "/texts/how", "not_a_string"),
        ("/quality", "fun", "/quality", "unknown_choice"),
        ("/quality", ["power"], "/quality", "unknown_choice"),
        ("/blocks", [], "/blocks", "wrong_length"),
        ("/blocks", "main", "/blocks", "not_a_list"),
        ("/blocks/0", 3, "/blocks/0", "not_an_object"),
        ("/blocks/0/key", "Main", "/blocks/0/key", "not_a_key"),
        ("/blocks/0/key", "main\n", "/blocks/0/key", "not_a_key"),
        (f"/blocks/0/{WORK}", [], f"/blocks/0/{WORK}", "wrong_length"),
        (f"/blocks/0/{WORK}/1/key", "a", f"/blocks/0/{WORK}/1/key", "duplicate_key"),
        (f"/blocks/0/{WORK}/0/repetitions", 0, f"/blocks/0/{WORK}/0/repetitions", "out_of_range"),
        (f"/blocks/0/{WORK}/0/repetitions", 2001, f"/blocks/0/{WORK}/0/repetitions", "out_of_range"),
        (f"/blocks/0/{WORK}/0/repetitions", True, f"/blocks/0/{WORK}/0/repetitions", "not_an_integer"),
        (f"/blocks/0/{WORK}/0/repetitions", 9.5, f"/blocks/0/{WORK}/0/repetitions", "not_an_integer"),
        (f"/blocks/0/{WORK}/0/repetitions", math.nan, f"/blocks/0/{WORK}/0/repetitions", "not_an_integer"),
        (f"/blocks/0/{WORK}/0/repetitions", "60", f"/blocks/0/{WORK}/0/repetitions", "not_an_integer"),
        (f"/blocks/0/{WORK}/0/variations", ["row_30"] * 2, f"/blocks/0/{WORK}/0/variations", "duplicate_variation"),
        (f"/blocks/0/{WORK}/0/as_written/load_kg", 0, f"/blocks/0/{WORK}/0/as_written/load_kg", "out_of_range"),
        (f"/blocks/0/{WORK}/0/as_written/load_kg", 501, f"/blocks/0/{WORK}/0/as_written/load_kg", "out_of_range"),
        (f"/blocks/0/{WORK}/0/as_written/load_kg", True, f"/blocks/0/{WORK}/0/as_written/load_kg", "not_a_number"),
        ("/blocks/0/rules/order", "spiral", "/blocks/0/rules/order", "unknown_choice"),
        ("/blocks/0/rules/break/penalty", "served", "/blocks/0/rules/break/penalty", "unknown_choice"),
        ("/blocks/0/rules/break/penalty_s", 601, "/blocks/0/rules/break/penalty_s", "out_of_range"),
        ("/blocks/0/rules/break/penalty_s", -1, "/blocks/0/rules/break/penalty_s", "out_of_range"),
        ("/blocks/0/rules/break/penalty_s", math.inf, "/blocks/0/rules/break/penalty_s", "out_of_range"),
        ("/blocks/0/rules/break/penalty_s", math.nan, "/blocks/0/rules/break/penalty_s", "out_of_range"),
        ("/blocks/0/rules/break/penalty_s", 10**400, "/blocks/0/rules/break/penalty_s", "out_of_range"),
        ("/blocks/0/rules/end/cap_s", 29.9, "/blocks/0/rules/end/cap_s", "out_of_range"),
        ("/blocks/0/rules/end/cap_s", 14401, "/blocks/0/rules/end/cap_s", "out_of_range"),
        (f"/blocks/0/aim/conditions/0/{WORK}", "c", f"/blocks/0/aim/conditions/0/{WORK}", "unknown_work"),
        (f"/blocks/0/aim/conditions/0/{WORK}", None, f"/blocks/0/aim/conditions/0/{WORK}", "unknown_work"),
        (f"/blocks/0/aim/conditions/2/{WORK}", "a", f"/blocks/0/aim/conditions/2/{WORK}", "work_not_used"),
        ("/blocks/0/aim/conditions/1/lower", None, "/blocks/0/aim/conditions/1", "window_open"),
        ("/blocks/0/aim/conditions/1/kind", "mood", "/blocks/0/aim/conditions/1/kind", "unknown_choice"),
    ],
)  # fmt: skip
def test_one_fault_is_found_where_it_is(path, value, pointer, code):
    """A document with one fault has exactly this problem, at the pointer of the fault."""
    assert problems_of(put(path, value)) == {(pointer, code)}


def test_too_many_conditions_are_refused():
    """At most twenty conditions."""
    conditions = row_and_squat()["blocks"][0]["aim"]["conditions"][:1]

    parse_revision(put("/blocks/0/aim/conditions", conditions * 20))
    assert problems_of(put("/blocks/0/aim/conditions", conditions * 21)) == {
        ("/blocks/0/aim/conditions", "wrong_length")
    }


def test_all_problems_are_listed_at_once():
    """Faults in different places do not hide each other, and a missing field is named once."""
    doc = row_and_squat()
    del doc["title"], doc["blocks"][0]["rules"]["order"], doc["blocks"][0]["work"][1]["as_written"]
    doc["quality"] = "fun"
    doc["blocks"][0]["work"][0]["repetitions"] = 0

    assert problems_of(doc) == {
        ("/title", "missing_field"),
        ("/blocks/0/rules/order", "missing_field"),
        (f"/blocks/0/{WORK}/1/as_written", "missing_field"),
        ("/quality", "unknown_choice"),
        (f"/blocks/0/{WORK}/0/repetitions", "out_of_range"),
    }


def test_an_empty_document_names_the_required_fields():
    """Nothing below a missing field is complained about."""
    assert problems_of({}) == {(f"/{name}", "missing_field") for name in ("title", "quality", "blocks")}


@pytest.mark.parametrize("value", [None, [], "x", 3, True])
def test_something_else_than_an_object_is_refused(value):
    """A document is an object."""
    assert ("", "not_an_object") in problems_of(value)


def test_the_list_of_problems_is_bounded():
    """A hostile document does not make an answer larger than itself."""
    with pytest.raises(DocumentError) as caught:
        parse_revision({f"f{number}": 1 for number in range(10_000)})

    assert len(caught.value.problems) == 101
    assert caught.value.problems[-1].code == "too_many_problems"


def test_equal_documents_have_equal_hashes():
    """The order of keys and 30 against 30.0 do not matter; any change of content does."""
    doc = row_and_squat()
    turned = dict(reversed(list(doc.items())))
    rules = copy.deepcopy(doc)
    rules["blocks"][0]["rules"]["break"]["penalty_s"] = 30.0
    changed = copy.deepcopy(doc)
    changed["blocks"][0]["rules"]["break"]["penalty_s"] = 31

    assert canonical_hash(turned) == canonical_hash(doc) == canonical_hash(rules)
    assert canonical_hash(changed) != canonical_hash(doc)


def test_the_hash_is_sha256_of_the_canonical_text():
    """Checked by hand with another program: printf '{"a":[1,null,"\\303\\251"],"b":2}' | sha256sum."""
    expected = "15a402a90b92efc2572e2d7bad373a025afacf2f83e315677a6198a6c3d0bcc3"
    assert canonical_hash({"b": 2.0, "a": [1, None, "é"]}) == expected


def test_a_number_that_json_does_not_have_has_no_hash():
    """NaN has no canonical text."""
    with pytest.raises(ValueError, match="JSON compliant"):
        canonical_hash({"a": math.nan})
