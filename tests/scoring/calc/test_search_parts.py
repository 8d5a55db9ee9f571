"""The parts of the search by themselves: what is glimpsed, what moves, how finely is paced, and what it may cost."""

from math import inf

import numpy as np
import pytest

from scoring.calc import combination, search
from scoring.calc.combination import (
    COMPARED,
    Combination,
    Setting,
    Weighed,
    evaluate,
    losses_under,
    paced,
)
from scoring.calc.effort import Budget
from scoring.calc.first_set import judge
from scoring.calc.next_set import Policy
from scoring.calc.pacing import more_careful
from scoring.calc.search import glimpse
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, later_sets, time

LOADS = (40.0, 44.0, 48.0)
ASKED = (time(300.0, 600.0),)
POLICY = Policy(0.8, 40.0)


def setting_of(budget=None, more=()):
    return Setting(block(conditions=(*ASKED, *more)), MULTIPLIER, True, budget or Budget())


def options_of(athlete, novel=()):
    """The middle load of each of the two items."""
    return tuple(
        next(
            one
            for one in judge(athlete.candidates(item=item, loads=LOADS, novel=novel), [])
            if one.candidate.option.load_kg == LOADS[1]
        )
        for item in (0, 1)
    )


@pytest.mark.parametrize(
    ("policy", "careful"),
    [
        (Policy(0.8, 40.0, 1.1, 0.25), Policy(0.7, 60.0, 1.1, 0.25)),
        (Policy(1.0, 90.0), Policy(0.9, 150.0)),
        (Policy(0.6, 20.0), Policy(0.6, 40.0)),  # no smaller share is tried
        (Policy(0.9, 150.0), Policy(0.8, 150.0)),  # no longer rest is tried
        (Policy(0.75, 50.0), Policy(0.7, 60.0)),  # between the steps
    ],
)
def test_more_careful_is_the_next_smaller_share_and_the_next_longer_rest(policy, careful):
    """By hand, of shares 0.6 to 1 by tenths and rests of 20, 40, 60, 90 and 150 s."""
    assert more_careful(policy) == careful


def test_a_glimpse_is_about_the_loss_under_the_same_pacing():
    """A mean of 64 draws in place of 256, of losses that spread as widely as their mean: its standard error is an
    eighth of it. Under a pacing that nobody would take it is clearly worse.
    """
    setting, options = setting_of(), options_of(Athlete(75.0))
    weighed = evaluate(setting, options)
    same = glimpse(setting, options, weighed.policy, weighed.found.sets, inf)
    hopeless = glimpse(setting, options, Policy(0.6, 150.0), weighed.found.sets, inf)

    assert weighed.loss > 0.1, "else there is nothing to be seen"
    assert same == pytest.approx(weighed.loss, rel=0.125)
    assert hopeless > 1.3 * same


def test_of_what_is_new_and_unsure_a_glimpse_tells_its_own_loss_alone():
    """It is to be paced with less, so that the pacing of another says nothing of it, be it ever so bad."""
    setting, options = setting_of(), options_of(Athlete(75.0, 0.4), novel=range(len(LOADS)))
    assert all(one.is_new_and_unsure for one in options)
    known = options_of(Athlete(75.0, 0.4))
    own = sum(one.loss for one in options)

    assert glimpse(setting, options, Policy(0.6, 150.0), 20.0, inf) == own
    half = glimpse(setting, (known[0], options[1]), Policy(0.6, 150.0), 20.0, inf)
    assert half == known[0].loss + options[1].loss
    assert glimpse(setting, known, Policy(0.6, 150.0), 20.0, inf) > sum(one.loss for one in known) + 0.1


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5])
def test_of_what_is_hopeless_no_more_is_told_than_that_it_is(monkeypatch, share):
    """Fewer scenarios are played than of what is not, and what they lost is enough; else all tell what all tell."""
    played = []
    whole = combination.coupled_losses
    monkeypatch.setattr(
        combination, "coupled_losses", lambda *told: played.append(whole(*told)) or played[-1]
    )
    options, slow = options_of(Athlete(75.0)), Policy(0.6, 150.0)
    loss = glimpse(setting_of(), options, slow, 20.0, inf)
    stopped = glimpse(setting_of(), options, slow, 20.0, share * loss)
    assert share * loss < stopped <= loss
    assert glimpse(setting_of(), options, slow, 20.0, 1.001 * loss) == loss
    all_of, few, again = (len(sizes) for _, sizes in played)
    assert few < all_of == again == search.GLANCES


def test_what_was_only_begun_is_taken_up_where_more_is_hoped_for(monkeypatch):
    """And not played again where what is known of it is enough, or all of it."""
    played, whole = [], combination.coupled_losses
    monkeypatch.setattr(combination, "coupled_losses", lambda *told: played.append(told) or whole(*told))
    setting, options, slow = setting_of(), options_of(Athlete(75.0)), Policy(0.6, 150.0)
    loss = glimpse(setting_of(), options, slow, 20.0, inf)
    played.clear()

    def about(hopeless):
        return glimpse(setting, options, slow, 20.0, hopeless), len(played)

    begun, _ = about(0.3 * loss)
    assert 0.3 * loss < begun < loss
    assert about(0.2 * loss) == (begun, 1)
    assert about(inf) == (loss, 2)
    assert about(0.2 * loss) == (loss, 2)


