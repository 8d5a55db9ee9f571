"""Planned sets of rounds are told apart by their rounds; each by hand."""

import pytest

from programming.calc.revision import Aim, AsWritten, Block, BlockRules, BreakRule, EndRule, Ladder, WorkItem
from scoring.brief import brief_of
from scoring.brief_rounds import by_round, rounds_of
from scoring.brief_words import WHICH_HOLDS, sets_line
from scoring.models import Prescription
from scoring.names import Names
from tests.scoring.sessions import block as blocked
from tests.scoring.sessions import document, place, work
from tests.support.world import add_athlete, drain, make_world


def block(order: str, *amounts: float | None, **rules: object) -> Block:
    work = tuple(
        WorkItem(key, f"movement_{key}", amount, AsWritten("any"), unit="repetitions")
        for key, amount in zip("abc", amounts, strict=False)
    )
    usual = {
        "break_rule": BreakRule("none"),
        "end": EndRule("work_done"),
        "scored": "time",
        "tie_break": "none",
    }
    return Block("main", work, BlockRules(order=order, **{**usual, **rules}), Aim(()))


THREE = block("rounds", 10.0, 5.0, rounds=3)


@pytest.mark.parametrize(
    ("of", "work", "amounts", "rounds"),
    [
        (THREE, "a", [10.0, 6.0, 4.0, 10.0], [0, 1, 1, 2]),
        (THREE, "b", [5.0, 5.0, 5.0], [0, 1, 2]),
        (THREE, "a", [10.0], None),  # of one round alone there is nothing to tell apart
        (THREE, "a", [12.0, 8.0, 10.0], None),  # not by its rounds
        (THREE, "a", [10.0] * 4, None),  # more than there are
        (block("ladder", 2.0, ladder=Ladder((1.0, 2.0, 3.0), None)), "a", [2.0, 4.0, 3.0, 3.0], [0, 1, 2, 2]),
        (block("in_sequence", 30.0, rounds=1), "a", [10.0, 10.0, 10.0], None),
        (
            block("rounds", None, 5.0, rounds=3),
            "a",
            [7.0, 8.0],
            None,
        ),  # as many as possible: no end to a round
    ],
)
def test_the_round_of_each_set(of: Block, work: str, amounts: list[float], rounds: list[int] | None) -> None:
    assert rounds_of(of, work, amounts) == rounds


def test_equal_rounds_are_one_entry() -> None:
    assert by_round([10, 6, 4, 6, 4, 10], [0, 1, 1, 2, 2, 3]) == [([1], "10"), ([2, 3], "6, 4"), ([4], "10")]


def test_they_are_told_by_their_name() -> None:
    """Three equal rounds are no three sets of one round."""
    names = Names(works={"a": "Row"}, rounds={"main": "rung"})
    work = {"block": "main", "work": "a", "unit": "repetitions"}
    sets = [{"work": "a", "repetitions": number} for number in (10, 6, 4, 6, 4)]
    assert (
        sets_line(work, sets, names, [0, 1, 1, 2, 2])
        == "Row: rung 1 in 10; rungs 2 to 3 in 6, 4 repetitions."
    )
    assert (
        sets_line(work, sets[:1] * 3, Names(works={"a": "Row"}), [0, 1, 2])
        == "Row: rounds 1 to 3 in 10 repetitions."
    )
    assert sets_line(work, sets, names) == "Row: 10, 6, 4, 6, 4 repetitions."
    last = [{"work": "a", "repetitions": number} for number in (3, 1)]
    assert sets_line(work, last, names) == "Row: 3, 1 repetition."


@pytest.mark.django_db
def test_a_coach_s_own_words_are_told_apart_from_what_is_worked_out() -> None:
    """ "Two short of failure" above sets that are planned to failure: whoever reads both is told whom to ask."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16})
    sets = {}
    for words in ("Stop each set two short of failure.", ""):
        rows = work("r", "horizontal_row", "row_45", repetitions=60)
        written = document("Rows", blocked("main", rows, aim=[{"kind": "time", "upper": 1500}]))
        session = place(world, {**written, "texts": {"how": words} if words else {}})
        drain(world.cast)
        with world.cast.inside():
            row = Prescription.objects.get(session=session)
            parts = {one.key: one.lines for one in brief_of(row, superseded_by=None).parts}
        sets[words] = parts["sets"]
    first, last = sets.values()
    assert first[:2] == ("Stop each set two short of failure.", WHICH_HOLDS)
    assert len(first) == len(last) + 2 and WHICH_HOLDS not in last
