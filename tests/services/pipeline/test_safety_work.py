"""From results to the questions of safety: what was done is noted, silence is asked about, late logs answer."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.absences import Answer, answer_absence, ask_about_silence, peak_volumes, report_absence
from athletes.actions.assessments import Performance, correct_assessment
from athletes.actions.holds import release_hold
from athletes.capacity_inputs import work_by_movement
from athletes.models import Absence, Assessment, HoldRelease, Observation, WorkDone
from athletes.performed import Settings
from athletes.queries import prescribing_inputs
from athletes.safety_errors import AbsenceReleased
from scoring.actions.attempts import Report, correct_attempt, submit_attempt
from scoring.actions.reviews import resolve_review
from scoring.models import Attempt, Review
from tests.scoring.sessions import block, document, work
from tests.scoring.sessions import place as place_document
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db

AIM = [{"kind": "effort", "lower": 3, "upper": 9}]


def place(world: World, days: float) -> Any:
    """The same session so many days from now (before now: placed then, as it was)."""
    from programming.models import ScheduledSession

    when = timezone.now() + dt.timedelta(days=days)
    with world.cast.inside():
        return ScheduledSession.objects.create(
            org=world.cast.org,
            revision=world.revision,
            location=world.cast.harbour,
            starts_at=when,
            zone="Europe/Lisbon",
            local_date=when.date(),
            placed_by=world.cast.coach.person,
        )


def count_again(world: World, test: Assessment, repetitions: int) -> Assessment:
    """A test of goblet squats corrected to so many, inside the organisation."""
    told = Performance(
        kind="to_failure",
        repetitions=repetitions,
        performed_at=test.performed_at,
        settings=Settings(load_kg=16.0),
    )
    return correct_assessment(
        actor=world.cast.coach.actor,
        assessment=test,
        variation_id=world.variation("goblet_squat"),
        tested=told,
        reason="Counted again.",
        now=timezone.now(),
    )[0]


def log(*repetitions: int) -> dict[str, Any]:
    rows = [
        {
            "work": "b",
            "variation": "goblet_squat",
            "load_kg": 16,
            "repetitions": done,
            "ended_by": "failure" if number == 0 else "planned",
        }
        for number, done in enumerate(repetitions)
    ]
    return {"sets": rows, "elapsed_s": 900.0}


def submit(world: World, athlete: Any, session: Any, sent: dict[str, Any], *, member: Any = None) -> Attempt:
    report = Report(
        kind="set_log",
        data=sent,
        as_sent={"set_log": sent},
        performed_at=session.starts_at + dt.timedelta(minutes=30),
        client_id=None,
    )
    actor = (member or world.cast.coach).actor
    with world.cast.inside():
        return submit_attempt(actor=actor, session_id=session.id, athlete_id=athlete.id, report=report)[0]


def safety(world: World, athlete: Any) -> Any:
    with world.cast.inside():
        return prescribing_inputs([athlete.id], world.session.local_date)[athlete.id].safety


@pytest.fixture
def world() -> World:
    return make_world(starts_in=dt.timedelta(days=2))


def test_a_result_is_noted_by_movement_and_day(world: World) -> None:
    """All repetitions, and those of the sets to failure; a correction replaces them, twice is once."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    session = place(world, -3)
    attempt = submit(world, athlete, session, log(30, 20, 10))
    drain(world.cast)
    [done] = safety(world, athlete).recent_failure
    assert (done.repetitions, done.failure_repetitions) == (60, 30)
    assert done.day == attempt.local_date.toordinal()

    sent = log(31, 20)
    report = Report("set_log", sent, {"set_log": sent}, attempt.performed_at, None)
    with world.cast.inside():
        correct_attempt(actor=world.cast.coach.actor, attempt=attempt, report=report, reason="Miscounted.")
    drain(world.cast)
    [done] = safety(world, athlete).recent_failure
    assert (done.repetitions, done.failure_repetitions) == (51, 31)


