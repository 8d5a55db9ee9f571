"""How much is simulated for one answer is bounded, and whoever reads a coarser answer is told."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, EndRule
from scoring.calc import combination, prescribe
from scoring.calc.candidate import Candidate
from scoring.calc.combination import Setting, evaluate
from scoring.calc.effort import SESSION, Budget, limits_of, runs_of, sets_of_a_draw, share_out
from scoring.calc.first_set import judge
from scoring.calc.pacing import policy_grid
from scoring.calc.scenarios import make_scenarios
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, later_sets, time
from tests.scoring.calc.orders import item

ROUNDS = BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "time", "none", rounds=20)
SIX = Block("main", tuple(item(key, 10.0) for key in "abcdef"), ROUNDS, Aim((time(60.0, 9000.0),)))


def candidates(written, kilograms=60.0):
    """One athlete's, for each item; those of two movements are independent only in pairs."""
    able = Athlete(kilograms)
    return {one.key: able.candidates(item=number % 2) for number, one in enumerate(written.items)}


def middle(written):
    """Scenarios of the lightest options."""
    return make_scenarios(written, [listed[0] for listed in candidates(written).values()], MULTIPLIER)


class Counter:
    """Sets that are really played: draws times policies times the sets of a draw."""

    def __init__(self, monkeypatch):
        self.sets = 0.0
        for module, name in (
            (combination, "best_policy"),
            (combination, "coupled_losses"),
            (prescribe, "run_policy"),
        ):
            monkeypatch.setattr(module, name, self.counting(getattr(module, name)))

    def counting(self, played):
        def count(written, scenarios, *rest):
            of_grid = played.__name__ == "best_policy"
            draws = rest[1] * len(rest[0]) if of_grid else len(scenarios.multiplier)
            self.sets += draws * sets_of_a_draw(written, scenarios)
            return played(written, scenarios, *rest)

        return count


def test_half_the_draws_until_they_fit():
    """An eighth, 125 sets, holds 12 draws of ten: of 100 draws 50, 25 and then 12."""
    budget = Budget(1000.0)
    assert budget.draws(100, 10.0, 4, parts=8.0) == 12
    assert (budget.spent, budget.coarse) == (120.0, True)
    assert budget.draws(100, 1000.0, 4, parts=8.0) == 4
    assert budget.is_spent


def test_what_fits_is_taken_whole():
    """Nothing is noted where nothing is left out."""
    budget = Budget(1000.0)
    assert budget.draws(12, 10.0, 4, parts=8.0) == 12
    assert not budget.stop()
    assert not budget.coarse
    assert not Budget().stop()


def test_every_other_policy_where_all_are_too_much():
    """The greatest share, the longest rest and the quickest pace stay, so that the range is the same."""
    grid = policy_grid(middle(SIX).items)
    few = Budget(1000.0).policies(grid, 8, 100.0)
    assert len(few) == 9
    assert few.max(axis=0).tolist() == grid.max(axis=0).tolist()
    assert few.min(axis=0).tolist() == grid.min(axis=0).tolist()
    assert Budget(1e9).policies(grid, 8, 100.0) is grid


def test_the_blocks_share_by_what_is_written_in_them():
    """Twenty rounds of six items against one of two: 720 to 4."""
    small = block()
    assert share_out([SIX, small], 724.0) == pytest.approx([720.0, 4.0])
    assert sum(share_out([SIX, SIX, small], 7.0)) == pytest.approx(7.0)


def test_a_block_of_which_nothing_can_be_done_has_a_share(monkeypatch):
    """Stored before it was refused: no division by nothing."""
    monkeypatch.setattr("scoring.calc.effort.sets_asked_for", lambda _: 0)
    assert share_out([block(), block()], 8.0) == pytest.approx([4.0, 4.0])


def test_the_sets_of_a_draw_are_those_that_are_played():
    """Ten repetitions of what a hundred can be done of: one set an item and round, 120 in all, and hardly a wait."""
    able = [
        Candidate(listed[0].option, np.full(len(MULTIPLIER), 400.0)) for listed in candidates(SIX).values()
    ]
    sets = sets_of_a_draw(SIX, make_scenarios(SIX, able, MULTIPLIER))
    assert 120.0 <= sets <= 130.0


