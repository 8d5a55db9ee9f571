"""Check sets: of whoever was never seen, whatever the aim; what to take instead is what then serves."""

from dataclasses import asdict, replace
from math import ceil

import numpy as np
import pytest

from programming.calc.revision import Aim, Block, BlockRules, BreakRule, Condition, EndRule, Ladder
from scoring.calc.check_sets import (
    asked_windows,
    check_set,
    easier_than,
    harder_than,
    stopped_by,
    without_easy_sides,
)
from scoring.calc.first_set import judge
from scoring.calc.loss import Window
from scoring.calc.prescribe import prescribe
from scoring.check_advice import advice
from tests.scoring.calc.athletes import MULTIPLIER, Athlete
from tests.scoring.calc.blocks import first_set, later_sets, time
from tests.scoring.calc.orders import item

UNKNOWN = Athlete(70.0, 0.3, fall_off_log_sd=0.2)
STEPS = tuple(20.0 + 2.5 * step for step in range(25))


def sets(repetitions, *conditions, **rules):
    """Five rounds of it three minutes apart, unless other rules are given."""
    told = {"rounds": 5, "rest_between_s": 180.0} | rules
    made = BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "none", "none", **told)
    return Block("main", (item("a", repetitions),), made, Aim(tuple(conditions)))


def unseen(athlete=UNKNOWN, loads=STEPS, written=None):
    """Options of somebody who was never seen under a load."""
    made = athlete.candidates(loads=loads, written=written)
    return [replace(one, starts_light=True, is_unseen=True) for one in made]


AIMS = {
    "five fives": sets(5.0),
    "threes at a share": sets(3.0, Condition("share_of_available", "a", 60.0, 80.0)),
    "as many rounds as possible": replace(
        sets(10.0),
        rules=replace(sets(10.0, rounds=None).rules, end=EndRule("fixed_time", time_s=600.0), scored="repetitions"),
    ),
    "for time": sets(20.0, time(600, 1200), rest_between_s=0.0),
    "short later sets": sets(30.0, later_sets(3, 6), rest_between_s=0.0),
    "a first set": sets(30.0, first_set(8, 12), rest_between_s=0.0),
}  # fmt: skip


@pytest.mark.parametrize("aim", AIMS)
def test_whoever_was_never_seen_begins_light_and_is_led_upward(aim):
    """Heavy as written: nine in ten can do the check set's first step with its reserve, which is on what is told."""
    written = AIMS[aim]
    options = unseen(written=len(STEPS) - 5)
    result = prescribe(written, {"a": options}, multiplier=MULTIPLIER)
    (check,) = result.check_sets
    (told,) = [one for one in options if one.option == result.chosen[0].option]

    assert result.feasible
    assert check.option == told.option
    assert (told.fresh >= check.able_at_least).mean() >= 0.9
    assert check.stop_at + check.reserve_at_least >= min(check.able_at_least, 14)
    assert check.stop_at <= 12
    assert check.harder.effective_kg > told.option.effective_kg
    assert {"uncertain_capacity", "begins_light"} <= {one.code for one in result.reasons}


def test_who_was_seen_is_asked_only_where_a_first_set_is_aimed_at():
    """The same without the word that nobody has seen them."""
    seen = UNKNOWN.candidates(loads=STEPS, written=10)

    assert prescribe(sets(5.0), {"a": seen}, multiplier=MULTIPLIER).check_sets == ()
    doubtful = prescribe(AIMS["a first set"], {"a": seen}, multiplier=MULTIPLIER)
    assert len(doubtful.check_sets) == 1


def test_a_version_that_was_never_done_is_checked_where_little_is_known_of_it():
    """Of who was seen in the movement, with fives and no first set: not where it is known well, or was done."""
    asked = {}
    for sure, novel in ((False, True), (True, True), (False, False)):
        athlete = Athlete(70.0, 0.05 if sure else 0.3, fall_off_log_sd=0.1)
        (one,) = athlete.candidates(loads=(50.0,), written=0)
        result = prescribe(sets(5.0), {"a": [replace(one, is_novel=novel)]}, multiplier=MULTIPLIER)
        asked[sure, novel] = len(result.check_sets)

    assert asked == {(False, True): 1, (True, True): 0, (False, False): 0}


