"""After a check set the amount is told where it is another one than stands."""

from __future__ import annotations

from typing import Any

import pytest

from programming.calc.revision import UNITS
from scoring.amount_changed import amount_changed


def content(
    amount: float | None, unit: str = "repetitions", *, own: bool = True, rounds: int | None = None
) -> Any:
    work = {"work": "a", "block": "main", **dict.fromkeys(UNITS), "amount_as_written": not own}
    return {"work": [{**work, unit: amount}], "blocks": [{"block": "main", "rounds": rounds}]}


def once() -> bool:
    return False


def test_what_is_asked_for_in_each_round_is_told_so() -> None:
    """Eight repetitions of three rounds are no eight in all."""
    told = amount_changed(content(6), content(8), content(8)["work"][0], lambda: True)
    assert told == " And more of it: 8 repetitions each time, not 6."
    assert "22 repetitions each time" in amount_changed(
        NONE, content(22), content(22)["work"][0], lambda: True
    )


NONE: Any = {"work": [], "blocks": []}


@pytest.mark.parametrize("code", ["capped_volume", "far_more_than_of_late"])
def test_less_of_capped_work_is_what_the_check_set_leaves(code: str) -> None:
    """Of other work, or of more of it, the check set is no reason."""
    following = content(1) | {"reasons": [{"code": code, "work": "a"}]}
    given = following["work"][0]
    assert amount_changed(content(22), following, given, once) == (
        " And less of it: 1 repetition, not 22, since the check set counts in the most of it."
    )
    assert "since" not in amount_changed(content(22), following | {"reasons": []}, given, once)
    other = following | {"reasons": [{"code": code, "work": "b"}]}
    assert "since" not in amount_changed(content(22), other, given, once)
    assert "since" not in amount_changed(content(0), following, given, once)


@pytest.mark.parametrize(
    ("standing", "following", "said"),
    [
        (content(50, own=False), content(22), " And less of it: 22 repetitions, not 50."),
        (content(10), content(12), " And more of it: 12 repetitions, not 10."),
        (content(40.0, "hold_s"), content(20.0, "hold_s"), " And less of it: 20 seconds, not 40."),
        (content(22), content(22), ""),
        (content(None), content(None), ""),
        (NONE, content(22), " Its amount is the athlete's own: 22 repetitions."),
        (NONE, content(50, own=False), ""),
        (content(10), content(10, rounds=3), " The block ends after 3 rounds at the latest."),
        (content(10, rounds=3), content(10, rounds=3), ""),
        (content(10, rounds=3), content(10), " The block does not end after 3 rounds any more."),
        (content(10, rounds=1), content(10), " The block does not end after 1 round any more."),
        (content(22), content(None, own=False), " And more of it: as much as possible, not 22 repetitions."),
        (content(1), content(None, own=False), " And more of it: as much as possible, not 1 repetition."),
        (content(None), content(22), " Its amount is the athlete's own: 22 repetitions."),
        (NONE, content(None, own=False), ""),
        # Rounded for people they are the same.
        (content(22.4, "hold_s"), content(22.0, "hold_s"), ""),
        (content(22.4, "hold_s"), content(21.4, "hold_s"), " And less of it: 21 seconds, not 22."),
        (
            content(10),
            content(8, rounds=1),
            " And less of it: 8 repetitions, not 10. The block ends after 1 round at the latest.",
        ),
    ],
)
def test_what_has_changed_is_told(standing: Any, following: Any, said: str) -> None:
    """And nothing where the amount stays; where nothing stood what is written was expected."""
    assert amount_changed(standing, following, following["work"][0], once) == said


def test_a_limit_that_is_lifted_in_each_round_is_told_so() -> None:
    following = content(None, own=False)
    told = amount_changed(content(6), following, following["work"][0], lambda: True)
    assert told == " And more of it: as much as possible each time, not 6 repetitions."


def test_the_rounds_are_those_of_the_work_s_own_block() -> None:
    """What ends another block is told of its own work."""
    other = {"block": "after", "rounds": 2}
    standing, following = content(10, rounds=3), content(10, rounds=3)
    following["blocks"].insert(0, other)
    assert amount_changed(standing, following, following["work"][0], once) == ""
    following["blocks"][1]["rounds"] = 4
    told = amount_changed(standing, following, following["work"][0], once)
    assert told == " The block ends after 4 rounds at the latest."


def test_contents_of_an_earlier_version_are_read() -> None:
    """They named no block, no other unit and no rounds."""
    old: Any = {"work": [{"work": "a", "repetitions": 50}]}
    assert amount_changed(old, old, old["work"][0], once) == ""
    assert amount_changed(old, content(22), content(22)["work"][0], once).startswith(" And less of it: 22")
