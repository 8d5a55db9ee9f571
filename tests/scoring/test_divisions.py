"""Own amounts and own versions in scores and divisions; who is left out of a ranking; old rules."""

import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.absences import Answer, answer_absence, report_absence
from athletes.actions.holds import release_hold
from athletes.models import Absence
from athletes.safety import Safety
from programming.actions import templates
from scoring import entries
from scoring.models import OfficialScore, Prescription, Ranking
from tests.scoring.several import a_set, place, send
from tests.support.world import SESSION, World, add_athlete, drain, make_world

ROW = {"work": "a", "variation": "row_45", "load_kg": None, "assistance_kg": None, "height_cm": None}
SQUAT = {**ROW, "work": "b", "variation": "goblet_squat", "load_kg": 16.0}


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    for name, mass in (("Bruna Keel", 62.0), ("Idris Vane", 84.0)):
        add_athlete(world, name, mass)
    return world


def with_own_amounts(world, name):
    """A prescription of 40 of the 60 rows; the squats as written."""
    work = [
        {**ROW, "repetitions": 40, "amount_as_written": False},
        {**SQUAT, "repetitions": 80, "amount_as_written": True},
    ]
    with world.cast.inside():
        number = Prescription.objects.filter(athlete=world.athletes[name]).count() + 1
        Prescription.objects.create(
            org_id=world.cast.org.id, session=world.session, athlete=world.athletes[name], number=number,
            feasible=True, content={"as_written": False, "work": work, "plan": []}, forecast=None,
            basis={"capacities": {}}, fingerprint="3" * 64, method_version=1,
            issued_at=timezone.now() - dt.timedelta(hours=1),
        )  # fmt: skip


def log_of(rows, ended_by="planned", elapsed_s=600):
    """These sets of rows, and 80 squats after the first."""
    sets = [a_set("a", "row_45", repetitions=count) for count in rows]
    sets.insert(1, a_set("b", "goblet_squat", repetitions=80, load_kg=16))
    sets[-1]["ended_by"] = ended_by
    return {"set_log": {"sets": sets, "elapsed_s": elapsed_s}}


def stored(world):
    """By name: (state, value, own amounts, division, rank)."""
    with world.cast.inside():
        rows = {row["athlete"]: row for row in Ranking.objects.get(session=world.session).official}
        scores = {str(one.athlete_id): one for one in OfficialScore.objects.filter(session=world.session)}
    return {
        name: (
            scores[key].state, scores[key].value, scores[key].own_amounts,
            rows[key]["division"], rows[key]["rank"],
        )
        for name, athlete in world.athletes.items()
        if (key := str(athlete.id)) in rows
    }  # fmt: skip


@pytest.mark.django_db
def test_own_amounts_finish_and_are_ones_own_version(world):
    """25* and 15 of 40 rows are all of them: 600 + 20; 60 rows by the same one are as written."""
    drain(world.cast)
    for name in world.athletes:
        with_own_amounts(world, name)
    send(world, world.session, "Bruna Keel", **log_of([25, 15]))
    send(world, world.session, "Idris Vane", **log_of([40, 20]))
    drain(world.cast)

    assert stored(world) == {
        "Bruna Keel": ("finished", 620.0, True, "own_version", 1),
        "Idris Vane": ("finished", 620.0, False, "as_written", 1),
    }


@pytest.mark.django_db
def test_who_returns_after_an_absence_has_no_place(world, monkeypatch):
    """A ranking must not push somebody in the first weeks back; the score is there."""
    returning = {world.athletes["Bruna Keel"].id: Safety(returning_week=2)}
    monkeypatch.setattr(entries, "safeties", lambda ids, day: returning)
    for name in world.athletes:
        send(world, world.session, name, **log_of([40, 20]))
    drain(world.cast)

    found = stored(world)
    assert (found["Bruna Keel"][1], found["Bruna Keel"][4]) == (620.0, None)
    assert found["Idris Vane"][4] == 1
    with world.cast.inside():
        ranking = Ranking.objects.get(session=world.session)
        reasons = {row["athlete"]: row["rank_reason"] for row in ranking.official}
        notes = {row["athlete"]: row["notes"] for row in ranking.by_forecast["rows"]}
    key = str(world.athletes["Bruna Keel"].id)
    assert (reasons[key], notes[key]) == ("returning", ["not_eligible"])


def rank_reasons(world):
    """By name, in the ranking as it is once everything asked for has been computed."""
    drain(world.cast)
    with world.cast.inside():
        rows = {row["athlete"]: row for row in Ranking.objects.get(session=world.session).official}
    return {name: rows[str(athlete.id)]["rank_reason"] for name, athlete in world.athletes.items()}


@pytest.mark.django_db
@pytest.mark.parametrize("told", ["reported", "confirmed"])
def test_an_absence_moves_the_rankings_without_a_new_result(world, told):
    """Told after the results are ranked it takes the place away, and its release gives it back."""
    bruna, actor, now = world.athletes["Bruna Keel"], world.cast.coach.actor, timezone.now()
    first, last = now.date() - dt.timedelta(days=20), now.date() - dt.timedelta(days=1)
    for name in world.athletes:
        send(world, world.session, name, **log_of([40, 20]))
    assert rank_reasons(world)["Bruna Keel"] is None
    with world.cast.inside():
        if told == "reported":
            row, _ = report_absence(
                actor=actor, athlete=bruna, from_date=first, to_date=last, kind="returning", now=now
            )
        else:
            row = Absence.objects.create(
                org=world.cast.org, athlete=bruna, origin="silence", from_date=first, to_date=last, peak_volumes={}
            )  # fmt: skip
            answer_absence(actor=actor, absence=row, answer=Answer(False, last), now=now)
    assert rank_reasons(world) == {"Bruna Keel": "returning", "Idris Vane": None}
    with world.cast.inside():
        release_hold(
            actor=actor, athlete=bruna, code="absence_unconfirmed", cause=row.id, reason="Not her.", now=now
        )
    assert rank_reasons(world)["Bruna Keel"] is None


@pytest.mark.django_db
@pytest.mark.parametrize(("version", "breaks"), [(1, 2), (2, 1)])
def test_a_session_keeps_the_rules_of_its_publication(world, monkeypatch, version, breaks):
    """30* 80 10>: the set that the clock ended was a break under version 1, and is none since."""
    monkeypatch.setattr(templates, "RULES_VERSION", version)
    session = place(world, {**SESSION, "title": f"Version {version}"})
    send(world, session, "Bruna Keel", **log_of([30, 10], "clock", 1800))
    drain(world.cast)

    with world.cast.inside():
        score = OfficialScore.objects.get(session=session)
        assert (score.state, score.value, score.breaks, score.rules_version) == (
            "capped", 120.0, breaks, version,
        )  # fmt: skip