def test_totals_are_noted_too(world: World) -> None:
    """Without sets, the movement is that of the work item."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    session = place(world, -3)
    data = {"elapsed_s": 700.0, "breaks": 2, "work": [{"work": "b", "repetitions": 80}]}
    report = Report("totals", data, {"totals": data}, session.starts_at + dt.timedelta(minutes=20), None)
    with world.cast.inside():
        submit_attempt(
            actor=world.cast.coach.actor, session_id=session.id, athlete_id=athlete.id, report=report
        )
    drain(world.cast)
    [done] = safety(world, athlete).recent_failure
    assert (done.repetitions, done.failure_repetitions) == (80, 0)


@pytest.mark.parametrize(("accepted", "told"), [(True, [(100, 100, False)]), (False, [])])
def test_what_waits_for_a_look_is_work_at_once_and_proves_nothing_until_it_is_believed(
    world: World, accepted: bool, told: list[tuple[int, int, bool]]
) -> None:
    """A hundred of eighty written: there was training, and no capacity is learned from it. Believed it counts in
    full; not believed there was training, and no more is known.
    """
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    attempt = submit(world, athlete, place(world, -1), log(100))
    drain(world.cast)

    def noted() -> list[tuple[float, float, bool]]:
        found = safety(world, athlete).recent_failure
        return [(one.repetitions, one.failure_repetitions, one.doubted) for one in found]

    assert noted() == [(100, 100, True)]
    with world.cast.inside():
        assert not Observation.objects.filter(athlete=athlete).exists()
        assert work_by_movement(athlete.id) == {}
        assert peak_volumes(athlete.id, world.session.local_date) == {}
        review = Review.objects.get(attempt=attempt)
        resolve_review(
            actor=world.cast.coach.actor,
            review=review,
            version=review.version,
            accepted=accepted,
            resolution="Asked.",
        )
    drain(world.cast)
    assert noted() == told
    with world.cast.inside():
        assert WorkDone.objects.filter(athlete=athlete).exists()


def test_24_silent_days_are_asked_about_and_ease_the_return(world: World) -> None:
    """Peak 80 goblet squats: held until answered; confirmed, 40 at most and nothing to failure."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    submit(world, athlete, place(world, -40), log(20, 20, 20, 20))
    submit(world, athlete, place(world, -22), log(30, 20))
    drain(world.cast)

    held = safety(world, athlete)
    assert held.hold.code == "absence_unconfirmed"
    with world.cast.inside():
        [absence] = Absence.objects.all()
        assert list(absence.peak_volumes.values()) == [80.0]
        # 24 days from training to session; one less where what was done minutes later was done after midnight.
        away = (world.session.local_date - Attempt.objects.latest("local_date").local_date).days
        assert away in (23, 24)
        assert (absence.to_date - absence.from_date).days == away - 2
        assert held.hold.cause == absence.id
        answer = Answer(trained=False, to_date=timezone.now().date())
        answer_absence(actor=world.cast.coach.actor, absence=absence, answer=answer, now=timezone.now())
    drain(world.cast)

    back = safety(world, athlete)
    assert back.hold is None
    assert {min(150, cap) for cap in back.volume_caps.values()} == {40}
    assert not back.to_failure


