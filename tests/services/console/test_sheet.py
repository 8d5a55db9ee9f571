"""The session sheet: columns of sets or rounds, room for the pen, nothing that is cut off unsaid."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import pytest

from programming.calc.document import parse_revision
from services.console.given import Cell, Given
from services.console.sheet import CLOSE, MOST_COLUMNS, ROOMY, sheet_of
from tests.services.console.test_session import answers, seen
from tests.support.world import SESSION, World

ROUNDS: dict[str, Any] = {
    **SESSION,
    "blocks": [
        {
            **SESSION["blocks"][0],
            "work": [
                {**SESSION["blocks"][0]["work"][0], "repetitions": 12},
                {**SESSION["blocks"][0]["work"][1], "repetitions": 20},
            ],
            "rules": {
                **SESSION["blocks"][0]["rules"],
                "order": "rounds",
                "rounds": 3,
                "break": {"counts": "none"},
            },
            "aim": {"conditions": []},
        }
    ],
}
LETTERS = {"a": "A", "b": "B"}


def given(plan: list[tuple[str, int]], reason: str = "", name: str = "Somebody") -> Given:
    """Somebody with these sets, of the work and amounts as written."""
    content = {
        "plan": [{"work": work, "block": "main", "repetitions": amount} for work, amount in plan],
        "work": [],
        "blocks": [],
        "caution_details": [{"code": "stop_signs", "text": "Stop."}],
    }
    cells = [] if reason else [Cell("Row", "", "", True, False), Cell("Squat", "", "", True, False)]
    return Given(uuid4(), uuid4(), name, cells, reason, "9:00", "8:00 to 10:00", "80 %", "", False, content)


def blocks(document: dict[str, Any]) -> Any:
    return parse_revision(document).blocks


def test_sets_stand_in_the_order_of_the_plan() -> None:
    """By the letter of their work; whoever has fewer sets has blank cells to the end."""
    rows = [given([("a", 20), ("b", 30), ("a", 15)]), given([("a", 9)])]
    sheet = sheet_of(blocks(SESSION), rows, LETTERS, [])
    assert (sheet.unit, sheet.columns, sheet.further) == ("Set", ["1", "2", "3"], False)
    assert [list(map(list, row.cells)) for row in sheet.rows] == [
        [["A 20"], ["B 30"], ["A 15"]],
        [["A 9"], [], []],
    ]
    assert sheet.rows[0].versions == ["A Row", "B Squat"]


def test_rounds_stand_together_where_everybody_has_them() -> None:
    """Twelve rows and twenty squats in each of three rounds, the squats of the last one in two sets."""
    plan = [("a", 12), ("b", 20), ("a", 12), ("b", 20), ("a", 12), ("b", 11), ("b", 9)]
    sheet = sheet_of(blocks(ROUNDS), [given(plan), given([], "On hold.")], LETTERS, [])
    assert (sheet.unit, sheet.columns) == ("Round", ["1", "2", "3"])
    assert list(sheet.rows[0].cells) == [["A 12", "B 20"], ["A 12", "B 20"], ["A 12", "B 11, 9"]]
    assert sheet.rows[1].reason == "On hold."


def test_one_whose_sets_fill_no_rounds_puts_all_into_sets() -> None:
    """Sets that do not add up to a round tell nothing of rounds."""
    plan = [("a", 12), ("b", 20)] * 3
    sheet = sheet_of(blocks(ROUNDS), [given(plan), given([("a", 7), ("b", 20)])], LETTERS, [])
    assert (sheet.unit, len(sheet.columns)) == ("Set", 6)


def test_what_has_no_column_stands_in_the_last() -> None:
    """Nothing of a long plan is lost."""
    plan = [("a", number) for number in range(1, MOST_COLUMNS + 3)] + [("b", 30), ("a", 2)]
    sheet = sheet_of(blocks(SESSION), [given(plan)], LETTERS, [])
    assert (len(sheet.columns), sheet.further) == (MOST_COLUMNS, True)
    assert list(sheet.rows[0].cells[-1]) == ["A 13, 14 · B 30 · A 2"]


def test_the_room_for_the_pen_goes_by_the_rows() -> None:
    """Also by those who are not worked out yet, who are named."""
    for count, room in ((ROOMY, "roomy"), (CLOSE, "close"), (CLOSE + 1, "dense")):
        rows = [given([("a", 9)]) for _ in range(count - 1)]
        sheet = sheet_of(blocks(SESSION), rows, LETTERS, ["Late Comer"])
        assert sheet.room == room
        assert (sheet.rows[-1].name, sheet.rows[-1].reason) == ("Late Comer", "not worked out yet")


def test_who_has_cautions_of_their_own_is_marked() -> None:
    """The general one, which everybody has, marks nobody."""
    careful = given([("a", 9)])
    careful.content["caution_details"].append({"code": "training_alone", "text": "Alone."})
    sheet = sheet_of(blocks(SESSION), [given([("a", 9)]), careful], LETTERS, [])
    assert [row.careful for row in sheet.rows] == [False, True]


@pytest.mark.django_db
def test_the_sheet_prints_what_is_prescribed(prescribed: World) -> None:
    """Every planned set of everybody, the reason of who has none, stop signs and the number to call."""
    told = seen(prescribed, path="/sheet").text
    letters = SimpleNamespace(a="A", b="B")
    planned = [one for one in answers(prescribed) if one["content"]["plan"]]
    assert planned
    for one in planned:
        place = told.index(one["athlete_name"])
        for entry in one["content"]["plan"][:MOST_COLUMNS]:
            place = told.index(f"{getattr(letters, entry['work'])} {entry['repetitions']}", place)
        for entry in one["content"]["plan"][MOST_COLUMNS:]:
            place = told.index(str(entry["repetitions"]), place)
    assert "Otis Marsh" in told and "none is recorded" in told
    assert "Stop at pain" in told and "Emergency: the local emergency number." in told
