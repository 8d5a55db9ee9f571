"""What the tests of safety have in common."""

from __future__ import annotations

from athletes.actions.holds import release_hold
from athletes.actions.reports import Told, create_report
from athletes.actions.screenings import record_screening
from athletes.actions.work import WorkRow, replace_work
from athletes.guidance import question_set
from athletes.safeties import safeties
from tests.athletes.conftest import NOW, TODAY, days_ago


def safety(athlete, day=TODAY):
    return safeties([athlete.id], day)[athlete.id]


def codes(athlete, day=TODAY):
    return [hold.code for hold in safety(athlete, day).holds]


def screened(team, athlete, *yes, actor=None, now=NOW, **more):
    answers = {key: key in yes for key in question_set().keys}
    return record_screening(
        actor=actor or team.cast.coach.actor,
        athlete=athlete,
        version=question_set().version,
        answers=answers,
        used_to_vigorous_effort=more.pop("used", True),
        now=now,
        **more,
    )[0]


def told(severity=4, *, site="knee", side="left", days=1, kind="pain", sign=""):
    if kind == "red_flag":
        return Told(kind=kind, sign=sign, happened_at=days_ago(days))
    return Told(kind=kind, site=site, side=side, severity=severity, happened_at=days_ago(days))


def reported(team, athlete, report, **more):
    return create_report(actor=team.cast.coach.actor, athlete=athlete, told=report, now=NOW, **more)[0].report


def release(team, athlete, *, member=None, reason="Seen and talked through.", **more):
    hold = safety(athlete).hold
    actor = (member or team.cast.staff).actor
    return release_hold(
        actor=actor, athlete=athlete, code=hold.code, cause=hold.cause, reason=reason, now=NOW, **more
    )


def work(team, athlete, key, repetitions, days, *, failure=0.0, by=None):
    """A result with so many repetitions."""
    source = athlete.id.__class__(int=days * 1000 + repetitions)
    row = WorkRow(
        source, team.movement(key), days_ago(days).date(), repetitions, failure, 0.5,
        (by or team.cast.coach).person.id,
    )  # fmt: skip
    replace_work(athlete_id=athlete.id, source="attempt", source_ids=[source], rows=[row])
