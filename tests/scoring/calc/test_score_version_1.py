"""Sessions published under version 1 of the rules keep their scores, whatever was logged."""

from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.score import official_score
from tests.scoring.calc.test_score import BLOCK
from tests.support.examples import examples

ENDINGS = ["planned", "failure", "pain", "no_rep", "clock", "other"]
SETS = st.lists(
    st.tuples(st.sampled_from("ab"), st.integers(0, 45), st.sampled_from(ENDINGS)), min_size=1, max_size=12
)


def by_version_1(sets, elapsed_s):
    """(state, score, breaks, repetitions): a set that leaves its movement open is a break, whatever ended it."""
    left, breaks, cap = {"a": 60, "b": 40}, 0, 1500.0
    for work, repetitions, _ in sets:
        left[work] = max(0, left[work] - repetitions)
        breaks += left[work] > 0
    done = not any(left.values())
    at_cap = sets[-1][2] == "clock" or (elapsed_s is not None and elapsed_s >= cap)
    counted = 100 - sum(left.values())
    if done and elapsed_s is not None and elapsed_s <= cap:
        return "finished", elapsed_s + 30.0 * breaks, breaks, counted
    return ("capped" if at_cap and not done else "unscored"), None, breaks, counted


@given(SETS, st.one_of(st.none(), st.sampled_from([300.0, 640.0, 1499.0, 1500.0, 1500.5])))
@settings(deadline=None, max_examples=examples(160))
def test_version_1_scores_as_it_did(sets, elapsed_s):
    """Also logs that follow no rule; the second reading is the one that version 1 was made by."""
    log = SetLog(tuple(SetEntry(*one) for one in sets), elapsed_s)
    score = official_score(BLOCK, log, rules_version=1)

    assert (score.state, score.score_s, score.breaks, score.repetitions) == by_version_1(sets, elapsed_s)
    assert score.rules_version == 1
