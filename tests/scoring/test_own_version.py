"""The official score by the athlete's own amounts."""

import pytest

from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.score import official_score
from scoring.own_version import own_block
from tests.scoring.calc.rule_blocks import block_of, item

EARLY = {"counts": "set_ended_early"}
BLOCK = block_of(("a", 60), item("b", 400, "distance_m"), scored="time",
                 breaks={**EARLY, "penalty": "served_work", "penalty_work": item("p", 6)})  # fmt: skip


def content(**amounts):
    """A prescription's work with these amounts: key=(unit, amount, as written)."""
    return {
        "work": [{"work": key, unit: amount, "amount_as_written": same}
                 for key, (unit, amount, same) in amounts.items()]
    }  # fmt: skip


def test_own_amounts_replace_the_written_ones():
    """40 of 60 repetitions and 4 of 6 penalties; the metres stay: finished with 40 and 400 m."""
    told = content(a=("repetitions", 40, False), b=("distance_m", 400, True), p=("repetitions", 4, False))
    own = own_block(BLOCK, told)

    assert [one.amount for one in own.items] == [40.0, 400, 4.0]
    sets = (SetEntry("a", 25), SetEntry("p", 4), SetEntry("a", 15), SetEntry("b", 400, unit="distance_m"))
    score = official_score(own, SetLog(sets, 300))
    assert (score.score_s, score.breaks, score.findings) == (300.0, 1, ())


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"work": []},
        content(a=("repetitions", 60, True)),
        content(a=("distance_m", 40, False)),  # another unit than the item's
        {"work": [{"work": "a", "repetitions": 50}]},  # from before amounts could change
        content(z=("repetitions", 5, False)),
    ],
)
def test_everything_else_leaves_the_block_alone(told):
    """No prescription, an infeasible one, one as written, one of other work."""
    assert own_block(BLOCK, told) == BLOCK


MINUTES = block_of(("a", 12), scored="intervals", order="intervals", intervals={"every_s": 60, "count": 12})


def test_fewer_intervals_are_the_own_version_too():
    """Eight of twelve minutes prescribed and done: nothing is missing; by what was written four are."""
    own = own_block(MINUTES, {"blocks": [{"block": MINUTES.key, "rounds": 8}], "work": []})
    report = SetLog(tuple(SetEntry("a", 12, interval=number) for number in range(1, 9)), 480.0)

    score = official_score(own, report)
    assert (score.value, score.misses, score.findings) == (8, 0, ())
    assert official_score(MINUTES, report).value == 8
    assert official_score(MINUTES, report).findings
