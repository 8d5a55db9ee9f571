"""The prescription: brute force, monotone in strength, free of units, honest about what cannot be met."""

import json
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from programming.calc.variation import Option
from scoring.calc.combination import Setting, evaluate
from scoring.calc.first_set import judge
from scoring.calc.forecast import BlockForecast, best_policy, make_scenarios, run_policy
from scoring.calc.loss import Window
from scoring.calc.prescribe import prescribe
from scoring.calc.prescription import Candidate, RuledOut
from scoring.calc.simulation import LATER_LOW
from tests.oracles.naive_choice import best_option
from tests.scoring.calc.athletes import COUNT, LOADS, MULTIPLIER, Athlete
from tests.scoring.calc.blocks import block, first_set, later_sets, time
from tests.support.examples import examples

LIGHT = Option("any", None, None, None, 50.0)
BOTH = (first_set(12, 20), first_set(12, 20, "b"))
COUPLED = (*BOTH, later_sets(6), time(300, 1200))
STRENGTHS = st.floats(40, 140)
SPREADS = st.floats(0.01, 0.25)


def prescribed(athlete, conditions=BOTH, *, written=4, novel=(), loads=LOADS, **fields):
    """The prescription of an athlete who is as strong in both movements."""
    candidates = {
        key: athlete.candidates(item=item, written=written, novel=novel, loads=loads)
        for item, key in enumerate("ab")
    }
    return prescribe(block(conditions=conditions), candidates, multiplier=MULTIPLIER, **fields)


def kilograms(result):
    """Effective load of each chosen or closest option."""
    return [one.option.effective_kg for one in result.chosen or result.closest]


@given(STRENGTHS, SPREADS, st.integers(0, 11), st.sets(st.integers(0, 11), max_size=4))
@settings(max_examples=examples(10), deadline=None)
def test_the_first_set_part_agrees_with_brute_force(strength_kg, log_sd, written, novel):
    """Every option tried in plain loops gives the same choice."""
    athlete = Athlete(strength_kg, log_sd)
    result = prescribed(athlete, written=written, novel=novel)
    expected = [
        LOADS[best_option(athlete.candidates(item=item, written=written, novel=novel), 12, 20)]
        for item in (0, 1)
    ]

    assert kilograms(result) == expected


@given(STRENGTHS, st.floats(0, 40), SPREADS, st.integers(0, 11))
@settings(max_examples=examples(16), deadline=None)
def test_equal_spread_and_stronger_is_never_given_an_easier_version(strength_kg, more_kg, log_sd, written):
    """Wherever the weaker athlete can be served, the stronger gets at least the same load."""
    weak = prescribed(Athlete(strength_kg, log_sd), written=written)
    strong = prescribed(Athlete(strength_kg + more_kg, log_sd), written=written)

    if weak.feasible:
        assert all(less <= more for less, more in zip(kilograms(weak), kilograms(strong), strict=True))


@given(st.floats(55, 110), st.floats(0, 20))
@settings(max_examples=examples(6), deadline=None)
def test_stronger_is_not_given_an_easier_version_by_later_sets_and_time(strength_kg, more_kg):
    """The same with the conditions that couple the items: of one of them a step less is a step more of the other."""
    weak, strong = (
        prescribed(Athlete(kg), COUPLED, written=None) for kg in (strength_kg, strength_kg + more_kg)
    )
    steps = [
        [LOADS.index(kg) for kg in kilograms(one)] for one in (weak, strong) if one.feasible
    ]  # fmt: skip

    if len(steps) == 2:
        assert sum(steps[0]) <= sum(steps[1])


def test_the_unit_of_load_does_not_matter():
    """In pounds the same options are chosen, with the same probabilities and the same forecast."""
    pounds = 2.2046
    metric = prescribed(Athlete(75.0), COUPLED)
    imperial = prescribed(Athlete(75.0 * pounds), COUPLED, loads=tuple(load * pounds for load in LOADS))

    assert [one.option.variation_key for one in imperial.chosen] == [
        one.option.variation_key for one in metric.chosen
    ]
    assert imperial.conditions == metric.conditions
    assert imperial.forecast.score_quantiles == metric.forecast.score_quantiles