@pytest.mark.parametrize("noted_first", [True, False])
def test_an_absence_is_eased_by_what_was_sent_before_it(world: World, noted_first: bool) -> None:
    """A test of twelve goblet squats and 600 m, whether or not a worker has noted them when the absence is
    reported; once the test is corrected to eight, by eight."""
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"goblet_squat": 12})
    today, actor = timezone.now().date(), world.cast.coach.actor
    doc = document("Row", block("main", work("r", "row_machine", "row_machine", distance_m=600), aim=AIM))
    session = place_document(world, doc, dt.timedelta(days=-8))
    data = {"work": [{"work": "r", "distance_m": 600}]}
    when = session.starts_at + dt.timedelta(minutes=20)
    with world.cast.inside():
        report = Report("totals", data, {"totals": data}, when, None)
        submit_attempt(actor=actor, session_id=session.id, athlete_id=athlete.id, report=report)
    if noted_first:
        drain(world.cast)
    with world.cast.inside():
        report_absence(
            actor=actor, athlete=athlete, kind="returning", now=timezone.now(),
            from_date=today - dt.timedelta(days=6), to_date=today - dt.timedelta(days=1),
        )  # fmt: skip
    drain(world.cast)

    back = safety(world, athlete)
    assert list(back.volume_caps.values()) == [6]
    assert {unit: cap for (_, unit), cap in back.amount_caps.items()} == {"distance_m": 300}

    with world.cast.inside():
        count_again(world, Assessment.objects.get(athlete=athlete), 8)
    drain(world.cast)
    assert list(safety(world, athlete).volume_caps.values()) == [4]


def test_metres_before_an_absence_cap_the_return(world: World) -> None:
    """Sets and totals in metres: 2500 and 2000, so 1250 at most in the first week; repetitions are not capped."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    row = {"variation": "row_machine", "ended_by": "planned"}
    doc = document("Row", block("main", work("r", "row_machine", "row_machine", distance_m=2500), aim=AIM))
    for days, sent in (
        (-40, {"set_log": {"sets": [{**row, "work": "r", "distance_m": part} for part in (1500, 1000)]}}),
        (-22, {"totals": {"work": [{"work": "r", "distance_m": 2000}]}}),
    ):
        session = place_document(world, doc, dt.timedelta(days=days))
        [kind] = sent
        when = session.starts_at + dt.timedelta(minutes=20)
        with world.cast.inside():
            submit_attempt(
                actor=world.cast.coach.actor,
                session_id=session.id,
                athlete_id=athlete.id,
                report=Report(kind, sent[kind], sent, when, None),
            )
    drain(world.cast)

    with world.cast.inside():
        [absence] = Absence.objects.all()
    assert list(absence.peak_amounts.values()) == [{"distance_m": 2500.0}]
    held = safety(world, athlete)
    assert list(held.amount_caps.values()) == [1250]
    assert [unit for _, unit in held.amount_caps] == ["distance_m"]
    assert held.volume_caps == {}


def test_a_log_that_comes_late_releases_by_the_name_of_its_sender(world: World) -> None:
    """The question is asked once; training of ten days ago, sent now, takes the two weeks away."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    submit(world, athlete, place(world, -22), log(30, 20))
    drain(world.cast)
    drain(world.cast)
    assert safety(world, athlete).hold.code == "absence_unconfirmed"

    late = submit(world, athlete, place(world, -10), log(40), member=world.cast.staff)
    drain(world.cast)

    assert safety(world, athlete).hold is None
    with world.cast.inside():
        [release] = HoldRelease.objects.all()
        assert release.released_by_id == world.cast.staff.person.id
        assert str(late.local_date) in release.reason
        assert Absence.objects.count() == 1


