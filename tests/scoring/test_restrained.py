"""What the athlete's safety asks of a prescription, from end to end: silence, return, holds, cautions."""

import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.absences import Answer, answer_absence, report_absence
from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.athletes import update_athlete
from athletes.actions.holds import release_hold, set_hold
from athletes.actions.reports import Told, create_report
from athletes.calc.absence import Kind
from athletes.models import Absence, Report
from athletes.performed import Settings
from programming.models import ScheduledSession, Variation
from scoring.models import Prescription
from tests.scoring.sessions import SWINGS, place
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


def newest(world: World, session: ScheduledSession, name: str = "Runa Falk") -> Prescription:
    drain(world.cast)
    with world.cast.inside():
        rows = Prescription.objects.filter(athlete=world.athletes[name], session=session)
        return rows.order_by("-number").first()


def swung(
    world: World, days_ago: int, repetitions: int, name: str = "Runa Falk", lift: str = "kettlebell_swing"
) -> None:
    now = timezone.now()
    with world.cast.inside():
        record_assessment(
            actor=world.cast.coach.actor,
            athlete=world.athletes[name],
            variation_id=Variation.objects.values_list("id", flat=True).get(key=lift),
            tested=Performance(
                kind="planned",
                repetitions=repetitions,
                performed_at=now - dt.timedelta(days=days_ago),
                settings=Settings(load_kg=16.0),
            ),
            now=now,
        )


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Runa Falk", 70.0)
    return world


def test_back_after_silence(world: World) -> None:
    """24 days silent, 120 swings at most before, 150 written: asked first; confirmed, at most 60 and no failure."""
    swung(world, 30, 120)
    swung(world, 22, 80)
    session = place(world, SWINGS)
    asked = newest(world, session)
    assert not asked.feasible
    assert [one["code"] for one in asked.content["reasons"]] == ["hold:absence_unconfirmed"]
    assert asked.content["hold"]["released_by"]
    assert asked.content["hold"]["safe_alternative"]
    assert asked.content["alternatives"] == ["follow_the_safe_alternative"]
    with world.cast.inside():
        absence = Absence.objects.select_related("athlete").get()
        assert (session.local_date - absence.from_date).days == 23
        answer_absence(
            actor=world.cast.coach.actor,
            absence=absence,
            answer=Answer(trained=False, to_date=timezone.now().date()),
            now=timezone.now(),
        )
    back = newest(world, session)
    assert back.feasible, back.content["reasons"]
    (swings,) = back.content["work"]
    assert 0 < swings["repetitions"] <= 60
    assert not swings["amount_as_written"]
    assert sum(one["repetitions"] for one in back.content["plan"]) <= 60
    assert back.content["safety"]["to_failure"] is False
    assert back.content["safety"]["returning_week"] == 1
    assert {"return_after_absence"} <= {one["code"] for one in back.content["caution_details"]}
    assert all(one["source"] for one in back.content["caution_details"])


@pytest.mark.parametrize(
    ("trained", "kind", "figures"),
    [
        (None, "returning", ("Week 1", "3 days", "4 times", "11 to 30")),
        (6, "returning", ("Week 2", "4 days", "3 times", "11 to 30")),
        (13, "after_heat_illness", ()),
        (13, "returning", ()),
    ],
    ids=["first", "second", "third of four", "over"],
)
def test_lifting_in_a_return_is_told_with_its_figures(
    world: World, trained: int | None, kind: Kind, figures: tuple[str, ...]
) -> None:
    """Of the movements under a load, in the two weeks for which figures are published (Caterisano et al. 2019)."""
    today = timezone.now().date()
    swung(world, 45, 25, lift="goblet_squat")  # who was never seen under a load begins without one
    with world.cast.inside():
        report_absence(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Runa Falk"],
            from_date=today - dt.timedelta(days=40),
            to_date=today - dt.timedelta(days=14),
            kind=kind,
            now=timezone.now(),
        )
    if trained is not None:
        swung(world, trained, 20)
        swung(world, 1, 20)
    found = newest(world, world.session)
    assert found.feasible, found.content["reasons"]
    told = {one["code"]: one for one in found.content["caution_details"]}
    assert ("lifting_after_absence" in told) == bool(figures)
    if figures:
        lifting = told["lifting_after_absence"]
        loaded = [one["movement"] for one in found.content["work"] if one["load_kg"]]
        assert lifting["movements"] == loaded != []
        assert len(loaded) < len(found.content["work"])
        assert "Caterisano" in lifting["source"]
        assert [one for one in figures if one not in lifting["text"]] == []


