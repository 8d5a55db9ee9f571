"""A test beyond belief teaches nothing until one of the staff has said that it is right."""

from __future__ import annotations

from typing import Any

import pytest

from athletes.actions.doubted_tests import refuse_doubted
from athletes.actions.tested import Performance
from athletes.catalogue import current_version
from athletes.errors import ImplausibleTest
from athletes.models import Assessment, Observation
from athletes.performed import Settings, mass_history
from tests.athletes.conftest import NOW, Team
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


@pytest.fixture
def weighed(team: Team) -> Team:
    """ayo is a woman of 62 kg who has a sign-in; bram a man of 90 kg."""
    with team.cast.inside():
        for athlete, sex, kg in ((team.ayo, "female", 62.0), (team.bram, "male", 90.0)):
            athlete.sex = sex
            athlete.save(update_fields=["sex"])
            team.weigh(athlete, kg)
    return team


def told(team: Team, key: str, repetitions: int, load_kg: float | None, **more: Any) -> dict[str, Any]:
    with team.cast.inside():
        variation = str(team.variation(key))
    when = "2030-03-19T18:05:00Z"
    body = {"variation": variation, "kind": "to_failure", "repetitions": repetitions, "performed_at": when}
    return {**body, **({} if load_kg is None else {"load_kg": load_kg}), **more}


def at(team: Team, athlete: Any = None) -> str:
    return team.path(f"athletes/{(athlete or team.ayo).id}/assessments")


def stored(team: Team) -> tuple[int, int]:
    with team.cast.inside():
        return Assessment.objects.count(), Observation.objects.count()


@pytest.mark.parametrize(
    ("key", "repetitions", "load_kg", "asked"),
    [
        ("bench_press_barbell", 10, 50.0, False),
        ("bench_press_barbell", 10, 70.0, False),
        ("bench_press_barbell", 10, 110.0, True),  # 50 kg typed in pounds
        ("back_squat_barbell", 10, 90.0, False),
        ("back_squat_barbell", 5, 180.0, True),
        ("deadlift_barbell", 5, 110.0, False),
        ("bench_press_barbell", 0, 110.0, False),  # missed: nothing was lifted
        ("pull_up", 25, None, False),  # many repetitions are no slip of a unit
        ("goblet_squat", 20, 40.0, False),
        ("goblet_squat", 40, 100.0, True),  # by the hands
    ],
)
def test_a_first_test_is_held_against_people(
    weighed: Team, key: str, repetitions: int, load_kg: float | None, asked: bool
) -> None:
    """P95 of the prior at her body mass, 62 kg: of ten on the bench 36 kg times exp(1.645 x 0.45), 75 kg."""
    response = weighed.client(weighed.cast.coach).post(at(weighed), told(weighed, key, repetitions, load_kg))
    assert (response.status_code == 422) is asked, response.content
    if asked:
        problem = assert_problem(response, "implausible_test", 422, at="#/confirmed")
        assert "confirmed" in problem["detail"] and f"{load_kg:g} kg" in problem["detail"]
        assert "_" not in problem["detail"], "the version by its name"
        assert stored(weighed) == (0, 0)


def test_staff_who_have_seen_it_confirm_it(weighed: Team) -> None:
    """Named as who recorded it; the athlete's own word is none; sent again it is the same test."""
    body = told(weighed, "bench_press_barbell", 10, 110.0, confirmed=True, client_id="phone-1")
    assert_problem(
        weighed.client(weighed.cast.athlete).post(at(weighed), body),
        "implausible_test",
        422,
        at="#/confirmed",
    )
    coach = weighed.client(weighed.cast.coach)
    first, again = coach.post(at(weighed), body), coach.post(at(weighed), body)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["recorded_by"] == str(weighed.cast.coach.person.id)
    assert stored(weighed) == (1, 1)


@pytest.mark.parametrize(("repetitions", "load_kg"), [(10, 400.0), (40, 180.0)])
def test_above_the_best_of_the_world_nobody_is_believed(
    weighed: Team, repetitions: int, load_kg: float
) -> None:
    """At 62 kg of body mass, even confirmed; a single with 180 kg is believed then."""
    coach, at_all = weighed.client(weighed.cast.coach), {"confirmed": True}
    body = told(weighed, "back_squat_barbell", repetitions, load_kg, **at_all)
    problem = assert_problem(coach.post(at(weighed), body), "implausible_test", 422, at="#/load_kg")
    assert "confirmed" not in problem["detail"] and problem["detail"].endswith("send what was done.")
    assert stored(weighed) == (0, 0)
    assert coach.post(at(weighed), told(weighed, "back_squat_barbell", 1, 180.0, **at_all)).status_code == 201


