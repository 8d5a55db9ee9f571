"""Work in metres or kilocalories beside repetitions: rounds and the share of the next one, never a sum of them."""

from dataclasses import replace

import numpy as np
import pytest

from programming.calc.revision import Aim, Condition, RevisionDoc, Texts
from programming.calc.rule_codes import read_by
from programming.calc.variation import Option
from scoring.calc.aim import check_aim
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.forecast import forecast_block, make_scenarios
from scoring.calc.outlook import outlook
from scoring.calc.pacing import best_policy, run_policy
from scoring.calc.prescription import Candidate
from scoring.calc.ranking import ForecastRow, OfficialRow, rank_by_forecast, rank_official
from scoring.calc.rounds import named_rest, progress_of
from scoring.calc.score import official_score
from tests.scoring.calc.rule_blocks import block_of, item

METRES, KILOCALORIES = "distance_m", "energy_kcal"
# 250 m, then 10 and 15 repetitions, again and again for 12 minutes.
AMRAP = block_of(item("a", 250, METRES), ("b", 10), ("c", 15), scored="rounds", order="rounds",
                 end=("fixed_time", 720))  # fmt: skip


def log_of(block, text, elapsed_s=None):
    """'a250 b10' as a set log, each set in the unit of its work; > the clock ended it."""
    units = {one.key: one.unit for one in block.items}
    sets = [
        SetEntry(word[0], float(word[1:].rstrip(">")), "clock" if word[-1] == ">" else "planned",
                 unit=units[word[0]])
        for word in text.split()
    ]  # fmt: skip
    return SetLog(tuple(sets), elapsed_s)


def rowed(block, metres, repetitions):
    """The score of that much at the end of four whole rounds."""
    log = log_of(block, "a250 b10 c15 " * 4 + f"a{metres} b{repetitions}>", 720)
    return official_score(block, log)


def test_rounds_and_the_rest_by_name():
    """Four rounds, 250 m and 6 of 10: 1 + 0.6 of three items, 4 + 1.6 / 3 rounds."""
    score = rowed(AMRAP, 250, 6)

    assert (score.state, score.unit, score.better, score.findings) == ("finished", "rounds", "higher", ())
    assert score.value == pytest.approx(4 + 1.6 / 3)
    assert (score.rounds_completed, score.last_round_amount) == (4, None)
    assert score.last_round == (("a", 250.0, METRES), ("b", 6.0, "repetitions"))


def test_the_next_item_counts_more_than_any_of_the_one_before():
    """249 m of 250 lie behind 250 m and one repetition, and those behind two."""
    values = [official_score(AMRAP, log_of(AMRAP, f"a{metres}>", 720)).value for metres in (1, 2, 249)] + [
        rowed(AMRAP, 250, done).value - 4 for done in (1, 2)
    ]

    assert values == sorted(values)
    assert values[0] == pytest.approx(1 / 750)


def test_totals_give_the_same():
    """4 x 250 + 250, 4 x 10 + 6, 4 x 15: as set by set."""
    score = official_score(AMRAP, Totals(720, 0, (("a", 1250), ("b", 46), ("c", 60))))

    assert score.value == pytest.approx(rowed(AMRAP, 250, 6).value)
    assert (score.rounds_completed, score.last_round) == (
        4,
        (("a", 250.0, METRES), ("b", 6.0, "repetitions")),
    )


def test_a_ladder_by_its_rungs():
    """2, 4, 6 kilocalories and repetitions: of the rung of 6 all of a and 3 of b: 2 + (1 + 0.5) / 2 = 2.75."""
    block = block_of(item("a", 1, KILOCALORIES), ("b", 1), scored="rounds", order="ladder",
                     end=("fixed_time", 300), ladder={"amounts": [2], "then_step": 2})  # fmt: skip
    score = official_score(block, log_of(block, "a2 b2 a4 b4 a6 b3>", 300))

    assert (score.value, score.rounds_completed) == (pytest.approx(2.75), 2)
    assert score.last_round == (("a", 6.0, KILOCALORIES), ("b", 3.0, "repetitions"))


def test_what_the_cap_leaves_of_work_for_time():
    """1000 m and 8 of 40: 1.2 of two items, 0.6 of the whole; more than 999 m alone, which is 0.4995."""
    block = block_of(item("a", 1000, METRES), ("b", 40), scored="time", end=("work_done", 300))
    score = official_score(block, log_of(block, "a1000 b8>", 300))

    assert (score.state, score.value, score.unit) == ("capped", pytest.approx(0.6), "rounds")
    assert official_score(block, log_of(block, "a999>", 300)).value == pytest.approx(0.4995)


def test_older_rules_add_up():
    """By version 2 250 m and 6 repetitions in the fifth round are 4 x 275 + 256 = 1356."""
    score = official_score(AMRAP, log_of(AMRAP, "a250 b10 c15 " * 4 + "a250 b6>", 720), rules_version=2)

    assert (score.value, score.unit, score.rules_version) == (1356.0, "repetitions", 2)
    assert not replace(AMRAP, rules=replace(AMRAP.rules, adds_units=True)).by_progress
    assert read_by(document(), 3).blocks[0].by_progress and not read_by(document(), 2).blocks[0].by_progress