def test_the_combination_is_the_best_of_all_that_may_be_taken():
    """Worked out again from the published loss: first sets, later sets and time, for each pair of options with a
    chance at their first sets. None is better by more than the noise of the scenarios.
    """
    athlete, written = Athlete(68.0), block(conditions=COUPLED)
    result = prescribed(athlete, COUPLED)
    by_key = {key: athlete.candidates(item=item, written=4) for item, key in enumerate("ab")}
    likely = [
        [view for view in result.candidates if view.work == key and view.p_first_set >= 0.25] for key in "ab"
    ]
    totals = {}
    for a, b in product(*likely):
        fresh = [next(one.fresh for one in by_key[view.work] if one.option == view.option) for view in (a, b)]
        spread = make_scenarios(written, [Candidate(LIGHT, values) for values in fresh], MULTIPLIER)
        runs = run_policy(written, spread.subset(256), best_policy(written, spread))
        score = runs.elapsed_s + 30.0 * runs.breaks
        low = runs.sizes[:, 0, LATER_LOW]
        late = np.where(np.isfinite(low), low, 6.0)
        totals[a.option.effective_kg, b.option.effective_kg] = (
            a.loss + b.loss
            + np.mean(3 * np.maximum(6 - late, 0) / 6)
            + np.mean(np.maximum(300 - score, 0) / 300 + 3 * np.maximum(score - 1200, 0) / 1200)
        )  # fmt: skip

    assert len(totals) >= 12
    assert totals[tuple(kilograms(result))] <= min(totals.values()) + 0.02


def test_probabilities_are_counted_over_the_scenarios():
    """P of a first-set window is the share of scenarios whose whole repetitions are 12, 13, … or 20."""
    athlete = Athlete(70.0)
    result = prescribed(athlete)
    inside = [
        float(np.mean((athlete.fresh(kg, item) >= 12) & (athlete.fresh(kg, item) < 21)))
        for item, kg in enumerate(kilograms(result))
    ]

    assert [one.probability for one in result.conditions] == pytest.approx(inside, abs=0.0006)
    assert result.p_all <= min(inside) + 0.0006


def test_as_written_is_kept_within_the_noise_and_left_beyond_it():
    """Two options almost equally good: the one as written; a clearly better one is taken over it."""
    athlete = Athlete(70.0)
    fits = best_option(athlete.candidates(), 12, 20)

    assert kilograms(prescribed(athlete, written=fits))[0] == LOADS[fits]
    near = (*LOADS[: fits + 1], LOADS[fits] * 1.01)
    assert kilograms(prescribed(athlete, written=fits + 1, loads=near))[0] == near[-1]
    assert kilograms(prescribed(athlete, written=fits + 4))[0] == LOADS[fits]


def test_a_version_never_done_must_be_clearly_better():
    """A novel best option loses to a familiar one that is nearly as good."""
    athlete, near = Athlete(70.0), (44.0, 44.5)
    novel_first = prescribed(athlete, written=None, novel={0}, loads=near)
    novel_second = prescribed(athlete, written=None, novel={1}, loads=near)

    assert (kilograms(novel_first)[0], kilograms(novel_second)[0]) == (44.5, 44.0)


@pytest.mark.parametrize(
    ("athlete", "loads", "code"),
    [
        (Athlete(32.0), LOADS, "too_hard_at_easiest"),
        (Athlete(200.0), LOADS[:6], "too_easy_at_hardest"),
        (Athlete(70.0, 0.01, fall_off_log_sd=0.02), (28.0, 62.0), "between_options"),
    ],
)
def test_what_cannot_be_met_is_an_answer(athlete, loads, code):
    """Not feasible: nothing chosen, the reason, the closest options, what to offer instead."""
    result = prescribed(athlete, loads=loads, written=0)

    assert (result.feasible, result.chosen, result.forecast, result.check_sets) == (False, (), None, ())
    assert {(reason.code, reason.work) for reason in result.reasons} == {(code, "a"), (code, "b")}
    assert len(result.closest) == 2
    assert len(result.alternatives) == 1
    assert max(view.p_first_set for view in result.candidates) < 0.25


