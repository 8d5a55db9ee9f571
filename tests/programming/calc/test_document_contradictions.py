"""Contradictions between the rules, the work and the aim of a revision."""

import pytest

from programming.calc.document import contradictions, parse_revision
from tests.programming.calc.documents import row_and_squat
from tests.support.pointers import WORK


def found(conditions, **changes):
    """(pointer below the conditions, code) for a document with these conditions."""
    doc = row_and_squat()
    doc["blocks"][0]["aim"]["conditions"] = conditions
    doc["blocks"][0]["work"][0] |= changes
    at = "/blocks/0/aim/conditions"
    return [(p.pointer.removeprefix(at), p.code) for p in contradictions(parse_revision(doc))]


def window(kind, lower, upper, work="a"):
    """A condition; time names no work."""
    return {"kind": kind, "lower": lower, "upper": upper} | ({} if kind == "time" else {"work": work})


def test_a_sensible_document_has_none():
    """The example of these tests holds together."""
    assert contradictions(parse_revision(row_and_squat())) == []


@pytest.mark.parametrize(
    ("conditions", "expected"),
    [
        ([], [("", "aim_empty")]),
        ([window("first_set", 20, 12)], [("/0", "window_reversed")]),
        ([window("first_set", 61, None)], [("/0/lower", "window_above_work")]),
        ([window("first_set", 60, None)], []),
        # 60 repetitions = 1 in the first set + a later set of 58 + 1 in the last set
        ([window("later_sets", 58, None)], []),
        ([window("later_sets", 59, None)], [("/0/lower", "window_above_work")]),
        ([window("later_sets", 39, None, "b")], [("/0/lower", "window_above_work")]),
        ([window("time", 1501, None)], [("/0/lower", "time_window_above_cap")]),
        ([window("time", 1500, 2000)], []),
        # 100 repetitions at two a second take 50 s
        ([window("time", None, 49)], [("/0/upper", "time_window_too_short")]),
        ([window("time", None, 50)], []),
        ([window("first_set", 5, 8), window("first_set", 9, 12)], [("/1", "windows_disjoint")]),
        ([window("first_set", 5, 8), window("first_set", 9, 12, "b")], []),
        ([window("first_set", 5, 9), window("first_set", 9, 12)], []),
        ([window("first_set", 5, 8), window("later_sets", 9, None)], [("/1", "later_sets_above_first")]),
        ([window("later_sets", 9, None), window("first_set", 5, 8)], [("/1", "later_sets_above_first")]),
        ([window("later_sets", 8, None), window("first_set", 5, 8)], []),
    ],
)
def test_each_contradiction_and_its_edge(conditions, expected):
    """Just beyond the edge is named, on the edge is not."""
    assert found(conditions) == expected


def test_the_version_as_written_must_be_allowed():
    """A list of variations that leaves out the one as written contradicts itself."""
    result = found([window("first_set", 12, 20)], variations=["row_30"])

    assert result == [(f"/blocks/0/{WORK}/0/as_written/variation", "as_written_not_allowed")]


def test_no_list_of_variations_allows_any():
    """An empty list means the whole ladder."""
    assert found([window("first_set", 12, 20)], variations=[]) == []


def test_one_movement_twice_is_refused():
    """The second item names the place: forecast as apart, they would not tire each other."""
    result = found([window("first_set", 12, 20)], movement="squat", variations=[])

    assert result == [(f"/blocks/0/{WORK}/1/movement", "same_movement_twice")]