def test_a_hold_of_the_staff_is_the_answer_and_its_release_gives_the_session_back(world: World) -> None:
    """Inside the freeze too: what holds an athlete does not wait for the next class."""
    before = newest(world, world.session)
    with world.cast.inside():
        world.cast.harbour.freeze_minutes = 3 * 24 * 60
        world.cast.harbour.save()
        hold, _ = set_hold(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Runa Falk"],
            reason="Looks unwell; see her physician first.",
            now=timezone.now(),
        )
    held = newest(world, world.session)
    assert (held.number, held.feasible) == (before.number + 1, False)
    assert held.content["hold"]["code"] == "set_by_staff"
    assert held.content["work"] == []
    assert "unwell" not in str(held.content)
    with world.cast.inside():
        release_hold(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Runa Falk"],
            code="set_by_staff",
            cause=hold.id,
            reason="Seen by her physician.",
            now=timezone.now(),
        )
    assert newest(world, world.session).fingerprint == before.fingerprint


def test_strong_pain_holds(world: World) -> None:
    """Eight of ten: nothing is prescribed until somebody has looked at it."""
    with world.cast.inside():
        create_report(
            actor=world.cast.coach.actor,
            athlete=world.athletes["Runa Falk"],
            told=Told(
                kind="pain",
                site="knee",
                side="left",
                severity=8,
                happened_at=timezone.now() - dt.timedelta(hours=2),
            ),
            now=timezone.now(),
        )
        assert Report.objects.exists()
    held = newest(world, world.session)
    assert [one["code"] for one in held.content["reasons"]] == ["hold:pain"]


def test_unaccustomed_work_is_cautioned_and_kept_below_failure(world: World) -> None:
    """150 swings by somebody of whom nothing was seen; with 120 a week ago they are nothing new."""
    session = place(world, SWINGS)
    new = newest(world, session)
    told = {one["code"]: one for one in new.content["caution_details"]}
    assert told["unaccustomed_work"]["movements"] == ["kettlebell_swing"]
    assert "dark" in told["rhabdomyolysis_signs"]["text"]
    assert new.basis["unaccustomed"]["kettlebell_swing"]["reason"] == "novel_movement"
    add_athlete(world, "Odd Brekke", 84.0)
    swung(world, 7, 120, "Odd Brekke")
    used = newest(world, session, "Odd Brekke")
    assert "unaccustomed_work" not in {one["code"] for one in used.content["caution_details"]}


def test_one_set_to_failure_is_no_leave_for_what_is_thought_possible(world: World) -> None:
    """Wanda, whose best ever are 15 goblet squats, once; eighty are written. What is cut and what is said to be no
    great step are one number, and no more than four and a half times what she did.
    """
    add_athlete(world, "Wanda Holt", 68.0, {"goblet_squat": 15})
    given = newest(world, world.session, "Wanda Holt")
    told = given.basis["unaccustomed"]["squat"]
    assert told["reason"] == "far_more_than_in_the_last_four_weeks"
    assert 30 <= told["most_repetitions"] <= 4.5 * 15
    [squats] = [one for one in given.content["work"] if one["work"] == "b"]
    assert squats["repetitions"] == told["most_repetitions"]
    assert "far_more_than_of_late" in {one["code"] for one in given.content["reasons"]}


def test_alone_is_told_with_its_source(world: World) -> None:
    """As a text and as a detail of the same number."""
    athlete = world.athletes["Runa Falk"]
    newest(world, world.session)
    with world.cast.inside():
        update_athlete(
            actor=world.cast.coach.actor, athlete=athlete, expected=athlete.version, trains_alone=True
        )
    alone = newest(world, world.session)
    details = alone.content["caution_details"]
    assert "training_alone" in {one["code"] for one in details}
    assert [one["text"] for one in details] == alone.content["cautions"]
