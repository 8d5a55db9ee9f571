"""What changes a capacity beside tests, from the rows to the answer: absence, hard work, mass, contradictions."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.capacities import recompute_capacities
from athletes.calc.capacity import carried, from_json, one_rm, repetitions_at
from athletes.capacity_history import history_of
from athletes.capacity_notes import notes_of
from athletes.figures import figure_reader, figures_at
from athletes.known import capacities_for
from athletes.models import Absence, AbsenceAnswer, Capacity
from athletes.moments import Moment
from athletes.performed import Settings
from services.problems import NotFound
from tests.athletes.conftest import TODAY, Team, days_ago
from tests.athletes.safety_support import work

pytestmark = pytest.mark.django_db

BAR = Settings(load_kg=40.0)


def recompute(team: Team) -> None:
    recompute_capacities(athlete_id=team.noor.id, today=TODAY)


def repetitions(team: Team, days: int = 0, load_kg: float = 40.0) -> float:
    """Expected so many days ahead, as a prescription of that day reads it."""
    key = (team.noor.id, team.movement("bench_press"))
    found = capacities_for([key[0]], [key[1]], TODAY + dt.timedelta(days=days))[key]
    mean = repetitions_at(found, load_kg).mean
    assert mean is not None
    return mean


def bench(team: Team, count: int, days: int, load_kg: float = 40.0, **more: object) -> None:
    team.test(team.noor, "bench_press_barbell", count, days=days, load_kg=load_kg, **more)


def figures(team: Team, key: str = "bench_press_barbell", settings: Settings = BAR):
    return figures_at(team.noor, team.variation(key), settings, Moment(TODAY, 18.0))


def away(team: Team, first: int, last: int) -> None:
    """Somebody confirms that there was no training from `first` to `last` days ago."""
    days = {"from_date": days_ago(first).date(), "to_date": days_ago(last).date()}
    row = Absence.objects.create(
        org=team.cast.org, athlete=team.noor, origin="reported", peak_volumes={}, **days
    )
    AbsenceAnswer.objects.create(
        org=team.cast.org, athlete=team.noor, absence=row, trained=False, kind="returning",
        to_date=days["to_date"], local_date=TODAY, answered_by=team.cast.coach.person,
    )  # fmt: skip


def test_confirmed_absence_lowers_and_widens(inside: Team):
    """24 days without training since the last test; confirmed again in other words changes nothing."""
    bench(inside, 15, days=26)
    recompute(inside)
    before, wide = repetitions(inside), figures(inside).one_rm
    away(inside, 24, 1)
    recompute(inside)
    after, wider = repetitions(inside), figures(inside).one_rm

    assert after < before - 1.0
    assert wider.upper_kg / wider.lower_kg > wide.upper_kg / wide.lower_kg
    assert Capacity.objects.get().as_of == days_ago(26).date()
    written = Capacity.objects.get().computed_at
    recompute(inside)
    assert Capacity.objects.get().computed_at == written


def test_the_day_after_far_more_than_usual(inside: Team):
    """Forty in a session as a rule, then 150: lower the day after, back a week later; the set of that day says so."""
    for days in (20, 14, 8):
        work(inside, inside.noor, "bench_press", 40, days)
    bench(inside, 20, days=9)
    recompute(inside)
    rested = repetitions(inside, days=1)
    work(inside, inside.noor, "bench_press", 150, 0, failure=150.0)
    recompute(inside)

    assert repetitions(inside) == pytest.approx(rested, abs=0.2)  # the session itself is not over
    assert repetitions(inside, days=1) < rested - 4.0
    assert repetitions(inside, days=8) == pytest.approx(rested, abs=0.5)


def test_a_bad_set_on_a_sore_day_is_no_weakness(inside: Team):
    """Six instead of twenty the day after 150: today's figures are low and say why, next week's are not."""
    for days in (20, 14, 8):
        work(inside, inside.noor, "bench_press", 40, days)
    bench(inside, 20, days=9)
    work(inside, inside.noor, "bench_press", 150, 1, failure=150.0)
    bench(inside, 6, days=0)
    recompute(inside)
    today = figures(inside)

    assert today.repetitions.mean < 11.0
    assert "sore_day" in today.notes
    assert repetitions(inside, days=8) > 17.0


def test_contradictory_tests_are_named(inside: Team):
    """A maximum below what was lifted for ten: both days, and no refusal."""
    bench(inside, 1, days=9, load_kg=60.0, kind="one_rm")
    bench(inside, 10, days=5, load_kg=62.5)
    recompute(inside)
    found = figures(inside)

    assert [(pair.earlier, pair.later) for pair in found.contradictory_tests] == [
        (days_ago(9).date(), days_ago(5).date())
    ]
    assert "contradictory_tests" in found.notes
    assert found.repetitions.p10 <= found.repetitions.mean <= found.repetitions.p90


def test_when_a_test_is_due(inside: Team):
    """Never seen; stopped early only; tested; tested long ago."""
    assert (figures(inside).test_due, figures(inside).test_due_reason) == (True, "never_observed")
    bench(inside, 8, days=200, kind="planned")
    recompute(inside)
    assert figures(inside).test_due_reason == "only_lower_bounds"
    bench(inside, 12, days=190)
    recompute(inside)
    assert figures(inside).test_due_reason == "interval_grown"
    bench(inside, 12, days=3)
    recompute(inside)
    assert (figures(inside).test_due, figures(inside).test_due_reason) == (False, None)


def test_a_variation_never_seen(inside: Team):
    """It gets the movement's figures, wider, with a word on it."""
    inside.weigh(inside.noor, 68.0)
    inside.test(inside.noor, "push_up_floor", 20)
    recompute(inside)
    seen, unseen = (figures(inside, key, Settings()) for key in ("push_up_floor", "push_up_knees"))

    assert seen.notes == ()
    assert unseen.notes == ("variation_unseen",)
    width = [f.one_rm.upper_kg / f.one_rm.lower_kg for f in (seen, unseen)]
    assert width[1] > width[0] * 1.02


