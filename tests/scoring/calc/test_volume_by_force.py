"""Own amounts beside brute force over every share and every combination of options."""

from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.calc.best_volume import LIKELY, SERVED, best_volume
from scoring.calc.combination import Setting, evaluate
from scoring.calc.first_set import judge, ladder
from scoring.calc.loss import NOT_AS_WRITTEN
from scoring.calc.search import best_combination
from scoring.calc.volume import OWN_VOLUME
from tests.oracles.naive_volume import best_of_each_share, with_share
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, time
from tests.support.examples import examples

LOADS = (30.0, 40.0, 52.0)
NOISE = 0.02
# Beyond the latest window; without it who is too weak is played for four hours in each of a thousand plans.
CAP_S = 3600.0


@given(
    st.floats(45, 110), st.floats(0.02, 0.2), st.sampled_from([120.0, 300.0, 600.0, 1200.0]),
    st.sampled_from([1.3, 2.0]),
)  # fmt: skip
@settings(max_examples=examples(5), deadline=None)
def test_the_amounts_are_those_of_brute_force(strength_kg, log_sd, shortest_s, ratio):
    """As written where that is likely; else no nearer share serves clearly, and none that serves no less is clearly
    better: by no more than what a share must gain at all, and the noise of one weighing beside another.
    """
    athlete = Athlete(strength_kg, log_sd)
    written = block((60, 40), cap_s=CAP_S, conditions=(time(shortest_s, ratio * shortest_s),))
    setting = Setting(written, MULTIPLIER)
    ladders = [ladder(judge(athlete.candidates(item=item, loads=LOADS, written=1), [])) for item in range(2)]
    alone = [one[len(one) // 2] for one in ladders]
    best = best_combination(setting, alone, ladders)
    other, found = best_volume(setting, best, alone, ladders, upward=True)
    by_share = best_of_each_share(setting, ladders, evaluate)
    taken = next(share for share in by_share if with_share(written, share) == other.block)

    # The search leaves what stands only for what is clearly better.
    assert best.loss <= by_share[1.0].loss + NOT_AS_WRITTEN + NOISE
    assert found.loss <= by_share[taken].loss + NOT_AS_WRITTEN + NOISE
    if best.p_block >= LIKELY:
        assert taken == 1.0
        return
    clearly = [share for share, one in by_share.items() if one.loss < by_share[1.0].loss - OWN_VOLUME - NOISE]
    assert taken == 1.0 or found.loss < best.loss - OWN_VOLUME + NOISE
    nearer = list(by_share)[: list(by_share).index(taken)]
    assert not [share for share in nearer if share in clearly and by_share[share].p_block >= SERVED + 0.05]
    if found.p_block < SERVED:
        assert found.loss <= min(one.loss for one in by_share.values()) + OWN_VOLUME + NOISE
