"""Return after an absence: asked, confirmed by people, eased in."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.actions.absences import Answer, answer_absence, report_absence
from athletes.actions.holds import release_hold
from athletes.models import Absence, Athlete, HoldRelease, WorkDone
from athletes.queries import confirmed_absences
from athletes.safety_errors import AbsenceAlreadyAnswered
from services.problems import Invalid
from tests.athletes.conftest import NOW, TODAY, Team
from tests.athletes.safety_support import codes, release, safety, work

pytestmark = pytest.mark.django_db


class TestReturn:
    """Somebody trained with 120 swings at most, and was then silent for 24 days."""

    @pytest.fixture
    def silent(self, inside: Team):
        for days, repetitions in ((24, 90), (31, 120), (200, 500)):
            work(inside, inside.noor, "kettlebell_swing", repetitions, days)
        row = Absence.objects.create(
            org_id=inside.cast.org.id, athlete=inside.noor, origin="silence",
            from_date=TODAY - dt.timedelta(days=23), to_date=TODAY - dt.timedelta(days=1),
            peak_volumes={str(inside.movement("kettlebell_swing")): 120.0},
        )  # fmt: skip
        return inside, row

    def answer(self, team, row, trained=False, *, actor=None, to=1, **more):
        return answer_absence(
            actor=actor or team.cast.staff.actor,
            absence=row,
            answer=Answer(trained=trained, to_date=TODAY - dt.timedelta(days=to), **more),
            now=NOW,
        )[0]

    def test_while_nobody_has_answered_the_light_version_is_offered(self, silent):
        """Held, with half of the former volume and nothing to failure."""
        team, row = silent
        found = safety(team.noor)
        assert (found.hold.code, found.hold.cause) == ("absence_unconfirmed", row.id)
        assert (found.volume_share, found.to_failure, found.returning_week) == (0.5, False, None)
        assert found.volume_caps[team.movement("kettlebell_swing")] == 60

    def test_confirmed_150_swings_become_60(self, silent):
        """Half of 120 in the first week and nothing to failure, 84 in the second, no restraint in the third."""
        team, row = silent
        self.answer(team, row)
        swing = team.movement("kettlebell_swing")
        first = safety(team.noor)
        assert first.hold is None
        assert min(150, first.volume_caps[swing]) == 60
        assert (first.to_failure, first.returning_week, first.return_week.max_sessions) == (False, 1, 3)
        assert any("50%" in note for note in first.notes)
        work(team, team.noor, "kettlebell_swing", 60, 0)
        for days, expected in ((6, (60, 1)), (7, (84, 2)), (13, (84, 2))):
            found = safety(team.noor, TODAY + dt.timedelta(days=days))
            assert (found.volume_caps[swing], found.returning_week) == expected
        over = safety(team.noor, TODAY + dt.timedelta(days=14))
        assert (over.volume_caps, over.volume_share, over.to_failure) == ({}, 1.0, True)

    def test_nobody_advances_by_staying_away(self, silent):
        """Three weeks later without training it is still the first week."""
        team, row = silent
        self.answer(team, row)
        assert safety(team.noor, TODAY + dt.timedelta(days=21)).returning_week == 1

    def test_four_weeks_after_rhabdomyolysis(self, silent):
        """50, 70, 80, 90 % of 120."""
        team, row = silent
        self.answer(team, row, kind="after_rhabdomyolysis")
        work(team, team.noor, "kettlebell_swing", 60, 0)
        swing = team.movement("kettlebell_swing")
        caps = [
            safety(team.noor, TODAY + dt.timedelta(days=7 * week)).volume_caps.get(swing) for week in range(5)
        ]
        assert caps == [60, 84, 96, 108, None]

    @pytest.mark.parametrize(
        ("kind", "caps"),
        [("returning", [15, 21, None]), ("new", [15, 21, 24]), ("after_rhabdomyolysis", [0, 0, 0])],
    )
    def test_a_single_is_no_volume_of_training(self, silent, kind, caps):
        """Half of one repetition is none: of a return from nothing but time it is half of an ordinary beginning of
        thirty, which is said; after an illness by heavy work it stays nothing, for a person to decide.
        """
        team, row = silent
        work(team, team.noor, "back_squat", 1, 30)
        self.answer(team, row, kind=kind)
        work(team, team.noor, "kettlebell_swing", 60, 0)
        squat = team.movement("back_squat")
        weeks = [safety(team.noor, TODAY + dt.timedelta(days=7 * week)) for week in range(3)]
        assert [found.volume_caps.get(squat) for found in weeks] == caps
        assert any("of 30 repetitions" in note for note in weeks[0].notes) == (caps[0] > 0)

    @pytest.mark.parametrize(("peak", "cap"), [(5, 15), (6, 3), (13, 6), (40, 20)])
    def test_what_was_trained_is_the_measure_however_little(self, silent, peak, cap):
        """Half of it, never more than it was; five repetitions and fewer were a test."""
        team, row = silent
        work(team, team.noor, "back_squat", peak, 30)
        self.answer(team, row, kind="returning")
        assert safety(team.noor, TODAY).volume_caps[team.movement("back_squat")] == cap

    def test_training_before_anybody_answered_does_not_answer(self, silent):
        """The question is about the days before."""
        team, _ = silent
        work(team, team.noor, "kettlebell_swing", 50, 0)
        assert codes(team.noor, TODAY + dt.timedelta(days=3)) == ["absence_unconfirmed"]
        assert codes(team.noor, TODAY + dt.timedelta(days=29)) == []

    def test_staff_who_say_that_there_was_training_release_by_that(self, silent):
        """With what was done; the day counts as training from then on."""
        team, row = silent
        self.answer(team, row, trained=True, what_was_done="Hotel gym, three times.", to=2)
        assert codes(team.noor) == []
        made = HoldRelease.objects.get()
        assert (made.released_by_id, made.reason) == (team.cast.staff.person.id, "Hotel gym, three times.")
        assert WorkDone.objects.get(source="statement").local_date == TODAY - dt.timedelta(days=2)
        assert confirmed_absences(team.noor.id) == []

    def test_the_athlete_s_own_denial_waits_for_a_named_person(self, silent):
        """The hold stays until somebody else says so too."""
        team, row = silent
        Athlete.objects.filter(id=team.noor.id).update(person_id=None)
        Athlete.objects.filter(id=team.ayo.id).update(person_id=None)
        Athlete.objects.filter(id=team.noor.id).update(person_id=team.cast.athlete.person.id)
        row.refresh_from_db()
        own = team.cast.athlete.actor
        self.answer(team, row, trained=True, what_was_done="Runs.", actor=own)
        assert codes(team.noor) == ["absence_unconfirmed"]
        release(team, Athlete.objects.get(id=team.noor.id))
        assert codes(team.noor) == []
        assert WorkDone.objects.filter(source="statement").count() == 1

    def test_an_absence_has_one_answer(self, silent):
        """The same once more is the same row; another one is a conflict."""
        team, row = silent
        assert self.answer(team, row).id == self.answer(team, row).id
        with pytest.raises(AbsenceAlreadyAnswered):
            self.answer(team, row, to=5)

    def test_a_release_before_the_answer_is_no_conflict(self, silent):
        """Released by one person, then said to have trained by another: one release stays, the first."""
        team, row = silent
        release(team, team.noor, member=team.cast.coach)
        self.answer(team, row, trained=True, what_was_done="Hotel gym.", to=2)
        assert HoldRelease.objects.get().released_by_id == team.cast.coach.person.id

    @pytest.mark.parametrize(("trained", "days"), [(False, 400), (True, 1)])
    def test_nobody_speaks_for_years_ahead(self, silent, trained, days):
        """An absence of more than a year to come, and training of tomorrow, are refused."""
        team, row = silent
        with pytest.raises(Invalid):
            self.answer(team, row, trained=trained, what_was_done="Runs.", to=-days)

    def test_confirmed_absences_are_day_ranges(self, silent):
        """What capacity takes; a release afterwards takes one back."""
        team, row = silent
        assert confirmed_absences(team.noor.id) == []
        self.answer(team, row)
        [found] = confirmed_absences(team.noor.id)
        assert (found.from_date, found.to_date) == (row.from_date, TODAY - dt.timedelta(days=1))
        release_hold(
            actor=team.cast.staff.actor, athlete=team.noor, code="absence_unconfirmed", cause=row.id,
            reason="The log was on paper.", now=NOW,
        )  # fmt: skip
        assert confirmed_absences(team.noor.id) == [] and safety(team.noor).volume_share == 1.0

    def test_an_absence_may_be_told_before_it_is_asked(self, inside: Team):
        """Illness by heat, told by the coach: four weeks from the first day back, by the peaks of before."""
        work(inside, inside.noor, "kettlebell_swing", 100, 9)
        row, _ = report_absence(
            actor=inside.cast.coach.actor, athlete=inside.noor, from_date=TODAY - dt.timedelta(days=8),
            to_date=TODAY - dt.timedelta(days=2), kind="after_heat_illness", now=NOW,
        )  # fmt: skip
        assert row.peak_volumes == {str(inside.movement("kettlebell_swing")): 100.0}
        assert safety(inside.noor).volume_caps[inside.movement("kettlebell_swing")] == 50
