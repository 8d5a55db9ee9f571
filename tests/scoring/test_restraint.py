"""What holds a session back, without a database: caps by hand, and work kept below failure."""

import datetime as dt
from dataclasses import replace

import pytest

from athletes.calc.absence import return_scheme
from athletes.calc.capacity import Observation, estimate_capacity
from athletes.calc.caution import RecentWork
from athletes.day import AS_USUAL
from athletes.returns import Return, with_returns
from athletes.safety import NO_CONCERN, Safety
from programming.calc.revision import (
    DISTANCE,
    ENERGY,
    HOLD,
    Aim,
    BlockRules,
    BreakRule,
    Condition,
    EndRule,
)
from scoring.basis import Floor, basis_of
from scoring.calc.caps import UsedTo
from scoring.candidates import gather_block
from scoring.content import content_of
from scoring.explanation import explain
from scoring.loadable import loadable
from scoring.names import names_of
from scoring.person import Person
from scoring.restraint import restraint_of
from scoring.volume_words import volume_told
from scoring.working_out import Known, work_out
from tests.scoring.test_candidates import ACCOMPANIED, BAR, plan

PUSH_UPS = BAR | {"box": {"heights_cm": [30, 45, 60]}}


def in_rounds(session, rounds: int):
    """The same work, so many times."""
    rules = BlockRules("rounds", BreakRule("none"), EndRule("work_done"), "time", "none", rounds=rounds)
    block = replace(session.doc.blocks[0], rules=rules)
    return replace(session, doc=replace(session.doc, blocks=(block,)))


@pytest.mark.parametrize(
    ("rounds", "safety", "caps"),
    [
        (1, NO_CONCERN, {}),
        (1, Safety(volume_share=0.5), {"a": 20.0, "b": 20.0}),
        (3, Safety(volume_share=0.5), {"a": 60.0, "b": 60.0}),
        (3, Safety(volume_share=0.7), {"a": 84.0, "b": 84.0}),
    ],
)
def test_work_not_done_before_is_cut_to_the_share_of_what_is_written(rounds, safety, caps):
    """Forty of each in every round."""
    assert restraint_of(in_rounds(plan("push_up"), rounds), safety).caps == caps


def test_a_known_peak_caps_the_whole_session():
    """Thirty at most of one movement: ten in each of three rounds; what is below its peak stays."""
    session = in_rounds(plan("push_up"), 3)
    first, second = (session.movement(work).id for work in ("a", "b"))
    safety = Safety(volume_share=0.5, volume_caps={first: 30, second: 500})
    assert restraint_of(session, safety).caps == {"a": 30.0}


@pytest.mark.parametrize(("unit", "most"), [(DISTANCE, 2500), (ENERGY, 60), (HOLD, 90)])
@pytest.mark.parametrize("amount", [None, 4000.0])
def test_a_known_peak_caps_every_unit(unit, most, amount):
    """Open or more than that: the cap of its own unit; a peak in another unit is none."""
    session = plan("push_up")
    main = session.doc.blocks[0]
    changed = replace(main, work=(replace(main.work[0], unit=unit, amount=amount), *main.work[1:]))
    session = replace(session, doc=replace(session.doc, blocks=(changed,)))
    movement = session.movement("a").id
    back = Safety(volume_share=0.5, amount_caps={(movement, unit): most, (movement, "other"): 1})
    assert restraint_of(session, back).caps["a"] == most
    elsewhere = Safety(volume_share=0.5, amount_caps={(movement, "other"): 1})
    assert restraint_of(session, elsewhere).caps.get("a") == (None if amount is None else 2000.0)


def test_new_work_is_cautioned_and_kept_below_failure_and_known_work_is_not():
    """Nothing of late: both; with as much a week ago neither; of the other one only."""
    session = plan("push_up")
    first, second = (session.movement(work).id for work in ("a", "b"))
    day = session.local_date.toordinal() - 7
    assert restraint_of(session, NO_CONCERN).below_failure == {first, second}
    known = Safety(recent_failure=(RecentWork(first, day, 40.0, 0.0, 0.5),))
    assert restraint_of(session, known).below_failure == {second}


def test_far_more_than_of_late_is_told_by_place_and_only_where_there_is_a_record():
    """Forty of each written. Fifteen a week ago: thirty are twice that, and an introduction too; of the movement not
    done of late the introduction, lowering as much as raising. Without any record of late: nothing.
    """
    session = plan("push_up")
    first = session.movement("a").id
    day = session.local_date.toordinal() - 7
    known = Safety(recent_failure=(RecentWork(first, day, 15.0, 0.0, 0.5),))
    assert restraint_of(session, known).used_to == {"a": UsedTo(30.0, 1.0, 4.5), "b": UsedTo(30.0, 1.0, 4.5)}
    assert restraint_of(in_rounds(session, 3), known).used_to["a"] == UsedTo(30.0, 1.0, 4.5)
    enough = Safety(
        recent_failure=tuple(RecentWork(session.movement(w).id, day, 40.0, 0.0, 0.5) for w in "ab")
    )
    assert restraint_of(session, enough).used_to == {}
    assert restraint_of(session, NO_CONCERN).used_to == {}


