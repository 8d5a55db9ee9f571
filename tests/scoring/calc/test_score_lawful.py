"""Whatever lawful log the second reading of the rules makes up, the score is the same and nothing is found."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.calc.score import official_score
from tests.oracles.naive_score import lawful
from tests.scoring.calc.rule_blocks import block_of, item
from tests.support.examples import examples

EARLY = {"counts": "set_ended_early"}
SWINGS = item("p", 6, load_kg=16)
BLOCKS = {
    "sequence": block_of(("a", 30), ("b", 20), scored="time", breaks={**EARLY, "penalty_s": 10}),
    "swap": block_of(("a", 40), ("b", 30), ("c", 20), scored="time", order="swap_on_break",
                     breaks={**EARLY, "penalty_s": 30}, tie_break="split_time", split="a"),
    "served rest": block_of(("a", 40), ("b", 30), scored="time", order="swap_on_break", end=("work_done", 600),
                            breaks={**EARLY, "penalty": "served_rest", "penalty_s": 20}),
    "served work": block_of(("a", 30), ("b", 20), scored="time", end=("work_done", 900),
                            breaks={**EARLY, "penalty": "served_work", "penalty_work": SWINGS}),
    "judged": block_of(("a", 30), ("b", 20), scored="time", breaks={"counts": "no_rep", "penalty_s": 5}),
    "long rests": block_of(("a", 50), ("b", 20), scored="time",
                           breaks={"counts": "rest_longer_than", "rest_over_s": 12, "penalty_s": 7}),
    "rounds for time": block_of(("a", 10), ("b", 5), scored="time", order="rounds", rounds=4,
                                rest_between_s=60, breaks={**EARLY, "penalty_s": 10}),
    "rounds": block_of(("a", 10), ("b", 5), scored="rounds", order="rounds", end=("fixed_time", 420),
                       breaks={**EARLY, "penalty_repetitions": 2}, tie_break="split_time", split="b"),
    "metres": block_of(item("a", 200, "distance_m"), ("b", 5), scored="distance", order="rounds",
                       end=("fixed_time", 400)),
    "energy": block_of(item("a", 12, "energy_kcal"), scored="energy", order="rounds", end=("fixed_time", 300)),
    "held": block_of(item("a", 90, "hold_s"), ("b", 5), scored="held_time", end=("work_done", 120)),
    "ladder": block_of(("a", 1), ("b", 1), scored="repetitions", order="ladder", end=("fixed_time", 500),
                       ladder={"amounts": [2, 4], "then_step": 2}),
    "intervals": block_of(("a", 6), ("b", 4), scored="intervals", order="intervals",
                          intervals={"every_s": 60, "count": 8}, breaks={"counts": "missed_interval"},
                          tie_break="fewest_misses"),
    "in turn": block_of(("a", 10), ("b", 8), scored="intervals", order="intervals",
                        intervals={"every_s": 40, "count": 6, "in_turn": True}),
    "smallest": block_of(("a", None), scored="smallest_interval", order="intervals",
                         intervals={"every_s": 30, "count": 8, "work_s": 25}),
    "until a miss": block_of(("a", 1), scored="intervals", order="intervals", end=("first_miss", None),
                             intervals={"every_s": 60}, ladder={"amounts": [3, 5], "then_step": 2}),
    "attempts": block_of(item("a", 2, load_kg=80), scored="load", order="attempts", attempts=5,
                         breaks={"counts": "no_rep"}, tie_break="fewest_misses"),
    "volume": block_of(item("a", 30, load_kg=20), ("b", 10), scored="volume_load", order="rounds", rounds=2),
}  # fmt: skip
PENALTIES = {"sequence": 10, "swap": 30, "judged": 5, "long rests": 7, "rounds for time": 10}


def chooser(seed):
    """Numbers from 1 to `most` for a log, often extreme ones."""
    random = Random(seed)
    return lambda most: random.choice([1, most, random.randint(1, most), random.randint(1, most)])


def naive_value(name, block, tally, log):
    """The score by words: what each name of BLOCKS scores."""
    rules, main = block.rules, [one.key for one in block.work]
    if rules.scored == "time":
        return log.elapsed_s + PENALTIES.get(name, 0) * tally.breaks if tally.finished else None
    if rules.scored in {"intervals", "smallest_interval"}:
        return tally.rounds if rules.scored == "intervals" else min(tally.per_round.values())
    if rules.scored in {"load", "volume_load"}:
        return tally.best if rules.scored == "load" else tally.volume
    if name == "rounds":
        return max(0, sum(tally.done[key] for key in main) - 2 * tally.breaks)
    return tally.done["a"] if name in {"metres", "energy", "held"} else sum(tally.done[key] for key in main)


@pytest.mark.parametrize("name", BLOCKS)
@given(seed=st.integers(0, 2**32))
@settings(deadline=None, max_examples=examples(24))
def test_a_lawful_log_is_scored_as_by_the_second_reading(name, seed):
    """Value, breaks, misses and split agree; nothing in a lawful log looks wrong."""
    block = BLOCKS[name]
    most = 12 if name == "until a miss" else 40  # 25 repetitions still fit into a minute
    log, tally = lawful(block, chooser(seed), most)
    score = official_score(block, log)

    assert [found.code for found in score.findings] == []
    assert score.breaks == tally.breaks
    value = naive_value(name, block, tally, log)
    shown = score.score_s if block.rules.scored == "time" else score.value
    assert shown == (None if value is None else pytest.approx(value))
    assert {key: done for key, done, _ in score.amounts} == pytest.approx(tally.done)
    if block.rules.tie_break == "fewest_misses":
        assert score.misses == tally.misses
    if block.rules.split is not None:
        assert score.split_s == (None if tally.split is None else pytest.approx(tally.split))
    if block.rules.order in {"rounds", "ladder", "intervals"} and block.rules.scored not in {"rounds"}:
        assert block.work[0].amount is None or score.rounds_completed == tally.rounds


@pytest.mark.parametrize("name", ["sequence", "swap", "rounds for time", "long rests", "judged"])
@given(seed=st.integers(0, 2**32))
@settings(deadline=None, max_examples=examples(12))
def test_a_log_without_its_last_set_never_scores_better(name, seed):
    """Leaving work out of a log gains nothing: no time is better than some."""
    block = BLOCKS[name]
    log, _ = lawful(block, chooser(seed))
    shorter = official_score(block, type(log)(log.sets[:-1], log.elapsed_s))

    assert shorter.score_s is None
    assert any(found.code in {"missing_repetitions", "missing_work"} for found in shorter.findings)