def test_what_loses_more_than_was_asked_about_is_weighed_again_when_it_matters():
    """Nobody takes what was only begun for the whole."""
    setting, options = setting_of(), options_of(Athlete(75.0))
    begun = evaluate(setting, options, 0.1 * evaluate(setting_of(), options).loss)
    whole = evaluate(setting, options)
    assert not begun.found.is_whole
    assert whole.found.is_whole
    assert begun.loss < whole.loss == evaluate(setting_of(), options).loss
    assert evaluate(setting, options, 0.1 * whole.loss).found is whole.found


class Table:
    """Stands in for the weighing: losses and promises by the loads of two items, and what was looked at."""

    def __init__(self, monkeypatch, losses, promises=None):
        self.losses, self.promises, self.weighed, self.seen = losses, promises or losses, [], {}
        monkeypatch.setattr(search, "evaluate", self.evaluate)
        monkeypatch.setattr(search, "glimpse", self.glimpse)

    def evaluate(self, _setting, options, _most=inf):
        self.weighed.append(options)
        return Combination(options, self.losses[options], Weighed(POLICY, (), 1.0, 1.0))

    def glimpse(self, _setting, options, policy, _sets, _hopeless):
        self.seen[options] = policy
        return self.promises[options]


LADDERS = (["a1", "a2", "a3"], ["b1", "b2", "b3"])
MIDDLE = ("a2", "b2")
AROUND = {("a1", "b2"): 2.0, ("a3", "b2"): 2.0, ("a2", "b1"): 2.0, ("a2", "b3"): 2.0}


def moved(table):
    start = Combination(MIDDLE, 1.0, Weighed(POLICY, (), 1.0, 1.0))
    return search._move(setting_of(), start, LADDERS, 1).options


@pytest.mark.parametrize(("loss", "moves"), [(0.999, False), (0.975, False), (0.965, True), (0.5, True)])
def test_noise_moves_nobody(monkeypatch, loss, moves):
    """Less by three hundredths is within the noise of the scenarios: who stands there stays there."""
    table = Table(monkeypatch, AROUND | {("a3", "b2"): loss})
    assert moved(table) == (("a3", "b2") if moves else MIDDLE)


def test_the_most_promising_is_looked_at_first_and_a_broken_promise_is_passed_over(monkeypatch):
    """What seems worse by a twentieth is not weighed at all, be it the best."""
    promises = {("a1", "b2"): 0.2, ("a2", "b1"): 0.5, ("a3", "b2"): 0.6, ("a2", "b3"): 1.06}
    losses = {("a1", "b2"): 1.2, ("a2", "b1"): 0.8, ("a3", "b2"): 0.1, ("a2", "b3"): 0.01}
    table = Table(monkeypatch, losses, promises)

    assert moved(table) == ("a2", "b1")
    assert table.weighed == [("a1", "b2"), ("a2", "b1")]
    stubborn = Table(monkeypatch, dict.fromkeys(losses, 1.0), promises)
    assert moved(stubborn) == MIDDLE
    assert ("a2", "b3") not in stubborn.weighed


def test_what_is_harder_is_glimpsed_with_more_care(monkeypatch):
    table = Table(monkeypatch, AROUND)
    moved(table)
    assert {options for options, policy in table.seen.items() if policy == POLICY} == {
        ("a1", "b2"),
        ("a2", "b1"),
    }
    assert {table.seen["a3", "b2"], table.seen["a2", "b3"]} == {Policy(0.7, 60.0)}


@pytest.mark.parametrize(("more", "expected"), [((), [16, 32, 64]), ((later_sets(2.0),), [16, 64, 64])])
def test_what_is_chosen_is_paced_by_more_draws_than_what_is_compared(monkeypatch, more, expected):
    """By the grid, roughly where no sets have a window; then about what that says; and weighed anew where that pacing
    is another one.
    """
    draws, well = [], combination.best_policy

    def noted(written, scenarios, grid, count):
        draws.append(count)
        return well(written, scenarios, grid, count)

    monkeypatch.setattr(combination, "best_policy", noted)
    setting, options = setting_of(more=more), options_of(Athlete(75.0))
    found = evaluate(setting, options)
    assert paced(setting, found).options == options
    assert draws == expected

    slow = Policy(0.6, 150.0)
    monkeypatch.setattr(combination, "best_policy", lambda *_: slow)
    again = paced(setting_of(), found)
    scenarios = setting.scenarios(options, 256)
    assert again.policy == slow
    losses, p_block = losses_under(setting, scenarios, slow, found.found.sets)
    assert (again.loss, again.p_block) == (
        pytest.approx(sum(one.loss for one in options) + sum(losses)),
        p_block,
    )
    assert again.loss > found.loss + 0.1


def test_losses_are_found_in_as_many_draws_as_the_budget_has():
    """By the same scenarios, fewer of them, and no fewer than 32; what was played counts as spent."""
    options, sets = options_of(Athlete(75.0)), 20.0
    spent, told = {}, {}
    for limit in (np.inf, 100_000.0, 1.0):
        budget = Budget(limit)
        setting = setting_of(budget)
        told[limit] = losses_under(setting, setting.scenarios(options, 256), POLICY, sets)
        spent[limit] = budget.spent
    whole = setting_of()
    few = {
        count: losses_under(whole, whole.scenarios(options, count), POLICY, sets) for count in (32, COMPARED)
    }

    assert told[np.inf] == few[COMPARED] != few[32] == told[1.0]
    assert spent[np.inf] == COMPARED * sets
    assert spent[1.0] == 32 * sets
    assert 32 * sets <= spent[100_000.0] <= COMPARED * sets