def test_below_failure_reaches_every_candidate():
    """Of the movement, and of no other."""
    session = plan("push_up", items=PUSH_UPS)
    known = _known(session)
    first = session.movement("a").id
    person = Person(ACCOMPANIED, known.capacities, below_failure=frozenset({first}))
    choice = gather_block(session, session.block, person, loadable(session, ACCOMPANIED))
    assert choice.candidates["a"]
    assert all(one.below_failure for one in choice.candidates["a"])
    assert not any(one.below_failure for one in choice.candidates["b"])


def test_no_failure_keeps_a_repetition_in_every_planned_set():
    """In the first week back the plan is shorter in no scenario than what is available less one."""
    session = plan("push_up", items=PUSH_UPS)
    inputs = replace(ACCOMPANIED, safety=Safety(to_failure=False))
    worked = work_out(session, inputs, _known(session))
    result = worked.results[session.block.key]
    assert result.forecast is not None
    fresh = {one.work: one.fresh.p50 for one in result.forecast.work if one.fresh is not None}
    first = {}
    for one in result.forecast.plan:
        first.setdefault(one.work, one.amount)
    assert all(first[work] <= fresh[work] - 1.0 + 1e-9 for work in first if fresh[work] >= 2.0)


def _known(session, load_kg=40.0):
    seen = [Observation(dt.date(2030, 5, 1).toordinal(), load_kg, 15.0, "to_failure")]
    day = session.local_date.toordinal()
    movements = {session.movement(item.key) for item in session.block.work}
    return Known({one.id: estimate_capacity(one.prior.at(80.0), seen, day=day) for one in movements})


@pytest.mark.parametrize(
    ("age", "failed", "failed_bouts"),
    [(None, 15.0, 4.5), (17, 15.0, 2.25), (18, 15.0, 4.5), (65, 15.0, 4.5), (66, 15.0, 2.25), (30, 0.0, 4.5)],
)
def test_who_went_to_failure_of_late_may_do_a_few_times_that_and_the_young_and_old_half_as_many(
    age, failed, failed_bouts
):
    """Of the movement in which they did, and of no other."""
    session = plan("push_up")
    day = session.local_date.toordinal() - 7
    done = RecentWork(session.movement("a").id, day, 15.0, failed, 0.5)
    used = restraint_of(session, Safety(recent_failure=(done,), age=age)).used_to
    assert used == {"a": UsedTo(30.0, 1.0, failed_bouts, failed), "b": UsedTo(30.0, 1.0, failed_bouts)}


def test_an_introduction_is_thirty_repetitions_of_a_movement_over_all_its_places():
    """Lowering as much as raising; written or open."""
    session = plan("push_up")
    assert restraint_of(session, NO_CONCERN).introductions == {"a": 30.0, "b": 30.0}
    main = session.doc.blocks[0]
    openly = replace(main, work=(replace(main.work[0], amount=None), *main.work[1:]))
    session = replace(session, doc=replace(session.doc, blocks=(openly,)))
    assert restraint_of(session, NO_CONCERN).introductions == {"a": 30.0, "b": 30.0}


FINE = {"barbell": {"loads_kg": [20 + 2.5 * step for step in range(60)]}, "rack": {}, "bench": {}}


def five_by_five(lower: float, upper: float):
    """Squats, five sets of five at a share of what is available, three minutes apart; and who did 100 kg five times
    again and again until six weeks ago.
    """
    session = plan("back_squat", items=FINE)
    squat = session.block.work[0]
    squat = replace(squat, amount=5.0, as_written=replace(squat.as_written, load_kg=100.0))
    rules = BlockRules(
        "rounds", BreakRule("none"), EndRule("work_done"), "none", "none", rounds=5, rest_between_s=180.0
    )
    aim = Aim((Condition("share_of_available", squat.key, lower, upper),))
    block = replace(session.block, work=(squat,), rules=rules, aim=aim)
    session = replace(session, doc=replace(session.doc, blocks=(block,)))
    movement, day = session.movement(squat.key), session.local_date.toordinal()
    seen = [Observation(day - 42 - 7 * week, 100.0, 5.0, "to_failure") for week in range(6)]
    return session, Known({movement.id: estimate_capacity(movement.prior.at(80.0), seen, day=day)})


@pytest.mark.parametrize("peak", [1, 5, 25, 100])
@pytest.mark.parametrize(("lower", "upper"), [(60.0, 80.0), (75.0, 85.0), (80.0, 95.0)])
def test_the_first_week_back_is_an_easy_session(lower, upper, peak):
    """Of five by five fewer repetitions, no heavier, whole and with a reserve; even of who did only singles before
    (common practice, no source).
    """
    session, known = five_by_five(lower, upper)
    week = Return(return_scheme("returning", 0), 1, {str(session.movement("a").id): peak}, {})
    usual = work_out(session, ACCOMPANIED, known).results[session.block.key]
    back = replace(ACCOMPANIED, safety=with_returns(NO_CONCERN, [week]))
    easy = work_out(session, back, known).results[session.block.key]
    plan_of = [one.amount for one in easy.forecast.plan]
    (told,) = [one for one in easy.candidates if one.option == easy.chosen[0].option]

    assert easy.feasible
    assert 10 <= sum(plan_of) <= max(peak, 30) / 2
    assert easy.chosen[0].option.load_kg <= usual.chosen[0].option.load_kg
    assert easy.chosen[0].option.load_kg >= 60.0
    assert max(plan_of) <= told.fresh.p50 - 3.0