def document():
    """A revision of one such block."""
    return RevisionDoc("Made for a test", Texts(), "aerobic_power", (AMRAP,))


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.0, (0, (0, 0, 0))),
        (1 / 750, (0, (1, 0, 0))),
        (0.2, (0, (150, 0, 0))),  # 0.6 of 250
        (1 / 3, (0, (250, 0, 0))),
        (0.5, (0, (250, 5, 0))),
        (4 + 1.6 / 3, (4, (250, 6, 0))),
        (4 + 2 / 3, (4, (250, 10, 0))),
        (4 + 2.4 / 3, (4, (250, 10, 6))),
        (4.9999999, (5, (0, 0, 0))),
    ],
)
def test_a_value_is_named_as_it_was_done(value, expected):
    """From the score, kept to six digits, back to the amounts."""
    count, rest = named_rest(AMRAP, round(value, 6))

    assert (count, [round(one, 2) for one in rest]) == (expected[0], pytest.approx(expected[1], abs=0.01))


def test_ranked_by_rounds_then_item_by_item():
    """A metre of the last round decides; the same rounds and rest share a place and the tie-break decides."""
    scores = {"ann": rowed(AMRAP, 200, 0), "bea": rowed(AMRAP, 201, 0), "cem": rowed(AMRAP, 250, 1)}
    rows = [OfficialRow(key, one.state, one.value, "higher", breaks=2) for key, one in scores.items()]
    rows.append(OfficialRow("dan", "finished", scores["bea"].value, "higher", breaks=1))

    ranks = {row.key: row.rank for row in rank_official(rows, tie_break="fewest_breaks")}
    assert ranks == {"cem": 1, "dan": 2, "bea": 3, "ann": 4}


def scenarios(block):
    """A rower without a known pace (half a second a metre), and two movements of which all is always there."""
    rng = np.random.default_rng(5)
    option = Option("written", None, None, None, 40.0)
    many = 200
    able = [40.0 * np.exp(0.2 * rng.normal(size=many)) for _ in range(2)]
    rower = Candidate(option, np.full(many, np.inf), True, False, seconds_per_unit=0.5, kind="none")
    others = [Candidate(option, fresh, True, False) for fresh in able]
    return make_scenarios(block, [rower, *others], np.ones(many))


def test_forecast_in_the_same_terms():
    """Rounds of two minutes of rowing alone: less than six in twelve minutes, and the middle told in rounds."""
    forecast = forecast_block(AMRAP, scenarios(AMRAP))

    assert (forecast.unit, forecast.better) == ("rounds", "higher")
    assert 2.0 < forecast.p10 <= forecast.p50 <= forecast.p90 < 720 / 125
    done = {key: sum(one.amount for one in forecast.plan if one.work == key) for key in "abc"}
    assert progress_of(AMRAP, [done[key] for key in "abc"]).value == pytest.approx(forecast.p50, abs=0.35)


def test_a_simulated_ladder_by_its_rungs():
    """5 s a kilocalorie, 2 s a repetition, 5 s from one to the other: rungs of 2, 4 and 6 end at 19, 57 and 109 s.

    The 8 kilocalories from 114 s take until 154 s; from 159 to 165 s three of 8 repetitions: 3 + (1 + 3 / 8) / 2.
    """
    block = block_of(item("a", 1, KILOCALORIES), ("b", 1), scored="rounds", order="ladder",
                     end=("fixed_time", 165), ladder={"amounts": [2], "then_step": 2})  # fmt: skip
    option, free = Option("written", None, None, None, 40.0), np.full(8, np.inf)
    pair = [
        Candidate(option, free, True, False, seconds_per_unit=seconds, kind="none") for seconds in (5.0, 2.0)
    ]

    assert forecast_block(block, make_scenarios(block, pair, np.ones(8))).p50 == pytest.approx(3.6875)


def test_aim_in_the_same_terms():
    """A window of rounds is likely where the forecast lies, and met or missed by the score."""
    block = replace(
        AMRAP, aim=Aim((Condition("score", None, 3.0, 6.0), Condition("score", None, 100.0, None)))
    )
    forecast = forecast_block(block, scenarios(block))
    policy = best_policy(block, scenarios(block))
    likely, summed = outlook(block, scenarios(block), run_policy(block, scenarios(block), policy), policy)[0]
    score = rowed(block, 250, 6)
    met, missed = check_aim(block, SetLog(()), score, forecast)

    assert (likely.probability, summed.probability) == (1.0, 0.0)
    assert (met.state, missed.state) == ("met", "missed")
    assert missed.missed_by == pytest.approx(4 + 1.6 / 3 - 100)


def test_ranked_by_forecast_in_rounds():
    """Beyond a table of steps of 0.1 rounds, one tenth of a round is a whole step and not a tenth of one."""
    levels = (0.25, 0.5, 0.75)
    rows = [
        ForecastRow(key, value, (4.0, 4.1, 4.2), levels, 9, better="higher", least_step=0.02)
        for key, value in (("ann", 4.3), ("bea", 4.1))
    ]
    by = {row.key: row for row in rank_by_forecast(rows, min_observations=3)}

    assert (by["ann"].rank, by["bea"].rank) == (1, 2)
    assert by["ann"].quantile == pytest.approx(0.25 / np.e, abs=1e-3)  # a step of the outermost piece