@pytest.mark.parametrize(
    ("asked", "reason", "offer"),
    [
        # Sixty rows take 120 s of work alone, and an hour is long for anybody who fits the first set.
        (time(None, 125), ("time_out_of_reach", None), "change_time_window_or_repetitions"),
        (time(3600, None), ("time_out_of_reach", None), "change_time_window_or_repetitions"),
        # First sets of at most 20 leave nothing like 19 for every later one.
        (later_sets(19), ("later_sets_out_of_reach", "a"), "change_window_of_later_sets"),
    ],
)
def test_time_and_later_sets_can_be_out_of_reach(asked, reason, offer):
    """First sets fit, but the best combination hardly ever meets the other condition: refused with the reason."""
    result = prescribed(Athlete(70.0), (*BOTH, asked))

    assert (result.feasible, result.chosen, result.forecast) == (False, (), None)
    assert [(one.code, one.work) for one in result.reasons] == [reason]
    assert result.alternatives == (offer,)
    assert len(result.closest) == 2
    assert [one.probability >= 0.25 for one in result.conditions] == [True, True, False]


def test_a_newcomer_is_refused_only_for_a_hopeless_time():
    """Between 0.05 and 0.25: not enough for a known athlete, enough for one of whom little is known."""
    newcomer, asked = Athlete(70.0, 0.4), time(None, 300)
    result = prescribed(newcomer, (*BOTH, asked))

    assert 0.05 <= result.conditions[2].probability < 0.25
    assert result.feasible
    assert not prescribed(newcomer, (*BOTH, time(None, 125))).feasible


def test_no_options_at_all_is_an_answer():
    """An item without candidates: the reason names it, and what was ruled out is passed on."""
    out = (RuledOut("b", "goblet_squat", "equipment"),)
    result = prescribe(
        block(conditions=COUPLED), {"a": Athlete(70.0).candidates()}, multiplier=MULTIPLIER, ruled_out=out
    )

    assert [(reason.code, reason.work) for reason in result.reasons] == [("no_options", "b")]
    assert (result.feasible, result.closest, result.p_all, result.ruled_out) == (False, (), None, out)
    assert result.alternatives == ("choose_movement_for_this_equipment",)


def test_an_uncertain_newcomer_gets_the_best_option_and_a_check_set():
    """A wide spread is not refused for its low probability: the check set settles the version."""
    newcomer, known = prescribed(Athlete(70.0, 0.35)), prescribed(Athlete(70.0, 0.03))

    check = newcomer.check_sets[0]
    assert newcomer.feasible
    assert {reason.code for reason in newcomer.reasons} == {"uncertain_capacity"}
    assert check.option == newcomer.chosen[0].option
    assert check.easier.effective_kg < check.option.effective_kg < check.harder.effective_kg
    # Stopping at 11 shows 12 with one left; with ten left, the most that can be told, the 20 are passed.
    assert (check.stop_at, check.reserve_at_least, check.reserve_at_most) == (11, 2, 9)
    assert (check.able_at_least, check.able_at_most) == (12, 20)
    assert (known.check_sets, known.reasons) == ((), ())


def test_a_hopeless_newcomer_is_refused():
    """Uncertain, and still under one in twenty: no prescription."""
    result = prescribed(Athlete(12.0, 0.35))

    assert (result.feasible, {reason.code for reason in result.reasons}) == (False, {"too_hard_at_easiest"})
    assert kilograms(result) == [LOADS[0], LOADS[0]]  # the easiest, not the one as written