@pytest.mark.parametrize(("done_today", "said"), [(50.0, False), (100.0, True)])
def test_what_would_be_no_great_step_is_told_where_less_than_that_is_not_written(done_today, said):
    """Forty push-ups are written. Who did fifty of them that day, the most of four weeks being 54: 31 are left of one
    and a half times that, but more of what went to failure; so nothing is cut, and no number above the forty is told.
    """
    session = plan("push_up", items=PUSH_UPS)
    first, day = session.movement("a"), session.local_date.toordinal()
    known = Safety(
        recent_failure=(
            RecentWork(first.id, day, done_today, done_today, 0.5),
            RecentWork(first.id, day - 10, 54.0, 54.0, 0.5),
        )
    )
    inputs, states = replace(ACCOMPANIED, safety=known), _known(session, 60.0)
    worked = work_out(session, inputs, states)
    basis = basis_of(session, inputs, worked, {}, states.capacities, Floor(AS_USUAL, [], None))
    told = basis["unaccustomed"][first.key]
    [push_ups] = [one for one in worked.results[session.block.key].chosen if one.work == "a"]
    lines = volume_told(content_of(session, inputs, worked), basis, names_of(session))
    [line] = [line for line in lines if "far more often" in line]
    assert ("no great step" in line) is said
    assert told["reason"] == "far_more_than_in_the_last_four_weeks"
    if said:
        assert told["most_repetitions"] < 40 and push_ups.amount < 40
    else:
        assert told["most_repetitions"] is None and push_ups.amount == 40


@pytest.mark.parametrize(("age", "by_age", "most"), [(30, False, 31), (17, True, 30)])
def test_what_was_done_of_late_is_kept_for_its_sentence(age, by_age, most):
    """Forty squats written; seven to failure at once, a week ago. Of a minor the 4.5 times are halved, where they are
    more than an ordinary beginning.
    """
    session = plan("push_up", items=PUSH_UPS)
    first, day = session.movement("a"), session.local_date.toordinal()
    known = Safety(recent_failure=(RecentWork(first.id, day - 7, 7.0, 7.0, 0.5),), age=age)
    inputs, states = replace(ACCOMPANIED, safety=known), _known(session, 60.0)
    worked = work_out(session, inputs, states)
    basis = basis_of(session, inputs, worked, {}, states.capacities, Floor(AS_USUAL, [], None))
    told = basis["unaccustomed"][first.key]
    assert (told["usual"], told["since_the_day_before"]) == (7, 0)
    assert (told["by_age"], told["most_repetitions"]) == (by_age, most)


def test_what_nobody_has_looked_at_and_what_was_checked_are_told_apart():
    """Of 198 since the day before 140 are a slip that waits for its review; twelve were done in a check set."""
    session = plan("push_up", items=PUSH_UPS)
    first, day = session.movement("a"), session.local_date.toordinal()
    since = (
        RecentWork(first.id, day, 140.0, 140.0, 0.5, doubted=True),
        RecentWork(first.id, day - 1, 58.0, 58.0, 0.5),
    )
    inputs = replace(ACCOMPANIED, safety=Safety(recent_failure=since))
    states = replace(_known(session, 60.0), done={("a", "repetitions"): 12.0, ("b", "repetitions"): 5.0})
    worked = work_out(session, inputs, states)
    basis = basis_of(session, inputs, worked, {}, states.capacities, Floor(AS_USUAL, [], None))
    told = basis["unaccustomed"][first.key]
    assert (told["since_the_day_before"], told["not_looked_at"], told["checked"]) == (198, 140, 12)


@pytest.mark.parametrize("load_kg", [44.0, 50.0, 57.0])
def test_a_first_set_is_told_alike_in_numbers_and_in_words(load_kg):
    """By the repetitions that are complete, as conditions and the aim check count them."""
    session = plan("push_up", items=PUSH_UPS)
    states = _known(session, load_kg)
    worked = work_out(session, ACCOMPANIED, states)
    content = content_of(session, ACCOMPANIED, worked)
    basis = basis_of(session, ACCOMPANIED, worked, {}, states.capacities, Floor(AS_USUAL, [], None))
    told = content["expected"]["first_set"]
    why = {one.work: " ".join(one.sentences) for one in explain(content, basis, names_of(session)).work}
    assert told.keys() == {"a", "b"}
    for work, fresh in told.items():
        said = f"{fresh['p50']} repetitions, on 8 of 10 such days between {fresh['p10']} and {fresh['p90']}."
        assert said in why[work]