def test_of_whom_more_is_known_more_is_believed(weighed: Team) -> None:
    """A second test of the movement is held against four spreads, not against P95."""
    coach = weighed.client(weighed.cast.coach)
    assert coach.post(at(weighed), told(weighed, "bench_press_barbell", 8, 70.0)).status_code == 201
    assert coach.post(at(weighed), told(weighed, "bench_press_barbell", 10, 85.0)).status_code == 201


@pytest.mark.parametrize(
    ("seen", "told_now", "asked"),
    [
        ((5, 30.0), (10, 110.0), True),  # 50 kg in pounds, 4.2 times what she has shown
        ((10, 50.0), (10, 110.0), True),  # 2.2 times
        ((10, 50.0), (1, 110.0), False),  # 87 kg for ten by k = 0.0265: 1.7 times
        ((10, 65.0), (10, 110.0), False),  # 1.7 times
        ((10, 40.0), (10, 64.0), False),  # 1.6 times: the progress of a beginner's months on a good day
        ((10, 20.0), (10, 60.0), True),  # three times, though other women of her body mass lift it
        ((0, 50.0), (10, 110.0), True),  # a missed test has shown nothing
    ],
)
def test_of_whom_little_was_seen_a_slip_of_a_unit_is_asked_about(
    weighed: Team, seen: tuple[int, float], told_now: tuple[int, float], asked: bool
) -> None:
    """Pounds for kilograms are 2.2 times: asked above 1.8 times what was shown, whatever people say."""
    coach = weighed.client(weighed.cast.coach)
    before = told(weighed, "bench_press_barbell", *seen)
    assert coach.post(at(weighed), before).status_code == 201
    body = told(weighed, "bench_press_barbell", *told_now)
    response = coach.post(at(weighed), body)
    assert (response.status_code == 422) is asked, response.content
    if asked:
        assert_problem(response, "implausible_test", 422, at="#/confirmed")
        assert coach.post(at(weighed), {**body, "confirmed": True}).status_code == 201


@pytest.mark.parametrize(
    ("key", "how", "asked"),
    [
        ("bench_press_barbell", {"kind": "to_failure"}, True),
        ("bench_press_barbell", {"kind": "with_rir", "rir": 2}, True),
        # More were possible, nobody knows how many, and people say nothing against it.
        ("bench_press_barbell", {"kind": "with_rir", "rir": 10}, False),
        ("bench_press_barbell", {"kind": "planned"}, False),
        ("back_squat_barbell", {"kind": "to_failure"}, True),
    ],
)
def test_what_was_shown_is_held_against_whatever_others_lift(
    weighed: Team, key: str, how: dict[str, Any], asked: bool
) -> None:
    """Of 90 kg of body mass 110 kg for eight are nothing special; after eight with 50 they are pounds."""
    coach = weighed.client(weighed.cast.coach)
    assert coach.post(at(weighed, weighed.bram), told(weighed, key, 8, 50.0, **how)).status_code == 201
    sent = coach.post(at(weighed, weighed.bram), told(weighed, key, 8, 110.0))
    assert (sent.status_code == 422) is asked, sent.content
    if asked:
        detail = assert_problem(sent, "implausible_test", 422, at="#/confirmed")["detail"]
        assert "8 repetitions with 110 kg, is far above the most that the athlete has shown (" in detail
        assert "repetitions with 50 kg)" in detail


def test_what_is_taken_in_two_hands_is_said_so(weighed: Team) -> None:
    """The slip in question may be the weight of one for that of both."""
    body = told(weighed, "overhead_press_dumbbells", 12, 90.0)
    sent = weighed.client(weighed.cast.coach).post(at(weighed), body)
    assert "with 2 × 45 kg" in assert_problem(sent, "implausible_test", 422, at="#/confirmed")["detail"]


def test_a_strong_man_is_believed(weighed: Team) -> None:
    """90 kg of body mass, ten at 110 kg on the bench; not at 243 (110 in pounds)."""
    coach = weighed.client(weighed.cast.coach)
    heavy = told(weighed, "bench_press_barbell", 10, 243.0)
    assert_problem(coach.post(at(weighed, weighed.bram), heavy), "implausible_test", 422, at="#/confirmed")
    ten = told(weighed, "bench_press_barbell", 10, 110.0)
    assert coach.post(at(weighed, weighed.bram), ten).status_code == 201


