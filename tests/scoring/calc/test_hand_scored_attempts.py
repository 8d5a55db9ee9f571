"""Days of attempts with rising loads, scored by hand: the heaviest that succeeded, misses, and ties by rule."""

import pytest

from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.ranking import OfficialRow, rank_official
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item

SINGLE = block_of(
    item("a", 1, load_kg=60), scored="load", order="attempts", attempts=3, rest_between_s=180,
    tie_break="fewest_misses",
)  # fmt: skip
TRIPLE = block_of(
    item("a", 3, load_kg=60), scored="load", order="attempts", attempts=3, tie_break="fewest_misses"
)


def log(*attempts, rest_s=180.0):
    """A set log of attempts (kg, repetitions, ended by), with the rests that the rules ask for."""
    return SetLog(
        tuple(
            SetEntry("a", done, ended, load_kg=kg, rest_before_s=0.0 if number == 0 else rest_s)
            for number, (kg, done, ended) in enumerate(attempts)
        )
    )


def shown(block, *attempts):
    score = official_score(block, log(*attempts))
    return score.state, score.value, score.unit, score.misses, [one.code for one in score.findings]


MADE, MISSED = (1, "planned"), (0, "failure")


@pytest.mark.parametrize(
    ("attempts", "state", "value", "misses"),
    [
        # 90 made, 97.5 missed, 102.5 missed: 90 kg, two misses.
        ([(90.0, *MADE), (97.5, *MISSED), (102.5, *MISSED)], "finished", 90.0, 2),
        # Made, missed, made with the same load: 97.5 kg, one miss.
        ([(90.0, *MADE), (97.5, *MISSED), (97.5, *MADE)], "finished", 97.5, 1),
        # The heaviest counts, not the last: down again after a miss.
        ([(97.5, *MADE), (102.5, *MISSED), (92.5, *MADE)], "finished", 97.5, 1),
        # All missed: no mark.
        ([(97.5, *MISSED), (97.5, *MISSED), (97.5, *MISSED)], "no_mark", None, 3),
        # Lifted, but refused by the judge: a miss.
        ([(90.0, *MADE), (97.5, 1, "no_rep"), (97.5, *MISSED)], "finished", 90.0, 2),
    ],
)  # fmt: skip
def test_singles(attempts, state, value, misses):
    unit = None if value is None else "kg"
    assert shown(SINGLE, *attempts) == (state, value, unit, misses, [])


@pytest.mark.parametrize(
    ("attempts", "value", "misses"),
    [
        # Three with 80, two of three with 90, three with 85: 85 kg; two are no three.
        ([(80.0, 3, "planned"), (90.0, 2, "failure"), (85.0, 3, "planned")], 85.0, 1),
        ([(80.0, 3, "planned"), (85.0, 3, "planned"), (90.0, 2, "failure")], 85.0, 1),
    ],
)
def test_triples(attempts, value, misses):
    assert shown(TRIPLE, *attempts) == ("finished", value, "kg", misses, [])


def test_equal_loads_are_parted_by_misses():
    """97.5 kg without, with one and with one miss, 95 kg without any, no mark: 1, 2, 2, 4; and no place."""
    logs = {
        "clean": log((90.0, *MADE), (95.0, *MADE), (97.5, *MADE)),
        "once": log((90.0, *MADE), (97.5, *MISSED), (97.5, *MADE)),
        "as often": log((97.5, *MADE), (102.5, *MISSED), (97.5, *MADE)),
        "lighter": log((85.0, *MADE), (90.0, *MADE), (95.0, *MADE)),
        "nothing": log((97.5, *MISSED), (97.5, *MISSED), (97.5, *MISSED)),
    }
    scores = {name: official_score(SINGLE, one) for name, one in logs.items()}
    assert [(scores[name].value, scores[name].misses) for name in logs] == [
        (97.5, 0), (97.5, 1), (97.5, 1), (95.0, 0), (None, 3),
    ]  # fmt: skip
    rows = [
        OfficialRow(name, one.state, one.value, one.better, misses=one.misses) for name, one in scores.items()
    ]
    places = {row.key: row.rank for row in rank_official(rows, tie_break="fewest_misses")}
    assert places == {"clean": 1, "once": 2, "as often": 2, "lighter": 4, "nothing": None}
    shared = {row.key: row.rank for row in rank_official(rows, tie_break="none")}
    assert shared == {"clean": 1, "once": 1, "as often": 1, "lighter": 4, "nothing": None}


def test_totals_of_the_same_day():
    """The heaviest load and the misses without the sets: the same score."""
    by_log = official_score(SINGLE, log((90.0, *MADE), (97.5, *MADE), (102.5, *MISSED)))
    by_totals = official_score(SINGLE, Totals(None, None, (("a", 2.0),), misses=1, heaviest_kg=97.5))
    assert (by_totals.value, by_totals.misses) == (by_log.value, by_log.misses) == (97.5, 1)