def test_a_third_more_body_mass(inside: Team):
    """91 kg after 70: the same strength, less sure, with a word on it; a kilogram is none."""
    inside.weigh(inside.noor, 70.0, days=30)
    bench(inside, 12, days=20)
    recompute(inside)
    before = from_json(Capacity.objects.get().state)
    inside.weigh(inside.noor, 71.0, days=5)
    assert recompute_capacities(athlete_id=inside.noor.id, today=TODAY) == frozenset()
    inside.weigh(inside.noor, 91.0, days=1)
    recompute(inside)
    after = from_json(Capacity.objects.get().state)

    assert one_rm(after).kg == pytest.approx(one_rm(before).kg, rel=0.01)
    assert one_rm(after).hi_kg > one_rm(before).hi_kg * 1.05
    assert figures(inside).notes == ("body_mass_changed",)


def test_a_gain_that_is_foreseen_is_said(inside: Team):
    """Once it is a word worth: 0.6 per mille a day after ten days is not, after twenty it is."""
    bench(inside, 12, days=3)
    recompute(inside)
    state = replace(from_json(Capacity.objects.get().state), gain=0.0006, gain_days=42.0)
    assert notes_of(carried(state, state.day + 10), "bench_press_barbell").notes == ()
    assert notes_of(carried(state, state.day + 20), "bench_press_barbell").notes == ("gain_expected",)


def test_the_list_says_the_same(inside: Team):
    """A page of capacities has the notes of each row."""
    bench(inside, 8, days=3, kind="planned")
    recompute(inside)
    row = Capacity.objects.select_related("prior").get()

    assert figure_reader(inside.noor, Moment(TODAY)).figures(row).test_due_reason == "only_lower_bounds"


@pytest.mark.parametrize("days", [3, 30])
def test_the_history_of_a_capacity(inside: Team, days: int):
    """A point for each day with a sight and today, the last as the figures have it; ten queries, however many."""
    for day in range(days):
        bench(inside, 10 + day % 3, days=2 + 3 * day)
    recompute(inside)
    inside.weigh(inside.noor, 70.0)

    with CaptureQueriesContext(connection) as queries:
        found = history_of(inside.noor, inside.movement("bench_press"), TODAY)

    assert len(queries) == 10
    assert [point.local_date for point in found.points] == sorted(
        {TODAY, *(days_ago(2 + 3 * day).date() for day in range(days))}
    )
    assert all(
        0.0 < point.ten_repetition_kg.lower < point.ten_repetition_kg.median < point.ten_repetition_kg.upper
        for point in found.points
    )
    assert repetitions(inside, load_kg=found.points[-1].ten_repetition_kg.median) == pytest.approx(
        10.0, abs=0.1
    )


def test_what_has_no_history(inside: Team):
    """Nothing seen, another kind of capacity, another organisation's movement."""

    def reason(key: str) -> str | None:
        return history_of(inside.noor, inside.movement(key), TODAY).points_reason

    assert reason("bench_press") == "never_observed"
    assert reason("box_jump") == "not_load_repetition"
    with pytest.raises(NotFound):
        history_of(inside.noor, inside.noor.id, TODAY)


def test_the_history_over_http(team: Team):
    """As the document promises."""
    with team.cast.inside():
        bench(team, 12, days=3)
        recompute(team)
        movement = team.movement("bench_press")
    path = team.path(f"athletes/{team.noor.id}/capacities/{movement}/history")

    answer = team.client(team.cast.coach).get(path).json()

    assert (answer["movement_key"], answer["points_reason"]) == ("bench_press", None)
    assert answer["points"][0]["local_date"] == str(days_ago(3).date())
