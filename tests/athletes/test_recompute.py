"""The recompute of capacities: a function of its inputs, whatever the order and the number of runs."""

from __future__ import annotations

import datetime as dt
import random

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.assessments import Performance, correct_assessment
from athletes.actions.capacities import recompute_capacities
from athletes.actions.observations import FROM_ATTEMPT, ObservationRow, replace_observations
from athletes.calc.capacity import Observation as Seen
from athletes.calc.capacity import estimate_capacity, from_json, one_rm, repetitions_at
from athletes.capacities import on_day, prior_of
from athletes.known import capacities_for
from athletes.models import Capacity, Observation, PriorSnapshot
from programming.models import Movement, VariationVersion
from tests.athletes.conftest import NOW, TODAY, Team, days_ago, make_team
from tests.support.cast import make_cast

pytestmark = pytest.mark.django_db

ROW = ("movement_id", "state", "observations", "inputs", "prior_id", "method_version", "as_of")


def stored(athlete) -> dict:
    rows = Capacity.objects.filter(athlete=athlete).values(*ROW)
    return {row["movement_id"]: row for row in rows}


def recompute(athlete):
    return recompute_capacities(athlete_id=athlete.id, today=TODAY)


def test_a_test_moves_the_capacity_towards_it(inside: Team):
    """68 kg and 31 floor push-ups to failure: the forecast at that load holds 31, a heavier vest fewer."""
    inside.weigh(inside.noor, 68.0)
    inside.test(inside.noor, "push_up_floor", 31)
    push_up = inside.movement("push_up")

    assert recompute(inside.noor) == {push_up}
    capacity = capacities_for([inside.noor.id], [push_up], TODAY)[inside.noor.id, push_up]
    at_test = repetitions_at(capacity, 0.64 * 68.0)
    with_vest = repetitions_at(capacity, 0.64 * 68.0 + 10.0)

    assert at_test.p10 < 31.5 < at_test.p90
    assert with_vest.mean < at_test.mean - 3


def test_running_twice_is_running_once(inside: Team):
    """The second run writes nothing: same rows, same time of computation, no movement named."""
    inside.weigh(inside.noor, 68.0)
    inside.test(inside.noor, "push_up_floor", 31)
    inside.test(inside.noor, "back_squat_barbell", 1, kind="one_rm", load_kg=90.0)
    assert len(recompute(inside.noor)) == 2
    before = list(Capacity.objects.order_by("id").values())

    with CaptureQueriesContext(connection) as queries:
        assert recompute(inside.noor) == frozenset()

    assert list(Capacity.objects.order_by("id").values()) == before
    assert not [q for q in queries if q["sql"].startswith(("INSERT", "UPDATE", "DELETE"))]


def test_the_oracle_from_an_emptied_table_gives_equal_rows(inside: Team):
    """Step by step, with entries late and corrected in between, equals once from scratch."""
    inside.weigh(inside.noor, 70.0, days=40)
    first = inside.test(inside.noor, "push_up_floor", 25, days=30)
    recompute(inside.noor)
    inside.test(inside.noor, "pull_up", 7, days=20)
    inside.test(inside.noor, "push_up_floor", 28, days=35)  # late
    recompute(inside.noor)
    correct_assessment(
        actor=inside.cast.coach.actor,
        assessment=first,
        variation_id=inside.variation("push_up_floor"),
        tested=Performance("to_failure", 22, first.performed_at),
        reason="Counted twice.",
        now=NOW,
    )
    inside.weigh(inside.noor, 66.5, days=25)  # changes the pull-up's load
    recompute(inside.noor)
    stepwise = stored(inside.noor)
    assert len(stepwise) == 2

    Capacity.objects.all().delete()
    recompute(inside.noor)

    assert stored(inside.noor) == stepwise


