"""Load days: their states, late entries, midnight and the change of clocks; writing from a day on is writing all."""

from __future__ import annotations

import datetime as dt
import random

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.loads import BEGINNING, DoneSession
from athletes.actions.training_logs import (
    Trained,
    change_training_log,
    confirm_rest,
    log_training,
    remove_training_log,
    take_rest_back,
)
from athletes.calc.running_load import RunningLoad, figures
from athletes.loads import known_up_to
from athletes.models import LoadDay, LoadSummary
from tests.athletes.conftest import NOW, Team, days_ago
from tests.athletes.load_support import write_all

pytestmark = pytest.mark.django_db

DERIVED_DAY = (
    "local_date",
    "state",
    "load_au",
    "minutes",
    "sessions",
    "sessions_without_load",
    "by_modality",
)
DERIVED = ("local_date", "days", "acute_total", "acute_weight", "chronic_total", "chronic_weight")


def rows(athlete):
    days = LoadDay.objects.filter(athlete=athlete).order_by("local_date")
    told = LoadSummary.objects.filter(athlete=athlete).order_by("local_date")
    return list(days.values_list(*DERIVED_DAY)), list(told.values_list(*DERIVED))


def log(team: Team, started_at: dt.datetime, effort: float = 5.0, minutes: float = 60.0, modality="class"):
    trained = Trained(modality, effort, minutes, started_at)
    return log_training(actor=team.cast.coach.actor, athlete=team.noor, trained=trained, now=NOW)[0]


def rest(team: Team, day: dt.date):
    return confirm_rest(actor=team.cast.coach.actor, athlete=team.noor, day=day, now=NOW)[0]


def test_the_states_of_a_day(inside: Team):
    """Reported, rest, nothing said, and a session of which nobody said how hard or how long it was."""
    log(inside, days_ago(5), 4, 30, "running")
    log(inside, days_ago(5), 6, 50)
    rest(inside, days_ago(4).date())
    rest(inside, days_ago(5).date())
    results = [
        DoneSession(days_ago(2).date(), "programme", 7.0, None),
        DoneSession(days_ago(1).date(), "programme", 8.0, 50.0),
    ]
    write_all(inside.noor, results)
    days, told = rows(inside.noor)
    assert [day[1:6] for day in days] == [
        ("reported", 420.0, 80.0, 2, 0),
        ("rest", 0.0, 0.0, 0, 0),
        ("unreported", None, 0.0, 0, 0),
        ("incomplete", None, 0.0, 1, 1),
        ("reported", 400.0, 50.0, 1, 0),
    ]
    assert days[0][6] == {"class": [300.0, 50.0, 1], "running": [120.0, 30.0, 1]}
    assert [row[1] for row in told] == [1, 2, 3, 4, 5]


def test_before_the_first_known_load_no_day_counts(inside: Team):
    """A session without minutes is a day that is named, and none that the means begin with."""
    log(inside, days_ago(1), 5, 60)
    results = [DoneSession(days_ago(9).date(), "programme", None, 40.0)]
    write_all(inside.noor, results)
    days, told = rows(inside.noor)
    assert len(days) == 9 and [row[1] for row in told] == [0] * 8 + [1]
    known = known_up_to([inside.noor.id], days_ago(1).date())[inside.noor.id]
    assert known.state == RunningLoad().after(300.0)


@pytest.mark.parametrize(
    ("started_at", "day"),
    [
        ("2030-03-17T23:30:00+00:00", "2030-03-17"),  # across midnight: by its beginning
        ("2030-03-18T00:10:00+00:00", "2030-03-18"),
        ("2029-06-10T23:30:00+00:00", "2029-06-11"),  # Lisbon is an hour ahead in summer
        ("2029-03-25T00:50:00+00:00", "2029-03-25"),  # the clock goes from 1 to 2 at 01:00 UTC
        ("2029-10-28T00:30:00+00:00", "2029-10-28"),  # 1:30 happens twice
    ],
)
def test_the_day_on_which_it_began_by_the_clock_on_the_wall(inside: Team, started_at, day):
    log(inside, dt.datetime.fromisoformat(started_at))
    write_all(inside.noor)
    assert rows(inside.noor)[0][0][0].isoformat() == day