def test_the_steps_are_those_that_serve_if_the_set_shows_it():
    """In plain loops over the scenarios that the set would leave: of loads of 2.5 kg not merely the next."""
    judged = judge(UNKNOWN.candidates(loads=STEPS), [Window(8.0, 12.0, True)])
    chosen = next(one for one in judged if one.candidate.option.effective_kg == 50.0)
    window = Window(8.0, 12.0, True)

    def best(side, shown):
        rows = {}
        for one in judged:
            kg = one.candidate.option.effective_kg
            if side * (kg - 50.0) > 0:
                whole = np.floor(one.candidate.fresh)
                costs = [
                    3 * max(8 - n, 0) / 10 + max(n - 12, 0) / 10
                    for n, is_shown in zip(whole, shown, strict=True)
                    if is_shown
                ]
                rows[kg] = sum(costs) / len(costs)
        return min(rows, key=rows.get)

    fresh = chosen.candidate.fresh
    harder, easier = harder_than(chosen, judged, window), easier_than(chosen, judged, window)
    assert harder.effective_kg == best(1, fresh >= 13)
    assert easier.effective_kg == best(-1, fresh < 8)
    assert harder.effective_kg - 50.0 > 2.5
    assert 50.0 - easier.effective_kg > 2.5


def test_upward_steps_of_who_was_never_seen_stay_light():
    """Of those whom the set shows to be strong nine in ten reach the lower bound with the step up."""
    judged = judge(unseen(), [Window(8.0, 12.0, True)])
    chosen = next(one for one in judged if one.candidate.option.effective_kg == 40.0)
    harder = harder_than(chosen, judged, Window(8.0, 12.0, True))
    (taken,) = [one.candidate for one in judged if one.candidate.option == harder]
    strong = chosen.candidate.fresh >= 13

    assert (taken.fresh[strong] >= 8).mean() >= 0.9
    assert (taken.fresh >= 8).mean() < 0.9


def test_what_the_work_asks_of_a_set_by_hand():
    """3 of 60 to 80 % is 3.75 to 5; fives with two in reserve are 7, plainly too easy beyond 10; open work ten and
    two; much work twelve and two; written windows stay; penalty work and metres ask nothing.
    """
    bounds = {
        name: [(one.lower, one.upper) for one in asked_windows(block, block.work[0])]
        for name, block in AIMS.items()
    }
    openly = replace(sets(5.0), work=(item("a", None),))

    assert bounds["threes at a share"] == [(pytest.approx(3.75), pytest.approx(5.0))]
    assert bounds["five fives"] == [(7.0, 10.0)]
    assert bounds["for time"] == [(14.0, 21.0)]
    assert bounds["a first set"] == [(8, 12)]
    assert [(one.lower, one.upper) for one in asked_windows(openly, openly.work[0])] == [(12.0, 18.0)]
    assert asked_windows(openly, item("penalty", 5.0)) == []
    assert (
        asked_windows(replace(openly, work=(item("a", 50.0, "distance_m"),)), item("a", 50.0, "distance_m"))
        == []
    )


def test_a_check_set_goes_beyond_twelve_only_where_endurance_is_asked_for():
    """5 to 8 stops at three, 12 to 20 at eleven, 20 to 30 at 21: ten left, the most that can be told, show the 30."""
    stops = []
    for lower, upper in ((5, 8), (8, 12), (12, 20), (20, 30)):
        window = Window(float(lower), float(upper), True)
        judged = judge(UNKNOWN.candidates(loads=STEPS), [window])
        stops.append(check_set(item("a", 60.0), judged[0], judged, [window]).stop_at)

    assert stops == [3, 6, 11, 21]