def test_without_a_first_set_window_time_decides():
    """Only a window of time: harder versions take longer, so a later window asks for more load."""
    soon = prescribed(Athlete(90.0), (time(None, 420),), written=None)
    late = prescribed(Athlete(90.0), (time(1500, 2400),), written=None)

    assert sum(kilograms(soon)) < sum(kilograms(late))
    assert all(view.p_first_set is None for view in soon.candidates)


@pytest.mark.parametrize("window", [time(None, 420), time(600, 700), time(1500, 2400)])
def test_the_search_without_a_window_finds_what_trying_everything_finds(window):
    """All 49 combinations of seven loads, evaluated one by one: none is better by more than the noise."""
    loads, athlete, written = LOADS[:7], Athlete(90.0), block(conditions=(window,))
    judged = [judge(athlete.candidates(item=item, loads=loads), ()) for item in (0, 1)]
    setting = Setting(written, MULTIPLIER)
    least = min(evaluate(setting, options).loss for options in product(*judged))
    chosen = kilograms(prescribed(athlete, (window,), loads=loads, written=None))
    found = tuple(
        next(one for one in options if one.candidate.option.effective_kg == kg)
        for options, kg in zip(judged, chosen, strict=True)
    )

    assert evaluate(setting, found).loss <= least + 0.03


@pytest.mark.parametrize("strength_kg", [62.0, 68.0, 80.0])
@pytest.mark.parametrize("coupled", [(later_sets(6), time(300, 1200)), (time(None, 420),)])
def test_with_windows_too_no_pair_of_options_is_better(strength_kg, coupled):
    """All pairs of seven loads that have a chance at their windows: none is better by more than the noise."""
    loads, athlete = LOADS[:7], Athlete(strength_kg)
    written = block(conditions=(*BOTH, *coupled))
    judged = [
        judge(athlete.candidates(item=item, loads=loads), [Window(12.0, 20.0, low_is_hard=True)])
        for item in (0, 1)
    ]
    setting = Setting(written, MULTIPLIER)
    least = min(
        evaluate(setting, pair).loss
        for pair in product(*judged)
        if all(one.probability >= 0.25 for one in pair)
    )
    chosen = kilograms(prescribed(athlete, (*BOTH, *coupled), loads=loads, written=None))
    found = tuple(
        next(one for one in options if one.candidate.option.effective_kg == kg)
        for options, kg in zip(judged, chosen, strict=True)
    )

    assert evaluate(setting, found).loss <= least + 0.03


def test_without_an_aim_the_version_as_written_is_kept():
    """No condition: nothing speaks against what the coach wrote."""
    assert kilograms(prescribed(Athlete(70.0), ())) == [LOADS[4], LOADS[4]]


def test_the_answer_is_deterministic_and_plain_json():
    """The same inputs give the same answer, without NaN, and the forecast in it can be read again."""
    one, other = prescribed(Athlete(70.0), COUPLED), prescribed(Athlete(70.0), COUPLED)
    stored = json.loads(json.dumps(one.to_json(), allow_nan=False))

    assert one == other
    assert BlockForecast.from_json(stored["forecast"]) == one.forecast
    assert one.forecast.scenarios == COUNT


def test_the_order_of_candidates_does_not_matter():
    """Reversed lists, same choice."""
    candidates = {key: Athlete(70.0).candidates(item=item, written=4) for item, key in enumerate("ab")}
    turned = {key: list(reversed(listed)) for key, listed in candidates.items()}
    written = block(conditions=COUPLED)

    assert prescribe(written, turned, multiplier=MULTIPLIER) == prescribe(
        written, candidates, multiplier=MULTIPLIER
    )


def test_scenarios_of_different_length_are_refused():
    """Options must be compared on the same scenarios."""
    candidates = {key: Athlete(70.0).candidates(item=item) for item, key in enumerate("ab")}
    short = [replace(one, fresh=one.fresh[:10]) for one in candidates["b"]]

    with pytest.raises(ValueError):
        prescribe(block(conditions=BOTH), candidates | {"b": short}, multiplier=MULTIPLIER)
