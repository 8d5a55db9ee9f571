"""Safety over HTTP: what an emergency is answered with, who reads what, who is told first."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.emergency import recipient_for
from athletes.guidance import question_set, texts
from athletes.models import Absence, AbsenceAnswer, Athlete, HoldRelease, Report, ReportReview, Screening
from services.tenancy.models import Membership
from tests.athletes.conftest import Team
from tests.support.api import assert_problem

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.athletes.urls")]


def at(team: Team, rest: str, athlete: Athlete | None = None) -> str:
    return team.path(f"athletes/{(athlete or team.ayo).id}/{rest}")


def flag(**more: Any) -> dict[str, Any]:
    return {"kind": "red_flag", "sign": "chest_pain", "happened_at": timezone.now().isoformat(), **more}


def pain(**more: Any) -> dict[str, Any]:
    told = {"kind": "pain", "site": "knee", "side": "left", "severity": 8}
    return {**told, "happened_at": timezone.now().isoformat(), **more}


def answers(*yes: str) -> dict[str, Any]:
    asked = question_set()
    told = {key: key in yes for key in asked.keys}
    return {"question_set": asked.version, "answers": told, "used_to_vigorous_effort": True}


def holds(team: Team, member: Any = None) -> list[dict[str, Any]]:
    response = team.client(member or team.cast.coach).get(at(team, "holds"))
    found: list[dict[str, Any]] = response.json()["holds"]
    return found


class TestEmergency:
    def test_the_answer_says_what_to_do_now(self, team: Team):
        """With the default text, the person who hears of it, and a hold from the next moment on."""
        response = team.client(team.cast.athlete).post(at(team, "reports"), flag())
        assert response.status_code == 201
        body = response.json()
        assert body["emergency"]["number"] == "the local emergency number"
        assert "emergency number" in body["emergency"]["text"]
        assert body["recipient"]["name"] == team.cast.owner.person.name
        [hold] = holds(team, team.cast.athlete)
        assert hold["code"] == "red_flag" and hold["safe_alternative"] and "physician" in hold["released_by"]

    @pytest.mark.parametrize("owners", [True, False])
    def test_nobody_has_to_be_named_for_the_words_to_come(self, team: Team, owners: bool):
        """Settings without a recipient: an owner hears of it; without an active one nobody does, the words come all
        the same, and again with the same report sent again."""
        client, told = team.client(team.cast.athlete), flag(client_id="phone-3")
        sent = {
            "emergency_number": "112",
            "emergency_text": "Defibrillator beside the door.",
            "recipient": None,
        }
        assert team.client(team.cast.owner).post(team.path("safety-settings"), sent).status_code == 201
        if not owners:
            with team.cast.inside():
                Membership.objects.filter(role="owner").update(is_active=False)
        for status in (201, 200):
            response = client.post(at(team, "reports"), told)
            assert response.status_code == status
            body = response.json()
            assert body["emergency"] == {"number": "112", "text": "Defibrillator beside the door."}
            expected = team.cast.owner.person.name if owners else None
            assert (body["recipient"] and body["recipient"]["name"]) == expected
        assert [hold["code"] for hold in holds(team)] == ["red_flag"]

    def test_the_place_may_have_a_number_and_words_of_its_own(self, team: Team):
        """The location's before the organisation's; the recipient too, while active and in sight of the place."""
        owner = team.client(team.cast.owner)
        owner.post(team.path("safety-settings"), {"emergency_number": "999"})
        local = {
            "location": str(team.cast.harbour.id),
            "emergency_number": "112",
            "emergency_text": "Defibrillator beside the door.",
            "recipient": str(team.cast.staff.actor.membership_id),
        }
        assert owner.post(team.path("safety-settings"), local).status_code == 201
        body = team.client(team.cast.athlete).post(at(team, "reports"), flag()).json()
        assert body["emergency"] == {"number": "112", "text": "Defibrillator beside the door."}
        assert body["recipient"]["name"] == team.cast.staff.person.name
        elsewhere = owner.get(team.path(f"safety-settings?location={team.cast.mill.id}")).json()
        assert elsewhere["emergency"]["number"] == "999"

        with team.cast.inside():
            Membership.objects.filter(id=team.cast.staff.actor.membership_id).update(is_active=False)
            assert recipient_for(team.cast.harbour.id).person_id == team.cast.owner.person.id

    def test_a_recipient_must_see_the_reports(self, team: Team):
        """Staff of the harbour get nothing of the mill; an athlete gets nothing at all."""
        owner = team.client(team.cast.owner)
        for member, place in ((team.cast.staff, team.cast.mill), (team.cast.athlete, team.cast.harbour)):
            sent = {"location": str(place.id), "recipient": str(member.actor.membership_id)}
            response = owner.post(team.path("safety-settings"), sent)
            assert_problem(response, "invalid_input", 400, at="#/recipient")

    def test_it_is_stored_once_and_answered_twice(self, team: Team):
        """On a bad network the same report is sent again: the text comes again, no second report does."""
        client, sent = team.client(team.cast.athlete), flag(client_id="phone-1")
        first, again = client.post(at(team, "reports"), sent), client.post(at(team, "reports"), sent)
        assert (first.status_code, again.status_code) == (201, 200)
        assert again.json()["id"] == first.json()["id"] and again.json()["emergency"]

    def test_dark_urine_is_answered_with_what_it_may_mean(self, team: Team):
        """The guidance on it stands in the answer."""
        body = team.client(team.cast.athlete).post(at(team, "reports"), flag(sign="dark_urine")).json()
        assert {one.text for one in texts() if one.key == "rhabdomyolysis_signs"} <= set(body["advice"])

    @pytest.mark.parametrize(("severity", "key"), [(6, "pain"), (7, "strong_pain"), (10, "strong_pain")])
    def test_strong_pain_is_answered_with_the_hold(self, team: Team, severity: int, key: str):
        """From 7 on: that the athlete is held now, who releases it, and the stronger words; below as before."""
        body = team.client(team.cast.athlete).post(at(team, "reports"), pain(severity=severity)).json()
        assert body["advice"] == [one.text for one in texts() if one.key == key]
        held = holds(team)
        assert body["hold"] == (held[0] if held else None)
        assert bool(held) is (severity >= 7)
        if held:
            assert body["hold"]["cause"] == body["id"]
            assert "not the athlete" in body["hold"]["released_by"]

    def test_what_nobody_has_acknowledged_comes_first(self, team: Team):
        """Acknowledged once, by one person, with the time; another person is told so."""
        coach = team.client(team.cast.coach)
        ids = [coach.post(at(team, "reports"), told).json()["id"] for told in (flag(), pain(), flag())]
        done = coach.post(team.path(f"reports/{ids[0]}/acknowledgements"), {"note": "On my way."})
        assert done.status_code == 201
        assert done.json()["acknowledged_by"] == str(team.cast.coach.person.id)
        listed = [row["id"] for row in coach.get(team.path("reports")).json()["items"]]
        assert listed == [ids[1], ids[2], ids[0]]
        waiting = coach.get(team.path("reports?acknowledged=false&kind=red_flag")).json()["items"]
        assert [row["id"] for row in waiting] == [ids[2]]
        again = coach.post(team.path(f"reports/{ids[0]}/acknowledgements"), {})
        assert again.status_code == 200
        other = team.client(team.cast.owner).post(team.path(f"reports/{ids[0]}/acknowledgements"), {})
        assert_problem(other, "already_acknowledged", 409)
        assert [hold["code"] for hold in holds(team)] == ["red_flag", "pain"]


class TestWhoReadsWhat:
    def test_location_staff_see_the_hold_and_not_the_answers(self, team: Team):
        """Owner, coach and the athlete read what was answered; staff read what follows from it."""
        team.client(team.cast.athlete).post(at(team, "screenings"), answers("chest_pain"))
        for member in (team.cast.owner, team.cast.coach, team.cast.athlete):
            [row] = team.client(member).get(at(team, "screenings")).json()["items"]
            assert row["answers"]["chest_pain"] is True and row["answers_reason"] is None
        response = team.client(team.cast.staff).get(at(team, "screenings"))
        [row] = response.json()["items"]
        assert (row["answers"], row["answers_reason"]) == (None, "health_data")
        assert b"chest_pain" not in response.content
        assert [hold["code"] for hold in holds(team, team.cast.staff)] == ["screening_yes"]

    def test_the_questions_and_the_guidance_are_for_everybody(self, team: Team):
        """With version and sources; no text speaks of the probability of anything."""
        client = team.client(team.cast.athlete)
        asked = client.get(team.path("screening-questions")).json()
        assert asked["version"] == 1 and len(asked["questions"]) == 8
        items = client.get(team.path("guidance")).json()["items"]
        assert all(item["source"] and item["certainty"] for item in items)
        assert {"emergency", "training_alone", "rhabdomyolysis_signs"} <= {item["key"] for item in items}

    def test_answers_are_yes_or_no(self, team: Team):
        """Nothing else, for each question."""
        sent = answers() | {"answers": {**answers()["answers"], "medication": "sometimes"}}
        response = team.client(team.cast.coach).post(at(team, "screenings"), sent)
        assert_problem(response, "invalid_input", 400, at="#/answers/medication")
        response = team.client(team.cast.coach).post(at(team, "screenings"), answers() | {"answers": [1]})
        assert_problem(response, "invalid_input", 400, at="#/answers")

    def test_a_hold_is_released_by_name_and_reason(self, team: Team):
        """The athlete may not; a blank reason is none; the release stays readable."""
        team.client(team.cast.athlete).post(at(team, "reports"), pain())
        [hold] = holds(team)
        sent = {"code": "pain", "cause": hold["cause"], "reason": "Gone since Tuesday."}
        refused = team.client(team.cast.athlete).post(at(team, "hold-releases"), sent)
        assert_problem(refused, "forbidden", 403)
        staff = team.client(team.cast.staff)
        assert_problem(
            staff.post(at(team, "hold-releases"), {**sent, "reason": " "}),
            "invalid_input",
            400,
            at="#/reason",
        )
        assert staff.post(at(team, "hold-releases"), sent).status_code == 201
        assert holds(team) == []
        [row] = staff.get(at(team, "hold-releases")).json()["items"]
        assert (row["released_by"], row["reason"]) == (str(team.cast.staff.person.id), "Gone since Tuesday.")

    def test_a_red_flag_goes_by_what_somebody_licensed_said(self, team: Team):
        """Not by an "ok", not without who cleared it, not while any report it covers waits for somebody."""
        coach = team.client(team.cast.coach)
        earlier, later = (coach.post(at(team, "reports"), flag()).json()["id"] for _ in range(2))
        [hold] = holds(team)
        short = {"code": "red_flag", "cause": hold["cause"], "reason": " ok" + 20 * " "}
        body = assert_problem(coach.post(at(team, "hold-releases"), short), "invalid_input", 400)
        assert [(one["pointer"], one["code"]) for one in body["errors"]] == [
            ("#/reason", "too_short"),
            ("#/cleared_by", "required"),
        ]
        said = {"reason": "Heart looked at, nothing found.", "cleared_by": "Dr. Aalto: may train."}
        full = {**short, **said}
        for waiting in ([earlier, later], [earlier]):
            body = assert_problem(coach.post(at(team, "hold-releases"), full), "report_not_acknowledged", 409)
            assert [one["detail"].split()[3] for one in body["errors"]] == waiting
            assert [one["code"] for one in holds(team)] == ["red_flag"]
            coach.post(team.path(f"reports/{waiting[-1]}/acknowledgements"), {})
        assert coach.post(at(team, "hold-releases"), full).status_code == 201
        assert holds(team) == []
        [row] = coach.get(at(team, "hold-releases")).json()["items"]
        assert {name: row[name] for name in said} == said

    def test_a_screening_hold_has_nothing_to_release(self, team: Team):
        """An expired one ends by a new screening only."""
        row = team.client(team.cast.coach).post(at(team, "screenings"), answers()).json()
        void = team.client(team.cast.athlete).post(
            at(team, f"screenings/{row['id']}/voids"), {"note": "Ill."}
        )
        assert void.status_code == 201
        [hold] = holds(team)
        assert (hold["code"], hold["cause"]) == ("screening_expired", None)
        sent = {"code": "screening_expired", "cause": row["id"], "reason": "Fine."}
        refused = team.client(team.cast.owner).post(at(team, "hold-releases"), sent)
        assert_problem(refused, "invalid_input", 400, at="#/code")
        team.client(team.cast.athlete).post(at(team, "screenings"), answers())
        assert holds(team) == []


def _fill(team: Team, count: int) -> None:
    """Rows of every list, of `count` athletes and of ayo."""
    org, now, by = team.cast.org, timezone.now(), team.cast.coach.person
    day = now.date()
    made = Athlete.objects.bulk_create(
        Athlete(org=org, name=f"A {n}", location=team.cast.harbour, zone="UTC") for n in range(count - 1)
    )
    for whose in [[team.ayo, *made], [team.ayo] * (count - 1)]:
        reports = Report.objects.bulk_create(
            Report(
                org=org, athlete=one, kind="pain", site="knee", side="left", severity=9, happened_at=now,
                zone="UTC", local_date=day, reported_by=by,
            )
            for one in whose
        )  # fmt: skip
        ReportReview.objects.bulk_create(ReportReview(org=org, report=report) for report in reports)
    for n in range(count):
        Screening.objects.create(
            org=org, athlete=team.ayo, question_set=1, answers={}, concern=False, used_to_vigorous_effort=True,
            zone="UTC", local_date=day, expires_on=day + dt.timedelta(days=365), recorded_by=by,
        )  # fmt: skip
        first = day - dt.timedelta(days=40 * (n + 4) + count)
        absence = Absence.objects.create(
            org=org, athlete=team.ayo, origin="silence", from_date=first, to_date=first, peak_volumes={}
        )
        AbsenceAnswer.objects.create(
            org=org, athlete=team.ayo, absence=absence, trained=False, kind="returning", to_date=first,
            local_date=day, answered_by=by,
        )  # fmt: skip
        HoldRelease.objects.create(
            org=org, athlete=team.ayo, code="set_by_staff", cause=absence.id, covers=[], reason="Well.",
            local_date=day, released_by=by,
        )  # fmt: skip


PATHS = ("holds", "reports", "screenings", "absences", "hold-releases", "reports of one")


@pytest.mark.parametrize("name", PATHS)
def test_lists_cost_the_same_for_three_and_thirty(team: Team, name: str):
    """The number of queries does not grow with the rows."""
    counted = []
    team.client(team.cast.coach).get(team.path("guidance"))  # the first use of a token is noted in it
    for count in (3, 30):
        with team.cast.inside():
            _fill(team, count)
        own = name not in ("holds", "reports")
        path = at(team, name.removesuffix(" of one")) if own else team.path(name)
        with CaptureQueriesContext(connection) as queries:
            items = team.client(team.cast.coach).get(path).json()["items"]
        assert len(items) >= count
        counted.append(len(queries))
    assert counted[0] == counted[1]