def test_a_correction_goes_through_the_same_door(weighed: Team) -> None:
    """What it replaces tells nothing for it; confirmed it replaces."""
    coach = weighed.client(weighed.cast.coach)
    made = coach.post(at(weighed), told(weighed, "bench_press_barbell", 10, 50.0)).json()
    path = f"{at(weighed)}/{made['id']}/corrections"
    body = told(weighed, "bench_press_barbell", 10, 110.0, reason="Typed wrongly.")
    assert_problem(coach.post(path, body), "implausible_test", 422, at="#/confirmed")
    assert stored(weighed) == (1, 1)
    assert coach.post(path, {**body, "confirmed": True}).status_code == 201


@pytest.mark.parametrize(
    ("kind", "key", "amounts", "asked"),
    [
        ("hold_to_failure", "plank", {"hold_s": 400.0}, False),
        ("hold_to_failure", "plank", {"hold_s": 36_000.0}, True),
        ("time_trial", "run_course", {"distance_m": 10_000.0, "elapsed_s": 2400.0}, False),
        ("time_trial", "run_course", {"distance_m": 10_000.0, "elapsed_s": 600.0}, True),
    ],
)
def test_holds_and_trials_are_judged_too(
    weighed: Team, kind: str, key: str, amounts: dict[str, float], asked: bool
) -> None:
    """Four spreads, as of logged sets: ten hours of plank, sixty kilometres an hour."""
    body = {k: v for k, v in told(weighed, key, 0, None).items() if k != "repetitions"}
    response = weighed.client(weighed.cast.coach).post(at(weighed), {**body, "kind": kind, **amounts})
    assert (response.status_code == 422) is asked, response.content


def test_a_roster_stores_no_slip_of_a_unit(weighed: Team) -> None:
    """The row is refused by its column, the other row is taken."""
    from athletes.actions.imports import import_athletes

    with weighed.cast.inside():
        report = import_athletes(
            actor=weighed.cast.coach.actor,
            text="name,body_mass_kg,one_rm:bench_press_barbell:kg\nUna Brook,62,68\nEda Fell,62,160\n",
            mapping={},
            location_id=weighed.cast.harbour.id,
            now=NOW,
            dry_run=False,
        )
    assert [row.outcome for row in report.rows] == ["created", "invalid"]
    assert "Bench press with the barbell" in report.rows[1].problems[0][1]


def test_a_coach_does_not_confirm_what_they_have_lifted_themselves(weighed: Team) -> None:
    with weighed.cast.inside():
        weighed.ayo.person_id = weighed.cast.coach.person.id
        weighed.ayo.save(update_fields=["person"])
    body = told(weighed, "bench_press_barbell", 10, 110.0, confirmed=True)
    sent = weighed.client(weighed.cast.coach).post(at(weighed), body)
    assert_problem(sent, "implausible_test", 422, at="#/confirmed")
    assert weighed.client(weighed.cast.owner).post(at(weighed), body).status_code == 201


def test_another_athlete_confirms_nothing(weighed: Team) -> None:
    """Asked of the action: no route lets them come so far."""
    with weighed.cast.inside():
        version = current_version(weighed.variation("bench_press_barbell"))
        tested = Performance("to_failure", 10, NOW, Settings(load_kg=243.0))
        judged = {"masses": mass_history([(NOW.date(), 90.0)]), "day": NOW.date(), "confirmed": True}
        with pytest.raises(ImplausibleTest):
            refuse_doubted(weighed.cast.athlete.actor, weighed.bram, version, tested, **judged)
        refuse_doubted(weighed.cast.coach.actor, weighed.bram, version, tested, **judged)


def test_what_was_left_counts_as_done(weighed: Team) -> None:
    """Eleven with 70 kg on the bench are believed, and eleven with eight left are nineteen."""
    coach = weighed.client(weighed.cast.coach)
    more = {"kind": "with_rir", "rir": 8}
    doubted = coach.post(at(weighed), told(weighed, "bench_press_barbell", 11, 70.0, **more))
    assert_problem(doubted, "implausible_test", 422, at="#/confirmed")
    believed = coach.post(at(weighed), told(weighed, "bench_press_barbell", 11, 70.0, **more | {"rir": 0}))
    assert believed.status_code == 201, believed.content


def test_it_is_held_against_the_body_mass_of_its_day(weighed: Team) -> None:
    """Of 62 kg a month ago and of 90 kg of late: ten with 85 kg are doubted then, and believed now."""
    with weighed.cast.inside():
        weighed.weigh(weighed.ayo, 90.0, days=5)
    coach = weighed.client(weighed.cast.coach)
    then = told(weighed, "bench_press_barbell", 10, 85.0) | {"performed_at": "2030-03-01T18:00:00Z"}
    assert_problem(coach.post(at(weighed), then), "implausible_test", 422, at="#/confirmed")
    assert coach.post(at(weighed), told(weighed, "bench_press_barbell", 10, 85.0)).status_code == 201