def test_a_light_start_gives_up_what_asks_for_more_and_nothing_else():
    """Lower bounds of time and share, upper ones of score and later sets, and what should stop the athlete."""
    asked = (
        time(600, 1200), time(600, None), later_sets(3, 6), Condition("score", None, 50.0, 80.0),
        Condition("share_of_available", "a", 60.0, 80.0), Condition("stopped_by", None, None, None, "strength"),
        first_set(8, 12),
    )  # fmt: skip
    kept = without_easy_sides(sets(30.0, *asked)).aim.conditions

    assert [(one.kind, one.lower, one.upper) for one in kept] == [
        ("time", None, 1200), ("later_sets", 3, None), ("score", 50.0, None),
        ("share_of_available", None, 80.0), ("first_set", 8, 12),
    ]  # fmt: skip


def test_too_slow_stays_too_slow_however_light():
    """A hundred repetitions in half a minute: refused for the time, light or not."""
    result = prescribe(sets(20.0, time(None, 30), rest_between_s=0.0), {"a": unseen()}, multiplier=MULTIPLIER)

    assert not result.feasible
    assert {one.code for one in result.reasons} == {"time_out_of_reach"}


@pytest.mark.parametrize("repetitions", [3.0, 5.0])
def test_who_was_never_seen_without_a_load_is_not_refused_for_too_light_a_share(repetitions):
    """Of 3 at 60 to 80 % with versions that most people do often: the check set first, the share after it."""
    strong = Athlete(90.0, 0.1, fall_off_log_sd=0.1)
    options = [replace(one, is_unseen=True) for one in strong.candidates(loads=(30.0, 35.0), written=1)]
    wanted = sets(repetitions, Condition("share_of_available", "a", 60.0, 80.0))
    result = prescribe(wanted, {"a": options}, multiplier=MULTIPLIER)
    seen = prescribe(wanted, {"a": [replace(one, is_unseen=False) for one in options]}, multiplier=MULTIPLIER)

    assert result.feasible
    assert len(result.check_sets) == 1
    assert {("uncertain_capacity", "a"), ("aim_after_check_set", "a")} <= {
        (one.code, one.work) for one in result.reasons
    }
    assert {one.code for one in seen.reasons} == {"share_out_of_reach"}


@pytest.mark.parametrize("lower", [1.0, 2.4, 3.16, 5.0, 8.0, 12.0, 19.5, 30.0])
@pytest.mark.parametrize("width", [0.0, 0.3, 0.59, 1.0, 2.5, 7.0, 10.0, None])
@pytest.mark.parametrize("gentle", [True, False])
def test_some_answer_of_whoever_stops_as_asked_keeps_the_version(lower, width, gentle):
    """Of 80 to 95 % of three lies nothing whole between 3.16 and 3.75: no window may be empty."""
    window = Window(lower, None if width is None else lower + width, True)
    options = [replace(one, below_failure=gentle) for one in UNKNOWN.candidates(loads=STEPS[::2])]
    judged = judge(options, [window])
    asked = [check_set(item("a", 60.0), chosen, judged, [window]) for chosen in judged]
    told = [check for check in asked if check is not None]
    assert told
    for check in told:
        content = {"check_sets": [{**asdict(check), "if_easier_needed": None, "if_harder_possible": None}]}
        steps = [advice(content, "a", check.stop_at, left, "planned").step for left in range(11)]
        assert "keep" in steps
        assert check.able_at_most is None or check.able_at_least <= check.able_at_most
        assert check.reserve_at_most is None or 0 <= check.reserve_at_least <= check.reserve_at_most
        assert check.able_at_least <= ceil(lower)


@pytest.mark.parametrize(
    ("rungs", "lower"),
    [((1.0,), 3.0), ((10.0, 8.0, 6.0, 4.0, 2.0), 12.0), ((1.0, 2.0, 5.0), 7.0), ((20.0, 1.0), 14.0)],
)
def test_of_a_ladder_the_largest_rung_is_what_a_set_must_give(rungs, lower):
    """And two in reserve, of twelve at most."""
    ladder = replace(sets(1.0), rules=replace(sets(1.0, rounds=None).rules, ladder=Ladder(rungs)))
    (window,) = asked_windows(ladder, ladder.work[0])

    assert window.lower == lower