def test_the_order_of_entry_does_not_matter(db):
    """The same tests and weighings, entered in another order elsewhere, make the same states."""
    entries = [
        ("weigh", 71.0, 50), ("weigh", 69.0, 12), ("push_up_floor", 20, 45), ("push_up_floor", 26, 14),
        ("push_up_knees", 40, 14), ("pull_up", 5, 30), ("pull_up", 0, 29), ("row_45", 22, 9),
    ]  # fmt: skip
    states = []
    for seed in (1, 2, 3):
        cast = make_cast()
        with cast.inside():
            team = make_team(cast)
            shuffled = entries[2:]
            random.Random(seed).shuffle(shuffled)
            for kind, value, days in [*entries[:2][:: -1 if seed == 2 else 1], *shuffled]:
                if kind == "weigh":
                    team.weigh(team.noor, value, days)
                else:
                    team.test(team.noor, kind, value, days=days)
                if seed == 3:
                    recompute(team.noor)
            recompute(team.noor)
            rows = Capacity.objects.filter(athlete=team.noor).values_list("movement__key", "inputs", "state")
            states.append({key: (inputs, state) for key, inputs, state in rows})

    assert set(states[0]) == {"push_up", "pull_up", "horizontal_row"}
    assert states[0] == states[1] == states[2]


def test_a_first_weighing_after_the_tests_counts_for_them(inside: Team):
    """Sets logged before any weighing wait for it, and come in with the earliest one after them."""
    version = VariationVersion.objects.get(variation__key="push_up_floor")
    row = ObservationRow(
        ordinal=0, movement_id=inside.movement("push_up"), variation_version_id=version.id,
        local_date=days_ago(9).date(), kind="to_failure", load_kg=None, assistance_kg=None, height_cm=None,
        repetitions=19.0,
    )  # fmt: skip
    assert replace_observations(
        athlete_id=inside.bram.id, source=FROM_ATTEMPT, source_id=inside.noor.id, rows=[row]
    )
    assert recompute(inside.bram) == frozenset()

    inside.weigh(inside.bram, 80.0, days=2)

    assert recompute(inside.bram) == {inside.movement("push_up")}
    state = from_json(Capacity.objects.get(athlete=inside.bram).state)
    assert np.exp(state.tested_log_loads) == pytest.approx([0.64 * 80.0])


def test_replacing_with_the_same_changes_nothing(inside: Team):
    """A second run of the same source keeps the rows themselves; fewer rows remove the rest."""
    version = VariationVersion.objects.get(variation__key="deadlift_barbell")
    rows = [
        ObservationRow(
            ordinal=n, movement_id=inside.movement("deadlift"), variation_version_id=version.id,
            local_date=TODAY, kind="at_least", load_kg=100.0, assistance_kg=None, height_cm=None,
            repetitions=float(n + 1),
        )
        for n in range(3)
    ]  # fmt: skip
    of = {"athlete_id": inside.noor.id, "source": FROM_ATTEMPT, "source_id": inside.bram.id}
    assert replace_observations(**of, rows=rows)
    ids = set(Observation.objects.values_list("id", flat=True))

    assert not replace_observations(**of, rows=list(reversed(rows)))
    assert set(Observation.objects.values_list("id", flat=True)) == ids
    assert replace_observations(**of, rows=rows[:1])
    assert Observation.objects.count() == 1


def test_what_lost_its_last_observation_goes(inside: Team):
    """A row without any observation left is removed, and its movement is named as changed."""
    replace_observations(athlete_id=inside.noor.id, source=FROM_ATTEMPT, source_id=inside.noor.id, rows=[])
    inside.test(inside.noor, "deadlift_barbell", 5, load_kg=100.0)
    recompute(inside.noor)
    Observation.objects.all().delete()

    assert recompute(inside.noor) == {inside.movement("deadlift")}
    assert not Capacity.objects.exists()


def test_a_movement_without_a_curve_is_stored_but_makes_no_capacity(inside: Team):
    """A box jump test is kept; nothing is concluded about strength."""
    inside.weigh(inside.noor, 68.0)
    inside.test(inside.noor, "box_jump", 20)

    assert recompute(inside.noor) == frozenset()
    assert not Observation.objects.exists()