@pytest.fixture
def confirmed(world: World) -> tuple[World, Any, Absence]:
    """Somebody with a sign-in of their own, away for 24 days and back after rhabdomyolysis, as a coach has said."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    with world.cast.inside():
        athlete.person = world.cast.athlete.person
        athlete.save()
    submit(world, athlete, place(world, -22), log(30, 20))
    drain(world.cast)
    with world.cast.inside():
        absence = Absence.objects.select_related("athlete").get()
        answer = Answer(False, timezone.now().date() - dt.timedelta(days=1), "after_rhabdomyolysis")
        answer_absence(actor=world.cast.coach.actor, absence=absence, answer=answer, now=timezone.now())
    drain(world.cast)
    return world, athlete, absence


@pytest.mark.parametrize("by", ["athlete", "coach"])
def test_no_log_lifts_a_confirmed_absence(confirmed: tuple[World, Any, Absence], by: str) -> None:
    """Whoever logs a set of day 4: half of the volume and no failure stay, until a named person releases them."""
    world, athlete, absence = confirmed
    submit(world, athlete, place(world, -18), log(40), member=getattr(world.cast, by))
    drain(world.cast)

    back = safety(world, athlete)
    assert (back.volume_share, back.to_failure, back.returning_week) == (0.5, False, 1)
    assert any("is logged within an absence" in note and "release" in note for note in back.notes)
    with world.cast.inside():
        assert not HoldRelease.objects.exists()
        assert Absence.objects.count() == 1  # and nobody is asked about the days that are left
        release_hold(
            actor=world.cast.staff.actor, athlete=athlete, code="absence_unconfirmed", cause=absence.id,
            reason="It was the log of her sister.", now=timezone.now(),
        )  # fmt: skip
    back = safety(world, athlete)
    assert (back.volume_share, back.to_failure, back.returning_week) == (1.0, True, None)


def test_a_log_of_before_the_confirmation_does_not_empty_it(world: World) -> None:
    """Released by the athlete's own late log, the question takes no confirmation any more; a report holds."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    submit(world, athlete, place(world, -22), log(30, 20))
    drain(world.cast)
    submit(world, athlete, place(world, -10), log(40))
    drain(world.cast)
    today = timezone.now().date()
    with world.cast.inside():
        absence = Absence.objects.select_related("athlete").get()
        actor, now = world.cast.coach.actor, timezone.now()
        with pytest.raises(AbsenceReleased):
            answer = Answer(False, today, "after_rhabdomyolysis")
            answer_absence(actor=actor, absence=absence, answer=answer, now=now)
        report_absence(
            actor=actor, athlete=athlete, from_date=absence.from_date, to_date=today,
            kind="after_rhabdomyolysis", now=now,
        )  # fmt: skip
    submit(world, athlete, place(world, -9), log(40))
    drain(world.cast)
    assert safety(world, athlete).volume_share == 0.5


def test_past_absences_cost_no_queries_of_their_own(world: World) -> None:
    """As many for 3 unanswered questions of the past as for 30, with late logs after each that answer none."""
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    drain(world.cast)
    now, counted = timezone.now(), []
    with world.cast.inside():
        for first, last in ((0, 3), (3, 30)):
            for number in range(first, last):
                begun = now.date() - dt.timedelta(days=40 * (number + 2))
                Absence.objects.create(
                    org=world.cast.org, athlete=athlete, origin="silence", from_date=begun,
                    to_date=begun + dt.timedelta(days=20), peak_volumes={},
                )  # fmt: skip
                WorkDone.objects.create(
                    org=world.cast.org, athlete=athlete, source="attempt", source_id=uuid4(), movement=None,
                    local_date=begun + dt.timedelta(days=25), recorded_by=world.cast.coach.person,
                )  # fmt: skip
            with CaptureQueriesContext(connection) as queries:
                ask_about_silence(athlete_id=athlete.id, now=now, until=now + dt.timedelta(days=7))
            counted.append(len(queries))
    assert counted == [4, 4]


def test_who_trained_last_week_is_not_asked(world: World) -> None:
    """A test a week ago and a session in two days are no silence."""
    athlete = add_athlete(world, "Bruna Keel", 62.0, {"row_45": 9})
    drain(world.cast)
    assert safety(world, athlete).hold is None
    with world.cast.inside():
        assert not Absence.objects.exists()
        assert WorkDone.objects.count() == 1


def test_only_the_next_session_asks(world: World) -> None:
    """Two weeks from the last training to a session of next week say nothing while one comes in between."""
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    submit(world, athlete, place(world, -8), log(50))
    place(world, 6.9)
    drain(world.cast)
    with world.cast.inside():
        assert not Absence.objects.exists()