def test_an_entry_a_month_late_is_as_if_it_had_come_in_time(inside: Team):
    """Only the days since are written anew, and all figures of today follow."""
    for days in range(1, 60):
        log(inside, days_ago(days), days % 7 + 1, 45)
    write_all(inside.noor)
    untouched = LoadDay.objects.get(local_date=days_ago(31).date())
    late = log(inside, days_ago(30), 9, 120)
    write_all(inside.noor, since=late.local_date)
    after = rows(inside.noor)
    assert LoadDay.objects.get(local_date=days_ago(31).date()).id == untouched.id
    write_all(inside.noor)
    assert rows(inside.noor) == after
    known = known_up_to([inside.noor.id], days_ago(1).date())[inside.noor.id]
    loads = [day[2] for day in after[0]]
    assert known.state == RunningLoad().after_all(loads)
    assert figures(known.state).chronic.value == pytest.approx(sum(loads[-28:]) / 28)


@pytest.mark.parametrize("seed", range(6))
def test_writing_from_a_day_on_is_writing_all(inside: Team, seed):
    """After each of thirty random changes: something logged, corrected, moved, removed, rest said and taken back."""
    draw = random.Random(seed)
    actor, logs, rests = inside.cast.coach.actor, [], []
    for _ in range(30):
        day = draw.randrange(1, 45)
        kind = draw.choice(["log", "log", "rest", "change", "remove", "back"])
        since = days_ago(day).date()
        if kind == "log":
            logs.append(log(inside, days_ago(day), draw.randrange(11), draw.randrange(90)))
        elif kind == "rest":
            rests.append(rest(inside, since))
            rests = list({one.id: one for one in rests}.values())
        elif kind == "change" and logs:
            one = draw.choice(logs)
            since = min(one.local_date, since)
            change_training_log(
                actor=actor, log=one, expected=one.version, now=NOW, started_at=days_ago(day), effort=3.0
            )
        elif kind == "remove" and logs:
            one = logs.pop(draw.randrange(len(logs)))
            since = one.local_date
            remove_training_log(actor=actor, log=one, expected=one.version)
        elif kind == "back" and rests:
            one = rests.pop(draw.randrange(len(rests)))
            since = one.local_date
            take_rest_back(actor=actor, rest_day=one)
        else:
            continue
        write_all(inside.noor, since=since)
        from_there = rows(inside.noor)
        write_all(inside.noor)
        assert rows(inside.noor) == from_there, kind


@pytest.mark.parametrize("silent", [0, 1, 27, 28, 29, 200])
def test_what_is_known_of_a_later_day_is_what_the_days_themselves_tell(inside: Team, silent):
    """Beside somebody who logged yesterday: of four weeks and more of silence nothing is left in the windows."""
    for days in range(silent + 1, silent + 41):
        log(inside, days_ago(days), days % 7 + 1, 45)
    write_all(inside.noor)
    trained = Trained("class", 5.0, 60.0, days_ago(1))
    log_training(actor=inside.cast.coach.actor, athlete=inside.bram, trained=trained, now=NOW)
    write_all(inside.bram)
    day = days_ago(1).date()
    told = figures(known_up_to([inside.noor.id, inside.bram.id], day)[inside.noor.id].on(day))
    loads = [day[2] for day in rows(inside.noor)[0]]
    expected = figures(RunningLoad().after_all(loads + [None] * silent))
    assert told[:-3] == expected[:-3]
    assert told.weighted_acute.value == pytest.approx(expected.weighted_acute.value)
    assert told.weighted_chronic.value == pytest.approx(expected.weighted_chronic.value)


def test_a_later_day_costs_as_much_after_a_month_as_after_ten(inside: Team):
    """Statements of the write itself, and rows read: the last 28 days alone."""
    counts = []
    for days in (range(20, 50), range(50, 330)):
        for one in days:
            log(inside, days_ago(one), 5, 30)
        write_all(inside.noor)
        late = log(inside, days_ago(1))
        with CaptureQueriesContext(connection) as queries:
            write_all(inside.noor, since=late.local_date)
        counts.append(len(queries))
        remove_training_log(actor=inside.cast.coach.actor, log=late, expected=1)
    assert counts[0] == counts[1] <= 10


def test_nothing_told_leaves_nothing(inside: Team):
    write_all(inside.noor, since=BEGINNING)
    assert rows(inside.noor) == ([], [])
