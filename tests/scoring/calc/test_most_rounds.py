"""Rounds of next to nothing end where nobody does more, however much is reported of them."""

import pytest

from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.replay import play_log
from scoring.calc.rounds import MOST_ROUNDS
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item

OPEN = {"order": "rounds", "end": ("fixed_time", 3600)}
METRES = block_of(item("a", 10, unit="distance_m"), scored="rounds", **OPEN)
COUNTED = block_of(("a", 1), scored="rounds", **OPEN)


def codes(found):
    return [one.code for one in found]


@pytest.mark.parametrize(
    ("block", "unit", "amount"), [(METRES, "distance_m", 5e5), (COUNTED, "repetitions", 1e6)]
)
def test_no_set_runs_on_for_ever(block, unit, amount):
    """300 sets of 500 km in rounds of 10 m were fifteen million rounds; somebody is asked after the first."""
    log = SetLog(tuple(SetEntry("a", amount, "planned", unit=unit) for _ in range(300)), 3600.0)

    played = play_log(block, log)

    assert codes(played.findings) == ["too_many_rounds"]
    assert MOST_ROUNDS <= played.rounds_done <= MOST_ROUNDS + 300
    assert "too_many_rounds" in codes(official_score(block, log).findings)


def test_what_somebody_does_in_a_day_counts_whole():
    """100 km in rounds of 10 m are as many rounds as there are; one round less is none too many."""
    log = SetLog((SetEntry("a", 10.0 * (MOST_ROUNDS - 1), "planned", unit="distance_m"),), None)

    played = play_log(METRES, log)

    assert (played.findings, played.rounds_done, played.counted[0]) == (
        [],
        MOST_ROUNDS - 1,
        10.0 * (MOST_ROUNDS - 1),
    )


def test_totals_end_there_too():
    """Told without sets: the amount is kept, its rounds are counted no further."""
    score = official_score(METRES, Totals(3600.0, None, (("a", 5e5),)))

    assert score.rounds_completed == MOST_ROUNDS
    assert "impossible_speed" in codes(score.findings)
