"""The difference of two revisions: nothing for equal ones, and no change that stays unsaid."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programming.calc.difference import Difference, differences
from programming.calc.document import parse_revision
from tests.programming.calc.documents import row_and_squat
from tests.support.pointers import WORK


def between(old: dict[str, Any], new: dict[str, Any]) -> tuple[Difference, ...]:
    return differences(parse_revision(old), parse_revision(new))


def changed(*changes: tuple[str, Any]) -> dict[str, Any]:
    """The document with values replaced at pointers; an ellipsis takes the field out."""
    doc = copy.deepcopy(row_and_squat())
    for path, value in changes:
        *parents, last = path.strip("/").split("/")
        target: Any = doc
        for token in parents:
            target = target[int(token)] if isinstance(target, list) else target.setdefault(token, {})
        if value is ...:
            del target[int(last) if isinstance(target, list) else last]
        elif isinstance(target, list):
            target[int(last)] = value
        else:
            target[last] = value
    return doc


NEW_ITEM = {"key": "c", "movement": "plank", "hold_s": 45, "as_written": {"variation": "plank_elbows"}}
OTHER_BLOCK = {**copy.deepcopy(row_and_squat()["blocks"][0]), "key": "finish"}
OTHER_BLOCK["work"] = [{**NEW_ITEM, "key": "f"}]
OTHER_BLOCK["aim"] = {"conditions": [{"kind": "time", "lower": 60}]}

# What is changed, and the whole answer: part, pointer, sentence.
SAID: list[tuple[tuple[str, Any], str, str | None, str]] = [
    (("/title", "Other"), "title", "/title", "The title is now Other, before Row and squat sixty."),
    (
        ("/texts/why", "Long sets under heavy fatigue."),
        "texts", "/texts/why",
        "The text “why” says “… heavy fatigue.”, before “… fatigue.”.",
    ),
    (
        (f"/blocks/0/{WORK}/1/repetitions", 50),
        "work", f"/blocks/0/{WORK}/1/repetitions",
        "Block main: work b (squat): 50 repetitions, before 40 repetitions.",
    ),
    (
        (f"/blocks/0/{WORK}/1/as_written/load_kg", 20.5),
        "load", f"/blocks/0/{WORK}/1/as_written/load_kg",
        "Block main: work b (squat): load 20.5 kg as written, before 16 kg.",
    ),
    (
        (f"/blocks/0/{WORK}/0/as_written/variation", "row_30"),
        "variations", f"/blocks/0/{WORK}/0/as_written/variation",
        "Block main: work a (horizontal row): row 30 as written, before row 45.",
    ),
    (
        (f"/blocks/0/{WORK}/0/variations/0", "row_60"),
        "variations", None,
        "Block main: work a (horizontal row): row 30 is not allowed any more.",
    ),
    (
        (f"/blocks/0/{WORK}/0/variations", []),
        "variations", f"/blocks/0/{WORK}/0/variations",
        "Block main: work a (horizontal row): allowed is now every variation, before only row 30, row 45.",
    ),
    (
        ("/blocks/0/rules/end/cap_s", 1800),
        "rules", "/blocks/0/rules/end/cap_s",
        "Block main: the time cap is now 1800 s, before 1500 s.",
    ),
    (
        ("/blocks/0/rules/break/penalty_s", 20),
        "rules", "/blocks/0/rules/break/penalty_s",
        "Block main: the penalty of a break is now 20 s, before 30 s.",
    ),
    (
        ("/blocks/0/aim/conditions/0/upper", 24),
        "aim", "/blocks/0/aim/conditions/0",
        "Block main: the first set of horizontal row is now 12 to 24, before 12 to 20.",
    ),
    (
        ("/blocks/0/aim/conditions/1", ...),
        "aim", None,
        "Block main: each later set of horizontal row is no condition any more: at least 6.",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("change", "part", "pointer", "sentence"), SAID, ids=lambda value: str(value)[:40])
def test_a_change_is_said_in_a_sentence(
    change: tuple[str, Any], part: str, pointer: str | None, sentence: str
) -> None:
    """Worded with both values and their units, with the pointer of what was changed."""
    found = between(row_and_squat(), changed(change))
    assert (part, pointer, sentence) in [(one.part, one.pointer, one.sentence) for one in found]


def test_what_is_added_taken_out_and_moved() -> None:
    """Blocks and work are known by their keys, wherever they stand."""
    turned = changed()
    turned["blocks"][0]["work"].reverse()
    assert [one.sentence for one in between(row_and_squat(), turned)] == [
        "Block main: the work comes in the order b, a, before a, b."
    ]
    more = changed()
    more["blocks"][0]["work"].append(NEW_ITEM)
    more["blocks"].insert(0, OTHER_BLOCK)
    found = between(row_and_squat(), more)
    assert [(one.pointer, one.pointer_before, one.sentence) for one in found] == [
        ("/blocks/0", None, "Block finish was added: 45 s held of plank (plank elbows)."),
        (f"/blocks/1/{WORK}/2", None, "Block main: work c was added: 45 s held of plank (plank elbows)."),
    ]
    gone = between(more, row_and_squat())
    assert [(one.pointer, one.pointer_before) for one in gone] == [
        (None, "/blocks/0"),
        (None, f"/blocks/1/{WORK}/2"),
    ]


def test_another_unit_is_another_amount() -> None:
    """60 repetitions are not 60 s, and as many as possible is not a number."""
    held = changed((f"/blocks/0/{WORK}/1/repetitions", ...), (f"/blocks/0/{WORK}/1/hold_s", 40))
    (one,) = between(row_and_squat(), held)
    assert one.sentence == "Block main: work b (squat): 40 s held, before 40 repetitions."
    assert (one.pointer, one.pointer_before) == (
        f"/blocks/0/{WORK}/1/hold_s",
        f"/blocks/0/{WORK}/1/repetitions",
    )
    (one,) = between(row_and_squat(), changed((f"/blocks/0/{WORK}/1/repetitions", None)))
    assert (
        one.sentence == "Block main: work b (squat): as many repetitions as possible, before 40 repetitions."
    )


def test_spelling_is_no_difference() -> None:
    """30.0 is 30, null is absent, and what is the default need not be written."""
    respelt = changed(
        ("/blocks/0/rules/break/penalty_s", 30.0),
        (f"/blocks/0/{WORK}/0/as_written", {"variation": "row_45"}),
        (f"/blocks/0/{WORK}/1/variations", []),
        ("/blocks/0/rules/break", {"counts": "set_ended_early", "penalty_s": 30}),
        ("/blocks/0/aim/conditions/1", {"kind": "later_sets", "work": "a", "lower": 6}),
        ("/overall", {"by": "block"}),
    )
    assert between(row_and_squat(), respelt) == ()


# Valid values of one place; together they change every part of a document.
CHOICES: dict[str, list[Any]] = {
    "/title": ["Row and squat sixty", "Harbour sixty"],
    "/quality": ["local_muscular_endurance", "aerobic_power"],
    "/texts/why": ["Long sets under fatigue.", "Long sets.", ""],
    "/texts/effort": ["", "Hard, not to the end."],
    f"/blocks/0/{WORK}/0/repetitions": [60, 61, None],
    f"/blocks/0/{WORK}/0/variations": [["row_30", "row_45"], ["row_45", "row_30"], ["row_45", "row_60"], []],
    f"/blocks/0/{WORK}/0/as_written/height_cm": [None, 30, 30.000000001],
    f"/blocks/0/{WORK}/1/movement": ["squat", "lunge"],
    f"/blocks/0/{WORK}/1/as_written/load_kg": [16, 123456.7 / 1000, 123456.8 / 1000],
    "/blocks/0/rules/order": ["swap_on_break", "in_sequence"],
    "/blocks/0/rules/break/counts": ["set_ended_early", "none"],
    "/blocks/0/rules/break/penalty": ["added", "served_rest"],
    "/blocks/0/rules/end/cap_s": [1500, 1200, None],
    "/blocks/0/rules/scored": ["time", "repetitions"],
    "/blocks/0/rules/tie_break": ["fewest_breaks", "none"],
    "/blocks/0/aim/conditions/0/lower": [12, 13, None],
    "/blocks/0/aim/conditions/2/kind": ["time", "score"],
    "/overall": [{"by": "block"}, {"by": "places"}, {"by": "block", "block": "main"}],
}
documents = st.fixed_dictionaries({path: st.sampled_from(values) for path, values in CHOICES.items()})


@given(documents, documents)
def test_every_change_is_mentioned_and_nothing_else(old: dict[str, Any], new: dict[str, Any]) -> None:
    """Each place that differs has a difference on it or on what holds it, and no other place has one."""
    before, after = changed(*old.items()), changed(*new.items())
    found = between(before, after)
    differing = {path for path in CHOICES if old[path] != new[path]}
    pointers = {pointer for one in found for pointer in (one.pointer, one.pointer_before) if pointer}

    def related(path: str, pointer: str) -> bool:
        """One lies on the way to the other; a condition on something else is new, and another one gone."""
        return f"{pointer}/".startswith(f"{path}/") or f"{path}/".startswith(f"{pointer}/")

    for path in differing:
        assert any(related(path, pointer) for pointer in pointers), path
    for pointer in pointers:
        assert any(related(path, pointer) for path in differing), pointer
    assert (parse_revision(before) == parse_revision(after)) == (found == ())
    assert all(one.sentence.endswith(".") and one.sentence[0].isupper() for one in found)
    assert len({one.sentence for one in found}) == len(found)


@given(documents, documents)
def test_there_and_back(old: dict[str, Any], new: dict[str, Any]) -> None:
    """The way back has the same differences with the sides exchanged."""
    before, after = changed(*old.items()), changed(*new.items())
    there = {(one.part, one.pointer_before, one.pointer) for one in between(before, after)}
    back = {(one.part, one.pointer, one.pointer_before) for one in between(after, before)}
    assert there == back


def test_conditions_on_one_movement_twice_are_told_apart() -> None:
    """By the key, and only there."""
    old, new = row_and_squat(), row_and_squat()
    for document in (old, new):
        work = document["blocks"][0]["work"]
        work.append({**work[0], "key": "again"})
    new["blocks"][0]["aim"]["conditions"][0]["upper"] = 24
    told = [one.sentence for one in between(old, new)]
    assert told == ["Block main: the first set of horizontal row (a) is now 12 to 24, before 12 to 20."]