def test_a_condition_on_what_stops_plays_every_limit_again():
    """Two movements: as they are, and each improved; once more for the condition itself."""
    two = block()
    items = middle(two).items
    assert limits_of(items) == 2
    assert runs_of([later_sets(3)], items) == 1


def test_a_long_session_stays_within_its_budget(monkeypatch):
    """Five rounds of six, 72 options: without a bound more than ten times as much is simulated."""
    long = replace(SIX, rules=replace(ROUNDS, rounds=5))
    counter, budget = Counter(monkeypatch), Budget(25_000.0)
    short = prescribe.prescribe(long, candidates(long), multiplier=MULTIPLIER, budget=budget)
    bounded, counter.sets = counter.sets, 0.0
    prescribe.prescribe(long, candidates(long), multiplier=MULTIPLIER)

    assert budget.coarse
    assert bounded <= 2.0 * budget.limit
    assert counter.sets > 10.0 * bounded
    assert short.feasible
    assert short.forecast.scenarios < len(MULTIPLIER)
    assert short.conditions[0].probability >= 0.5


def test_the_windows_of_first_sets_see_every_scenario_whatever_the_budget():
    """What decides on the load is judged in full: probabilities and candidates are the same to the last digit."""
    short = replace(SIX, rules=replace(ROUNDS, rounds=2))
    fine, coarse = (
        prescribe.prescribe(short, candidates(short), multiplier=MULTIPLIER, budget=budget)
        for budget in (Budget(), Budget(1.0))
    )
    assert [(one.option, one.fresh, one.loss) for one in fine.candidates] == [
        (one.option, one.fresh, one.loss) for one in coarse.candidates
    ]


def test_an_ordinary_session_is_worked_out_as_without_a_bound():
    """Sixty rows and forty squats for time: nothing is left out."""
    written, budget = block(conditions=(time(60.0, 900.0),)), Budget(SESSION)
    bounded, free = (
        prescribe.prescribe(written, candidates(written), multiplier=MULTIPLIER, budget=given)
        for given in (budget, None)
    )
    assert not budget.coarse
    assert bounded == free


def test_no_combination_is_simulated_twice_under_one_budget(monkeypatch):
    """And what is remembered is of that block and these options alone: as weighed for itself in each case."""
    counter = Counter(monkeypatch)
    written = block(conditions=(time(60.0, 900.0),))
    options = [judge(listed, []) for listed in candidates(written).values()]
    setting = Setting(written, MULTIPLIER)
    shorter = block((30, 20), conditions=(time(60.0, 900.0),))
    cases = [(one, place, keep) for one in (written, shorter) for place in (2, 3) for keep in (True, False)]

    def weigh(case, budget):
        one, place, keep = case
        asked = Setting(one, MULTIPLIER, keep, budget)
        return evaluate(asked, tuple(listed[place] for listed in options))

    found = [weigh(case, setting.budget) for case in cases]
    played, spent = counter.sets, setting.budget.spent
    again = [weigh(case, setting.budget) for case in cases]
    assert (counter.sets, setting.budget.spent) == (played, spent)
    alone = [weigh(case, Budget()) for case in cases]
    assert len({(one.loss, one.policy) for one in alone}) == len(cases)
    for one, two, three in zip(found, again, alone, strict=True):
        assert (one.loss, one.policy, one.p_block) == (two.loss, two.policy, two.p_block)
        assert (one.loss, one.policy, one.p_block) == (three.loss, three.policy, three.p_block)


def test_amounts_of_ones_own_begin_with_what_is_known_of_those_written(monkeypatch):
    """The second question costs less than if it were asked alone, and its answer is the same."""
    counter = Counter(monkeypatch)
    written, budget = block(conditions=(time(60.0, 200.0),)), Budget()
    ask = partial(prescribe.prescribe, written, candidates(written), multiplier=MULTIPLIER)
    ask(budget=budget)
    before = counter.sets
    after = ask(budget=budget, allow_volume=True)
    second, counter.sets = counter.sets - before, 0.0
    alone = ask(allow_volume=True)
    assert after == alone
    assert 0.0 < second <= counter.sets - 0.4 * before