@pytest.mark.parametrize("movements", [1, 6])
def test_queries_do_not_grow_with_the_movements(inside: Team, movements: int):
    """Unchanged: nine reads; all new: one write more. For one movement as for six."""
    inside.weigh(inside.noor, 68.0)
    keys = ["push_up_floor", "pull_up", "row_45", "body_weight_squat", "sit_up", "dip_bars"]
    for key in keys[:movements]:
        inside.test(inside.noor, key, 9)
    recompute(inside.noor)
    Capacity.objects.all().delete()

    with CaptureQueriesContext(connection) as writing:
        assert len(recompute(inside.noor)) == movements
    with CaptureQueriesContext(connection) as reading:
        assert not recompute(inside.noor)

    def work(queries):
        return [q["sql"] for q in queries if "SAVEPOINT" not in q["sql"]]

    assert len(work(reading)) == 9, work(reading)
    assert len(work(writing)) == 10, work(writing)


def test_a_new_movement_takes_a_new_snapshot_and_an_unchanged_catalogue_does_not(inside: Team):
    """Numbers count from 1; the old snapshot stays as it was."""
    inside.test(inside.noor, "deadlift_barbell", 5, load_kg=100.0)
    recompute(inside.noor)
    assert list(PriorSnapshot.objects.values_list("number", flat=True)) == [1]
    first = PriorSnapshot.objects.get()
    movement = Movement.objects.get(key="deadlift")
    newer = Movement.objects.create(
        org=inside.cast.org, key="log_lift", name="Log lift", pattern="hinge", prior=movement.prior
    )
    row = Observation.objects.get()
    Observation.objects.filter(id=row.id).update(movement=newer)

    recompute(inside.noor)

    assert list(PriorSnapshot.objects.order_by("number").values_list("number", flat=True)) == [1, 2]
    assert str(newer.id) not in PriorSnapshot.objects.get(number=1).document["movements"]
    assert PriorSnapshot.objects.get(number=1).document == first.document


def test_carrying_a_state_to_another_day_is_estimating_on_that_day(inside: Team):
    """`on_day` of the stored state equals the filter run to that day, so a stored row need not age."""
    prior = Movement.objects.get(key="back_squat").prior
    inside.test(inside.noor, "back_squat_barbell", 8, load_kg=80.0, days=30)
    recompute(inside.noor)
    state = from_json(Capacity.objects.get().state)
    later = TODAY + dt.timedelta(days=100)

    carried = on_day(state, later)

    seen = Seen(day=days_ago(30).date().toordinal(), load_kg=80.0, repetitions=8.0, kind="to_failure")
    direct = estimate_capacity(prior_of(prior, None), [seen], day=later.toordinal())
    assert carried.day == direct.day
    np.testing.assert_allclose(carried.var, direct.var, rtol=1e-12)
    np.testing.assert_array_equal(carried.mean, direct.mean)
    assert one_rm(carried).hi_kg > one_rm(state).hi_kg
    assert on_day(state, days_ago(60).date()) is state


def test_each_set_counts_with_the_mass_of_its_day(inside: Team):
    """Two tests, two weighings between: two effective loads; a later weighing changes neither."""
    inside.weigh(inside.noor, 80.0, days=60)
    inside.weigh(inside.noor, 70.0, days=20)
    inside.test(inside.noor, "push_up_floor", 18, days=40)
    inside.test(inside.noor, "push_up_floor", 24, days=10)
    recompute(inside.noor)
    before = stored(inside.noor)
    inside.weigh(inside.noor, 66.0, days=1)

    assert recompute(inside.noor) == frozenset()
    state = from_json(Capacity.objects.get().state)
    assert np.exp(state.tested_log_loads) == pytest.approx([0.64 * 70.0, 0.64 * 80.0])
    assert stored(inside.noor) == before


def test_another_snapshot_or_method_computes_again(inside: Team, monkeypatch: pytest.MonkeyPatch):
    """The numbers of both are inputs; each rewrites the row once."""
    inside.test(inside.noor, "deadlift_barbell", 5, load_kg=100.0)
    recompute(inside.noor)
    newest = PriorSnapshot.objects.get()
    PriorSnapshot.objects.create(org=inside.cast.org, number=2, document=newest.document)

    assert recompute(inside.noor) == {inside.movement("deadlift")}
    assert Capacity.objects.get().prior.number == 2
    assert recompute(inside.noor) == frozenset()
    monkeypatch.setattr("athletes.capacities.METHOD_VERSION", 10_000)
    assert recompute(inside.noor) == {inside.movement("deadlift")}
