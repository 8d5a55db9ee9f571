"""What restrains an athlete on a date, read from what people stated and from what was done."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.absences import ask_about_silence
from athletes.actions.holds import release_hold, set_hold
from athletes.actions.reports import create_report
from athletes.actions.safety_settings import NewSettings, set_safety
from athletes.actions.screenings import record_screening, void_screening
from athletes.actions.work import note_tests
from athletes.guidance import question_set
from athletes.models import Athlete, HoldRelease, ReportReview, WorkDone
from athletes.safeties import safeties
from athletes.safety import CODES
from athletes.safety_errors import NotYourHold, OwnHold
from athletes.safety_words import RELEASED_BY, SAFE_ALTERNATIVES
from services.changes.models import Change
from services.problems import Forbidden, Invalid
from tests.athletes.conftest import NOW, TODAY, Team, days_ago
from tests.athletes.safety_support import codes, release, reported, safety, screened, told, work

pytestmark = pytest.mark.django_db


def test_every_hold_offers_something_and_names_who_ends_it():
    """No code without an alternative and without words for who may release it."""
    assert set(RELEASED_BY) == set(SAFE_ALTERNATIVES) == set(CODES)
    assert all(len(text) > 30 for text in (*RELEASED_BY.values(), *SAFE_ALTERNATIVES.values()))
    words = " ".join((*RELEASED_BY.values(), *SAFE_ALTERNATIVES.values())).lower()
    assert "probab" not in words and "risk" not in words and "diagnos" not in words


class TestScreening:
    def test_missing_is_a_caution_unless_the_organisation_holds(self, inside: Team):
        """Existing organisations go on working; a setting, of one location too, makes it a hold."""
        assert codes(inside.noor) == []
        assert any("screening" in note for note in safety(inside.noor).notes)

        set_safety(
            actor=inside.cast.owner.actor,
            new=NewSettings(location_id=inside.cast.harbour.id, missing_screening_holds=True),
        )

        assert codes(inside.noor) == ["screening_missing"]
        assert codes(inside.bram) == []
        with pytest.raises(Invalid):
            release_hold(
                actor=inside.cast.owner.actor, athlete=inside.noor, code="screening_missing",
                cause=inside.noor.id, reason="Knows her.", now=NOW,
            )  # fmt: skip

    def test_who_is_held_by_a_setting_does_not_wait_for_the_sweep(self, inside: Team):
        """Their prescriptions are asked for beside those of moved sessions, never among what may wait."""
        Change.objects.all().delete()
        new = NewSettings(location_id=inside.cast.harbour.id, missing_screening_holds=True)
        set_safety(actor=inside.cast.owner.actor, new=new)
        asked = Change.objects.filter(kind="athlete").values_list("subject", "priority")
        assert dict(asked) == {inside.noor.id: 1, inside.ayo.id: 1}

    def test_it_expires_after_twelve_months(self, inside: Team):
        """Valid the day before the anniversary, expired on it; a new one ends that at once."""
        screened(inside, inside.noor)
        anniversary = dt.date(TODAY.year + 1, TODAY.month, TODAY.day)
        assert codes(inside.noor, anniversary - dt.timedelta(days=1)) == []
        assert codes(inside.noor, anniversary) == ["screening_expired"]
        assert safety(inside.noor, anniversary).hold.since == anniversary
        screened(inside, inside.noor, now=NOW + dt.timedelta(days=300))
        assert codes(inside.noor, anniversary) == []

    @pytest.mark.parametrize(
        ("answered", "expires"),
        [((2028, 2, 29), (2029, 2, 28)), ((2027, 2, 28), (2028, 2, 28)), ((2030, 12, 31), (2031, 12, 31))],
    )
    def test_a_year_is_a_calendar_year(self, answered, expires):
        """29 February expires on the 28th."""
        assert question_set().expires_on(dt.date(*answered)) == dt.date(*expires)

    def test_it_is_void_when_something_changed(self, inside: Team):
        """Saying it twice is saying it once."""
        row = screened(inside, inside.noor)
        first = void_screening(actor=inside.cast.coach.actor, screening=row, now=NOW, note="New medicine.")
        again = void_screening(actor=inside.cast.coach.actor, screening=row, now=NOW)
        assert (first[1], again[1]) == (True, False) and first[0].id == again[0].id
        assert codes(inside.noor) == ["screening_expired"]

    @pytest.mark.parametrize("key", sorted(question_set().keys))
    def test_any_yes_holds(self, inside: Team, key):
        """Whatever the question; the habit of effort is none of them."""
        screened(inside, inside.noor, key, used=False)
        assert codes(inside.noor) == ["screening_yes"]

    def test_a_yes_holds_until_a_named_person_releases_it(self, inside: Team):
        """Not the athlete, also not by answering no the next time; the release has a reason and stays."""
        own = inside.cast.athlete.actor
        screened(inside, inside.ayo, "chest_pain", actor=own)
        screened(inside, inside.ayo, actor=own)
        assert codes(inside.ayo) == ["screening_yes"]
        with pytest.raises(Forbidden):
            release(inside, inside.ayo, member=inside.cast.athlete)
        row, created = release(inside, inside.ayo)
        assert created and codes(inside.ayo) == []
        assert (row.released_by_id, row.reason) == (inside.cast.staff.person.id, "Seen and talked through.")
        screened(inside, inside.ayo, "medication", actor=own)
        assert codes(inside.ayo) == ["screening_yes"]

    def test_who_is_staff_and_athlete_does_not_release_themselves(self, inside: Team):
        """Whatever the role."""
        Athlete.objects.filter(id=inside.noor.id).update(person_id=inside.cast.owner.person.id)
        noor = Athlete.objects.get(id=inside.noor.id)
        screened(inside, noor, "chest_pain")
        with pytest.raises(OwnHold):
            release(inside, noor, member=inside.cast.owner)

    def test_over_45_and_not_used_to_effort_is_advised_to_ask(self, inside: Team):
        """From the 46th birthday on, and only who is not used to it."""
        born = dt.date(TODAY.year - 46, TODAY.month, TODAY.day)
        for day, used, advised in ((0, False, True), (1, False, False), (0, True, False)):
            Athlete.objects.filter(id=inside.noor.id).update(born_on=born + dt.timedelta(days=day))
            screened(inside, inside.noor, used=used)
            assert any("over 45" in note for note in safety(inside.noor).notes) == advised

    def test_unknown_and_missing_answers_are_named(self, inside: Team):
        """Each with its place; nothing is stored."""
        with pytest.raises(Invalid) as refused:
            record_screening(
                actor=inside.cast.coach.actor, athlete=inside.noor, version=99,
                answers={"chest_pain": False, "shoe_size": True}, used_to_vigorous_effort=True, now=NOW,
            )  # fmt: skip
        places = {error.pointer for error in refused.value.errors}
        assert {"#/question_set", "#/answers/shoe_size", "#/answers/medication"} <= places


class TestReports:
    def test_strong_pain_holds_until_it_is_released(self, inside: Team):
        """From 7 on; mild pain is a caution with the site in it."""
        reported(inside, inside.noor, told(6))
        assert codes(inside.noor) == []
        assert "knee" in " ".join(safety(inside.noor).notes)
        reported(inside, inside.noor, told(7, site="hip"))
        assert codes(inside.noor) == ["pain"]
        release(inside, inside.noor)
        assert codes(inside.noor) == []

    def test_repeated_pain_at_one_place_holds(self, inside: Team):
        """The same site and side within two weeks; another side, or a remark below 3, does not."""
        for report in (told(3, days=20), told(3, days=2), told(4, side="right", days=1), told(2, days=1)):
            reported(inside, inside.noor, report)
            assert codes(inside.noor) == []
        reported(inside, inside.noor, told(3, days=0))
        assert codes(inside.noor) == ["pain"]

    def test_who_has_strong_pain_is_offered_no_light_work_on_that_day(self, inside: Team):
        """As the advice beside it says; the strongest pain that nobody has released decides, not the newest."""
        light = "Light work of what does not hurt"
        for report in (told(3, days=1), told(3, days=0)):
            reported(inside, inside.noor, report)
        assert safety(inside.noor).hold.safe_alternative.startswith(light)
        reported(inside, inside.noor, told(8, site="hip"))
        assert safety(inside.noor).hold.safe_alternative.startswith("Nothing more on the day")
        reported(inside, inside.noor, told(4))
        assert safety(inside.noor).hold.safe_alternative.startswith("Nothing more on the day")

    def test_a_release_covers_nothing_that_comes_later(self, inside: Team):
        """Each report after it holds anew."""
        reported(inside, inside.noor, told(8, days=3))
        reported(inside, inside.noor, told(9, days=2))
        row, _ = release(inside, inside.noor)
        assert len(row.covers) == 2 and codes(inside.noor) == []
        reported(inside, inside.noor, told(8, days=1))
        assert codes(inside.noor) == ["pain"]

    def test_what_came_while_somebody_was_releasing_is_not_released(self, inside: Team):
        """The release names what was read; a newer report of the same kind goes on holding."""
        read = reported(inside, inside.noor, told(8, days=3))
        newer = reported(inside, inside.noor, told(9, days=2))
        release_hold(
            actor=inside.cast.staff.actor, athlete=inside.noor, code="pain", cause=read.id, reason="Gone.", now=NOW
        )  # fmt: skip
        assert safety(inside.noor).hold.cause == newer.id

    def test_a_sign_of_an_emergency_holds_at_once_and_comes_first(self, inside: Team):
        """Only owner or coach release it; of several holds it is the one that is told."""
        screened(inside, inside.noor, "chest_pain")
        reported(inside, inside.noor, told(8))
        reported(inside, inside.noor, told(kind="red_flag", sign="chest_pain", days=0))
        assert codes(inside.noor) == ["red_flag", "screening_yes", "pain"]
        with pytest.raises(NotYourHold):
            release(inside, inside.noor)
        ReportReview.objects.update(acknowledged_at=NOW, acknowledged_by=inside.cast.coach.person)
        release(inside, inside.noor, member=inside.cast.coach, cleared_by="Dr. Aalto: may train.")
        assert codes(inside.noor) == ["screening_yes", "pain"]

    def test_pain_of_which_nobody_said_how_strong_it_is_holds(self, inside: Team):
        """It may be strong; told later to be mild, that is another report, and a person looks at the first."""
        reported(inside, inside.noor, told(None, site="", side=""))
        assert codes(inside.noor) == ["pain"]
        assert any("place not said" in note for note in safety(inside.noor).notes)
        reported(inside, inside.noor, told(1))
        assert codes(inside.noor) == ["pain"]

    @pytest.mark.parametrize(("site", "side"), [("", ""), ("knee", ""), ("", "left")])
    def test_what_nobody_said_may_be_the_same_place(self, inside: Team, site, side):
        """So moderate pain twice holds; at another place that was said it does not."""
        reported(inside, inside.noor, told(4, site=site, side=side, days=3))
        reported(inside, inside.noor, told(4))
        assert codes(inside.noor) == ["pain"]
        reported(inside, inside.bram, told(4, site="hip", days=3))
        reported(inside, inside.bram, told(4))
        assert codes(inside.bram) == []

    def test_a_report_is_stored_once(self, inside: Team):
        """The same client_id with the same content is the same report."""
        one = reported(inside, inside.noor, told(8), client_id="phone-7")
        assert reported(inside, inside.noor, told(8), client_id="phone-7").id == one.id

    @pytest.mark.parametrize(
        "bad",
        [told(11), told(4, site="soul"), told(4, side="inner"), told(kind="red_flag", sign="doubt")],
    )
    def test_what_is_not_known_is_no_report(self, inside: Team, bad):
        """The words and the scale are ours; an emergency has a sign."""
        with pytest.raises(Invalid):
            create_report(actor=inside.cast.coach.actor, athlete=inside.noor, told=bad, now=NOW)


def test_staff_hold_for_reasons_of_their_own(inside: Team):
    """Not of another location; releasing twice is releasing once."""
    hold, _ = set_hold(actor=inside.cast.staff.actor, athlete=inside.noor, reason="Fever.", now=NOW)
    with pytest.raises(Forbidden):
        set_hold(actor=inside.cast.staff.actor, athlete=inside.bram, reason="Fever.", now=NOW)
    assert codes(inside.noor) == ["set_by_staff"] and safety(inside.noor).hold.cause == hold.id
    actor = inside.cast.coach.actor
    for _ in range(2):
        release_hold(
            actor=actor,
            athlete=inside.noor,
            code="set_by_staff",
            cause=hold.id,
            reason="Well again.",
            now=NOW,
        )
    assert codes(inside.noor) == [] and HoldRelease.objects.count() == 1
    assert Change.objects.filter(kind="athlete", subject=inside.noor.id).exists()


def test_what_was_done_is_read_by_movement_and_day(inside: Team):
    """Tests count, replaced ones do not; older than four weeks is left out."""
    inside.weigh(inside.noor, 68.0, days=60)
    inside.test(inside.noor, "pull_up", 9, days=3)
    inside.test(inside.noor, "pull_up", 7, days=40)
    note_tests(athlete_id=inside.noor.id)
    note_tests(athlete_id=inside.noor.id)
    assert WorkDone.objects.count() == 2
    [done] = safety(inside.noor).recent_failure
    assert (done.movement_id, done.repetitions, done.failure_repetitions) == (
        inside.movement("pull_up"),
        9,
        9,
    )
    assert done.day == days_ago(3).date().toordinal()


def test_safety_costs_the_same_for_all(inside: Team):
    """Two queries for one athlete and for thirty."""
    made = Athlete.objects.bulk_create(
        Athlete(org_id=inside.cast.org.id, name=f"A {n}", location=inside.cast.harbour, zone="UTC")
        for n in range(30)
    )
    for athlete in made[:12]:
        screened(inside, athlete, "chest_pain")
        reported(inside, athlete, told(8))
    for few in (made[:1], made):
        with CaptureQueriesContext(connection) as queries:
            found = safeties([one.id for one in few], TODAY)
        assert len(queries) == 2 and len(found) == len(few)


def test_nobody_silent_is_asked_without_a_session(inside: Team):
    """The question belongs to a session to come."""
    work(inside, inside.noor, "kettlebell_swing", 90, 60)
    assert ask_about_silence(athlete_id=inside.noor.id, now=NOW, until=NOW + dt.timedelta(days=7)) is None
