"""Sessions in words: everything that decides is said, and nothing is wider than asked for."""

from __future__ import annotations

import copy

from services.demo.describe import session_lines
from services.demo.documents import BALLAST, HEADWIND, NEW_SESSION, of_the_mill


def told(document: dict[str, object]) -> str:
    return " ".join(session_lines(document, 98))


def test_a_swap_is_told_with_its_penalty_and_cap() -> None:
    """Amounts, order, score, what a break costs, and the cap; the aim with both windows."""
    assert told(NEW_SESSION) == (
        "50 push-ups and 80 squats, for time, change over at each break, 20 s for each; cap 25 min "
        "aim: a first set of 10 to 20 push-ups and of 18 to 40 squats; a score of 2.5 to 20 min"
    )


def test_rounds_are_told_with_units_and_rest() -> None:
    """Kilocalories on a machine; the rest between rounds; work that is not scored."""
    assert told(HEADWIND).startswith(
        "5 rounds of 15 kcal on the bike and 12 dumbbell presses, for time; cap 20 min"
    )
    assert told(BALLAST).startswith(
        "4 rounds of 5 back squats and 5 bench presses, 3:00 rest between, not scored"
    )


def test_what_differs_is_seen() -> None:
    """The local version reads differently."""
    assert "70 squats" in told(of_the_mill())
    assert "cap 20 min" in told(of_the_mill())


def test_other_conditions_and_movements_have_words_too() -> None:
    """What the demo does not use is told plainly, not left out."""
    document = copy.deepcopy(HEADWIND)
    block = document["blocks"][0]
    block["work"][0] = {"key": "a", "movement": "rope_climb", "repetitions": None}
    block["aim"]["conditions"] = [{"kind": "stopped_by", "by": "breathing"}]
    assert "as many as possible rope climb" in told(document)
    assert told(document).endswith("aim: stopped by breathing")


def test_lines_are_not_wider_than_asked_for() -> None:
    """They wrap."""
    assert max(map(len, session_lines(NEW_SESSION, 40))) <= 40
