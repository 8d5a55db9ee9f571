"""When a policy is played no further: by hand, by a published experiment, and by scenarios that are made up."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from scoring.calc import policy_choice, policy_play
from scoring.calc.items import BY_TIME
from scoring.calc.policy_choice import choose_policy
from scoring.calc.policy_play import does_the_same, loses_clearly, play_on
from scoring.calc.simulation import LATER_LOW, SETS

# Hours of sleep gained by ten patients with each of two drugs (Student 1908, Biometrika 6:1-25): the second gains
# 1.58 h more in the mean. That is 4.0621 standard errors (data set `sleep` of R, paired test).
FIRST_DRUG = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
SECOND_DRUG = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)
STANDARD_ERRORS = 4.0621

TENS = (10.0, 10.0, 10.0, 10.0)
NOT_PLAYED = (-1.0, -1.0, -1.0)
LOOK = policy_choice._look.py_func


def noted(lost, sets=5.0, kept=1.0):
    """Of scenarios (N, 3): what was lost, 1 where the windows were kept, sets."""
    return np.array([(one, kept, sets) for one in lost])


@pytest.mark.parametrize(
    ("lost", "clearly", "expected"),
    [
        ((11.0, 11.0, 11.0, 11.0), 1e6, True),  # one more each time, without any spread
        ((9.0, 9.0, 9.0, 9.0), 0.0, False),
        (TENS, 0.0, False),
        # Differences 0, 2, 0, 2 have the sum 4 and the variance 4 / 3; of a sum of four that is a standard error of
        # sqrt(16 / 3), and 4 is sqrt(3) = 1.732 times as much.
        ((10.0, 12.0, 10.0, 12.0), 1.731, True),
        ((10.0, 12.0, 10.0, 12.0), 1.733, False),
        # Differences 3, -1, 3, -1: the same sum, a variance of 16 / 3, and so half as many standard errors, 0.866.
        ((13.0, 9.0, 13.0, 9.0), 0.865, True),
        ((13.0, 9.0, 13.0, 9.0), 0.867, False),
    ],
)
def test_a_policy_loses_clearly_by_the_standard_errors_of_the_differences(lost, clearly, expected):
    """By hand."""
    assert loses_clearly(noted(lost), noted(TENS), 0.0, clearly) is expected


@pytest.mark.parametrize(
    ("clearly", "expected"), [(STANDARD_ERRORS - 1e-4, True), (STANDARD_ERRORS + 1e-4, False)]
)
def test_a_published_experiment_is_as_clear_as_was_published(clearly, expected):
    assert loses_clearly(noted(SECOND_DRUG), noted(FIRST_DRUG), 0.0, clearly) is expected
    assert not loses_clearly(noted(FIRST_DRUG), noted(SECOND_DRUG), 0.0, clearly)


@given(st.lists(st.tuples(st.floats(1.0, 900.0), st.floats(1.0, 900.0)), min_size=3, max_size=30))
def test_so_many_standard_errors_as_in_a_paired_test(pairs):
    """As scipy has it, where the differences spread at all."""
    lost, beside = np.array(pairs).T
    if np.ptp(lost - beside) < 1e-3:
        return
    told = float(stats.ttest_rel(lost, beside).statistic)
    for clearly in (told - 1e-3, told + 1e-3):
        expected = told > clearly and (lost - beside).sum() > 1e-9 * beside.sum()
        assert loses_clearly(noted(lost), noted(beside), 0.0, clearly) is bool(expected)


@pytest.mark.parametrize(
    ("more", "sets", "expected"),
    [
        (0.05, 4.0, True),  # 4 lost more, of 40: by 2 beyond a twentieth
        (0.11, 4.0, False),  # 4.4 are allowed
        (0.11, 5.0, True),  # only for fewer sets
        (0.11, 6.0, True),
    ],
)
def test_fewer_sets_may_cost_a_part_more(more, sets, expected):
    """By hand: 11 instead of 10 in each of four scenarios, beside a policy with 5 sets."""
    lost = (11.0, 11.0, 11.0, 11.0)
    assert loses_clearly(noted(lost, sets), noted(TENS), more, 3.0) is expected


def test_what_was_not_played_says_nothing():
    """Neither of what is clear nor of what is the same; and of a single scenario nothing is clear."""
    beside = noted((*TENS, 10.0))
    assert loses_clearly(np.vstack([noted((11.0,) * 4), NOT_PLAYED]), beside, 0.0, 1e6)
    assert not loses_clearly(np.vstack([noted(TENS), NOT_PLAYED]), beside, 0.0, 0.0)
    assert not loses_clearly(np.vstack([noted((99.0,)), *[NOT_PLAYED] * 4]), beside, 0.0, 3.0)
    assert does_the_same(np.vstack([noted(TENS), NOT_PLAYED]), beside)


@pytest.mark.parametrize(
    ("third", "expected"),
    [
        ((10.0, 1.0, 5.0), True),
        ((10.0 + 5e-9, 1.0, 5.0), True),  # 1e-9 of it is 1e-8: sums that were added up in another order
        ((10.0 + 2e-8, 1.0, 5.0), False),
        ((10.0 - 2e-8, 1.0, 5.0), False),
        ((10.0, 0.0, 5.0), False),
        ((10.0, 1.0, 6.0), False),
    ],
)
def test_a_policy_does_the_same_in_losses_windows_and_sets(third, expected):
    """By hand: one of four scenarios is another one."""
    played = noted(TENS)
    played[2] = third
    assert does_the_same(played, noted(TENS)) is expected


class Scenarios:
    """Stands in for what is simulated: of each policy what it loses in each scenario, and where it keeps a window.

    The rest is the code that is compiled, interpreted; `played` counts the scenarios of each policy.
    """

    def __init__(self, monkeypatch, lost, kept):
        self.lost, self.kept = np.array(lost), np.array(kept)
        self.played = np.zeros(len(self.lost), int)
        monkeypatch.setattr(policy_play, "run_scenario", self.run)
        monkeypatch.setattr(policy_play, "loss_of_tally", lambda _codes, _objective, _total, tally: tally[-1])
        monkeypatch.setattr(policy_choice, "play_on", play_on.py_func)
        monkeypatch.setattr(policy_choice, "_look", LOOK)

    def run(
        self,
        _codes,
        _work,
        _table,
        _weights,
        _lead,
        people,
        _times,
        policy,
        _room,
        _body,
        sizes,
        tally,
        _trace,
    ):
        number, n = int(policy.share), int(people[0, 0])
        self.played[number] += 1
        sizes[:], tally[:] = 0.0, 0.0
        sizes[0, LATER_LOW] = 5.0 if self.kept[number, n] else 3.0
        tally[SETS], tally[-1] = 5.0, self.lost[number, n]

    def taken(self, total, clearly=3.0):
        """The number of the policy that is taken where all sets are to have four repetitions at least."""
        policies, count = len(self.lost), self.lost.shape[1]
        people = np.zeros((count, 5, 1))
        people[:, 0, 0] = np.arange(count)
        grid = np.zeros((policies, 4))
        grid[:, 0] = np.arange(policies)
        found = choose_policy.py_func(
            None, None, np.zeros((1, 1)), np.zeros((1, 1)), 0, people, np.ones(count), grid,
            np.array([(4.0, np.inf, -np.inf, np.inf)]), BY_TIME, total, np.empty((0, 2)), clearly, False, False,
        )  # fmt: skip
        return int(found[0])


def keeping(*failed):
    """Of forty scenarios, the last so many of which do not keep the window."""
    return [[n < 40 - one for n in range(40)] for one in failed]


@pytest.mark.parametrize("total", [600.0, np.inf])
def test_nothing_is_out_for_its_losses_that_may_keep_the_windows_most_often(monkeypatch, total):
    """By hand: 0 keeps 37 of 40 and is the quickest, 1 keeps 38, 2 keeps all and is by far the slowest.

    A twentieth of 40 is 2: what keeps 38 is near enough to 2, what keeps 37 is not. Were 2 out because it clearly
    loses more than 1, nobody would know, and 0 would be taken.
    """
    scenarios = Scenarios(monkeypatch, [[5.0] * 40, [10.0] * 40, [20.0] * 40], keeping(3, 2, 0))
    assert scenarios.taken(total) == 1
    assert scenarios.played[2] == 40


def test_what_clearly_loses_more_than_what_always_keeps_them_is_out_at_the_next_look(monkeypatch):
    """After eight scenarios; where nothing is asked of clearness, all forty are played."""
    lost = [[10.0] * 40, [11.0] * 40]
    scenarios = Scenarios(monkeypatch, lost, keeping(0, 0))
    assert (scenarios.taken(np.inf), scenarios.played.tolist()) == (0, [40, 8])
    again = Scenarios(monkeypatch, lost, keeping(0, 0))
    assert (again.taken(np.inf, np.inf), again.played.tolist()) == (0, [40, 40])


def test_what_loses_more_by_chance_is_played_to_the_end(monkeypatch):
    """Differences 9 and -7 in turns: after 8 as after 32 scenarios their sum is less than 3 standard errors. In the
    last eight it loses far less, and so it is taken.
    """
    noisy = [19.0, 3.0] * 16 + [1.0] * 8
    scenarios = Scenarios(monkeypatch, [[10.0] * 40, noisy], keeping(0, 0))
    assert (scenarios.taken(np.inf), scenarios.played.tolist()) == (1, [40, 40])