@pytest.mark.parametrize(
    ("fresh", "stop_at", "left", "able_at_least"), [(51.0, 12, 2, 14), (9.4, 9, 5, 14), (2.2, 2, 10, 12)]
)
@pytest.mark.parametrize("how", ["unseen", "below_failure", "to_failure"])
def test_a_light_check_set_stops_where_nine_in_ten_still_can(fresh, stop_at, left, able_at_least, how):
    """Of somebody never seen, or who is not to go to failure: two hundred squats, fourteen in one go. Nobody tells
    more than ten left, so two repetitions tell of twelve.
    """
    check, endurance = light_checks(fresh, how)

    assert check is not None
    assert (check.stop_at, check.reserve_at_least, check.able_at_least) == (stop_at, left, able_at_least)
    assert endurance.stop_at <= 15


@pytest.mark.parametrize("fresh", [1.3, 0.4])
@pytest.mark.parametrize("how", ["unseen", "below_failure", "to_failure"])
def test_a_single_repetition_is_no_check_of_a_dozen(fresh, how):
    """How many are left after one of fourteen nobody can say."""
    assert light_checks(fresh, how) == (None, None)


def light_checks(fresh, how):
    """(the check set of two hundred squats, that of a window from 40 to 60) of whom nine in ten have `fresh`."""
    ten = np.full(len(MULTIPLIER), fresh) * np.linspace(1.0, 9.0, len(MULTIPLIER))
    (one,) = judge(
        [replace(UNKNOWN.candidates(loads=(40.0,))[0], fresh=ten * fresh / max(np.quantile(ten, 0.1), 1e-9),
                 is_unseen=how == "unseen", below_failure=how == "below_failure")],
        [],
    )  # fmt: skip
    block = sets(200.0)
    check = check_set(
        block.work[0], one, [one], asked_windows(block, block.work[0]), to_failure=how != "to_failure"
    )
    endurance = check_set(
        item("a", 60.0), one, [one], [Window(40.0, 60.0, True)], to_failure=how != "to_failure"
    )
    return check, endurance


@pytest.mark.parametrize("lower", [1.0, 3.0, 6.25, 8.0, 12.0, 14.0, 19.5, 30.0])
@pytest.mark.parametrize("most", [1, 2, 5, 8, 15, None])
@pytest.mark.parametrize("width", [2.0, 10.0, None])
def test_the_numbers_of_a_check_set_agree(lower, most, width):
    """Whoever stops as asked, with as much left as asked, is neither told that it was too hard nor too easy; what is
    left is what is asked for without what is done, unless the set goes on to tell the window's other end.
    """
    window = Window(lower, None if width is None else lower + width, True)
    (one,) = judge([replace(UNKNOWN.candidates(loads=(40.0,))[0], is_novel=True)], [window])
    asked = check_set(item("a", 60.0), one, [one], [window])
    asked = asked if most is None else stopped_by(asked, most)
    if asked is None:
        assert most == 1 and lower > 11.0
        return
    able = asked.stop_at + asked.reserve_at_least
    content = {"check_sets": [{**asdict(asked), "if_easier_needed": None, "if_harder_possible": None}]}

    assert advice(content, "a", asked.stop_at, asked.reserve_at_least, "planned").step == "keep"
    assert asked.reserve_at_least <= 10
    assert able >= asked.able_at_least
    if asked.stop_at + 2 <= asked.able_at_least:
        assert able == asked.able_at_least


def test_who_did_the_check_set_is_not_asked_again():
    """Though little is known still."""
    options = unseen()
    asked = prescribe(sets(5.0), {"a": options}, multiplier=MULTIPLIER)
    done = prescribe(sets(5.0), {"a": options}, multiplier=MULTIPLIER, done_checks={"movement_a"})

    assert len(asked.check_sets) == 1
    assert done.check_sets == ()
    assert "checked_with_other_work" not in {one.code for one in done.reasons}
