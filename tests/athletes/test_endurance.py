"""Holds and cyclical work from the test to the capacity: what is refused, what it tells, what it costs to read."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.capacities import recompute_capacities
from athletes.actions.observations import FROM_ATTEMPT, ObservationRow, replace_observations
from athletes.actions.priors import take_prior_snapshot
from athletes.actions.tested import Performance
from athletes.calc.capacity import Capacity as LoadCapacity
from athletes.calc.critical import BOUNDS_ONLY, ONE_TRIAL, PRIOR_ONLY, CriticalCapacity
from athletes.calc.hold import HoldCapacity
from athletes.calc.hold_forecast import load_for_a_minute, seconds_at
from athletes.calc.trial_forecast import critical_of, reserve_of
from athletes.known import capacities_for
from athletes.models import Assessment, Capacity, Observation, PriorSnapshot
from athletes.performed import Settings
from athletes.states import read_state, write_state
from programming.models import Movement, VariationVersion
from services.problems import Invalid
from tests.athletes.conftest import NOW, TODAY, Team, days_ago
from tests.athletes.test_assessments import places, record
from tests.athletes.test_capacity_notes import away

pytestmark = pytest.mark.django_db

HOLD = {"kind": "hold_to_failure", "repetitions": None}
TRIAL = {"kind": "time_trial", "repetitions": None}


def state(team: Team, movement: str, athlete=None, day=TODAY):
    athlete = athlete or team.noor
    found = capacities_for([athlete.id], [team.movement(movement)], day)
    return found[athlete.id, team.movement(movement)]


def recompute(team: Team):
    return recompute_capacities(athlete_id=team.noor.id, today=TODAY)


def test_a_hold_to_failure_moves_the_capacity(inside: Team):
    """A plank of 150 s: the forecast there holds it, an extra load shortens it; the row names kind and method."""
    inside.weigh(inside.noor, 68.0)
    before = state(inside, "plank")
    record(inside, "plank", **HOLD, hold_s=150.0)

    assert recompute(inside) == {inside.movement("plank")}
    after = state(inside, "plank")
    assert isinstance(before, HoldCapacity) and isinstance(after, HoldCapacity)
    load = 0.6916 * 68.0
    forecast = seconds_at(after, load)
    assert forecast.p10 < 150.0 < forecast.p90
    assert seconds_at(after, load + 15.0).p50 < forecast.p50
    assert forecast.p90 / forecast.p10 < seconds_at(before, load).p90 / seconds_at(before, load).p10
    row = Capacity.objects.get()
    assert (row.state["kind"], row.method_version, row.observations) == ("hold", 2, 1)
    assert recompute(inside) == frozenset()


def test_time_trials_move_critical_power_and_reserve(inside: Team):
    """15 kcal and 60 kcal on the bike, all out, planted at 230 W and 17 kJ: both lie within their intervals."""
    joule = VariationVersion.objects.get(variation__key="fan_bike").document["work_j_per_kcal"]
    inside.weigh(inside.noor, 68.0)
    for kcal in (60.0, 150.0):
        seconds = (kcal * joule - 17_000.0) / 230.0
        record(inside, "fan_bike", **TRIAL, energy_kcal=kcal, elapsed_s=seconds)

    assert recompute(inside) == {inside.movement("fan_bike")}
    found = state(inside, "fan_bike")
    assert isinstance(found, CriticalCapacity)
    critical, reserve = critical_of(found), reserve_of(found)
    assert critical.lower < 230.0 < critical.upper
    assert reserve.lower < 17_000.0 < reserve.upper
    assert (found.measure, found.reasons, found.observations) == ("power", (), 2)


def test_a_rowed_distance_becomes_work(inside: Team):
    """2000 m in 480 s with P = 2.8 v^3: a mean power of 202.5 W; a run stays in metres per second."""
    record(inside, "row_machine", **TRIAL, distance_m=2000.0, elapsed_s=480.0)
    record(inside, "run_course", **TRIAL, distance_m=3000.0, elapsed_s=780.0)
    recompute(inside)

    rowed, ran = state(inside, "row_machine"), state(inside, "run")
    assert (rowed.measure, ran.measure) == ("power", "speed")
    assert rowed.reasons == ran.reasons == (ONE_TRIAL,)
    power = 2.8 * (2000.0 / 480.0) ** 3
    can = critical_of(rowed).median + reserve_of(rowed).median / 480.0
    assert can == pytest.approx(power, rel=0.03)
    assert critical_of(ran).median < 3000.0 / 780.0


def test_how_it_ended_decides_what_it_tells(inside: Team):
    """Only failure and going all out bound from above; pain and the clock make a weak lower bound."""
    inside.weigh(inside.noor, 68.0)
    for key, told, kind in (
        ("plank", {**HOLD, "hold_s": 90.0}, "to_failure"),
        ("plank", {**HOLD, "hold_s": 90.0, "ended_by": "clock"}, "at_least_weak"),
        ("run_course", {**TRIAL, "distance_m": 1000.0, "elapsed_s": 260.0}, "maximal"),
        (
            "run_course",
            {**TRIAL, "distance_m": 1000.0, "elapsed_s": 260.0, "ended_by": "pain"},
            "at_least_weak",
        ),
    ):
        assessment, _ = record(inside, key, **told)
        seen = Observation.objects.get(source_id=assessment.id)
        assert (seen.kind, seen.repetitions) == (kind, 0.0)
        assert (seen.unit, seen.amount) == (("hold_s", 90.0) if key == "plank" else ("distance_m", 1000.0))
        assert seen.seconds == told.get("elapsed_s")


@pytest.mark.parametrize(
    ("key", "told", "place"),
    [
        ("plank", {"repetitions": 9}, ("#/repetitions", "not_counted_in")),
        ("plank", HOLD, ("#/hold_s", "required")),
        ("plank", {**HOLD, "hold_s": -1.0}, ("#/hold_s", "out_of_range")),
        ("plank", {**HOLD, "hold_s": 60.0, "elapsed_s": 60.0}, ("#/elapsed_s", "contradiction")),
        ("plank", {"kind": "hold_to_failure", "hold_s": 60.0, "repetitions": 1}, ("#/repetitions", "contradiction")),
        ("plank", {**HOLD, "hold_s": 60.0, "rir": 1}, ("#/rir", "contradiction")),
        ("plank", {**HOLD, "hold_s": 60.0, "ended_by": "planned"}, ("#/ended_by", "contradiction")),
        ("push_up_floor", {**HOLD, "hold_s": 60.0}, ("#/hold_s", "not_counted_in")),
        ("run_course", {**TRIAL, "elapsed_s": 60.0}, ("#/distance_m", "required")),
        ("run_course", {**TRIAL, "distance_m": 400.0}, ("#/elapsed_s", "required")),
        ("run_course", {**TRIAL, "distance_m": 400.0, "elapsed_s": 0.0}, ("#/elapsed_s", "out_of_range")),
        ("run_course", {**TRIAL, "energy_kcal": 40.0, "elapsed_s": 60.0}, ("#/energy_kcal", "not_counted_in")),
        ("row_machine", {**TRIAL, "energy_kcal": 40.0, "distance_m": 9.0, "elapsed_s": 60.0},
         ("#/distance_m", "contradiction")),
        ("row_machine", {**TRIAL, "energy_kcal": math.inf, "elapsed_s": 60.0}, ("#/energy_kcal", "out_of_range")),
        ("deadlift_barbell", {"repetitions": None, "settings": Settings(60.0)}, ("#/repetitions", "required")),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_refused_at_its_place(inside: Team, key, told, place):
    """The amount must be of the kind, in range, and in a unit that the variation is counted in."""
    inside.weigh(inside.noor, 68.0)
    with pytest.raises(Invalid) as refused:
        record(inside, key, **told)

    assert place in places(refused)
    assert not Assessment.objects.exists()


def test_the_state_of_each_kind(inside: Team):
    """One call gives each movement's own kind, from the prior when nothing was seen; a jump has none."""
    movements = [inside.movement(key) for key in ("pull_up", "plank", "run", "box_jump")]
    take_prior_snapshot(org=inside.cast.org)
    inside.weigh(inside.noor, 68.0)

    with CaptureQueriesContext(connection) as queries:
        found = capacities_for([inside.noor.id, inside.bram.id], movements, TODAY)

    assert len(queries) == 6
    kinds = {type(found[inside.bram.id, movement]) for movement in movements[:3]}
    assert kinds == {LoadCapacity, HoldCapacity, CriticalCapacity}
    assert (inside.noor.id, movements[3]) not in found
    assert found[inside.noor.id, movements[1]].reason == PRIOR_ONLY
    assert found[inside.noor.id, movements[2]].reasons == (PRIOR_ONLY,)
    for one in found.values():
        assert write_state(read_state(write_state(one))) == write_state(one)


def test_an_unknown_body_mass_widens_what_depends_on_it(inside: Team):
    """A plank is part of the body mass, a run is not: only the first is wider for somebody never weighed."""
    inside.weigh(inside.noor, 75.0)

    def spread(movement, athlete):
        found = state(inside, movement, athlete)
        if isinstance(found, HoldCapacity):
            _, low, high = load_for_a_minute(found)
            return math.log(high / low)
        told = critical_of(found)
        return math.log(told.upper / told.lower)

    assert spread("plank", inside.bram) > 1.1 * spread("plank", inside.noor)
    assert spread("run", inside.bram) == pytest.approx(spread("run", inside.noor))
    assert spread("row_machine", inside.bram) > 1.1 * spread("row_machine", inside.noor)


def logged(
    team: Team, key: str, ordinal: int, kind: str, unit: str, amount: float, seconds=None
) -> ObservationRow:
    version = VariationVersion.objects.select_related("variation").get(variation__key=key)
    return ObservationRow(
        ordinal=ordinal, movement_id=version.variation.movement_id, variation_version_id=version.id,
        local_date=TODAY, kind=kind, load_kg=None, assistance_kg=None, height_cm=None, repetitions=0.0,
        unit=unit, amount=amount, seconds=seconds,
    )  # fmt: skip


def test_lower_bounds_and_what_tells_nothing(inside: Team):
    """Bounds alone are named as such; metres of a hold, seconds of a run and a trial without time tell nothing."""
    inside.weigh(inside.noor, 68.0)
    rows = [
        logged(inside, "plank", 0, "at_least", "hold_s", 200.0),
        logged(inside, "run_course", 1, "at_least", "distance_m", 2000.0, 500.0),
        logged(inside, "wall_sit", 2, "at_least", "distance_m", 100.0, 60.0),
        logged(inside, "bike_stationary", 3, "maximal", "energy_kcal", 20.0),
        logged(inside, "box_jump", 4, "at_least", "hold_s", 20.0),
    ]
    replace_observations(athlete_id=inside.noor.id, source=FROM_ATTEMPT, source_id=inside.bram.id, rows=rows)

    assert recompute(inside) == {inside.movement("plank"), inside.movement("run")}
    assert state(inside, "plank").reason == BOUNDS_ONLY
    assert state(inside, "run").reasons == (BOUNDS_ONLY,)


@pytest.mark.parametrize("movements", [3, 9])
def test_queries_do_not_grow_with_the_movements(inside: Team, movements: int):
    """Nine reads when nothing moved, one write more when all are new: as for repetitions."""
    inside.weigh(inside.noor, 68.0)
    keys = ["plank", "side_plank", "hollow_hold", "bar_hang", "wall_sit", "run_course", "shuttle_run"]
    keys += ["row_machine", "ski_machine"]
    for key in keys[-movements:]:
        trial = key in keys[5:]
        told = {**TRIAL, "distance_m": 1500.0, "elapsed_s": 420.0} if trial else {**HOLD, "hold_s": 60.0}
        record(inside, key, **told)
    recompute(inside)
    Capacity.objects.all().delete()

    with CaptureQueriesContext(connection) as writing:
        assert len(recompute(inside)) == movements
    with CaptureQueriesContext(connection) as reading:
        assert not recompute(inside)

    counts = [len([q for q in c if "SAVEPOINT" not in q["sql"]]) for c in (reading, writing)]
    assert counts[1] == counts[0] + 1
    assert counts[0] <= 9, counts


def test_a_movement_that_got_a_prior_takes_a_new_snapshot(inside: Team):
    """What was kept of no kind when the snapshot was taken, and now is, does not fail for want of a prior."""
    plank = Movement.objects.get(key="plank")
    prior = plank.prior
    Movement.objects.filter(id=plank.id).update(capacity_kind="none", prior={})
    take_prior_snapshot(org=inside.cast.org)
    Movement.objects.filter(id=plank.id).update(capacity_kind="hold", prior=prior)
    inside.weigh(inside.noor, 68.0)
    assert state(inside, "plank").reason == PRIOR_ONLY
    record(inside, "plank", **HOLD, hold_s=60.0)

    assert recompute(inside) == {plank.id}
    assert PriorSnapshot.objects.count() == 2


def test_confirmed_absence_lowers_and_widens_both_kinds(inside: Team):
    """Eight weeks without training since the tests; what a prescription reads falls, and confirming computes anew."""
    inside.weigh(inside.noor, 68.0, days=70)
    record(inside, "plank", **HOLD, hold_s=90.0, performed_at=days_ago(60))
    for metres, seconds in ((1000.0, 220.0), (3000.0, 760.0)):
        record(inside, "run_course", **TRIAL, distance_m=metres, elapsed_s=seconds, performed_at=days_ago(60))
    recompute(inside)
    held, ran = load_for_a_minute(state(inside, "plank")), critical_of(state(inside, "run"))
    away(inside, 58, 2)

    assert recompute(inside) == {inside.movement("plank"), inside.movement("run")}
    lower, slower = load_for_a_minute(state(inside, "plank")), critical_of(state(inside, "run"))
    assert lower[0] < 0.92 * held[0] and slower.median < 0.92 * ran.median
    assert lower[2] / lower[1] > held[2] / held[1]
    assert slower.upper / slower.lower > ran.upper / ran.lower
    assert not recompute(inside)


def test_a_changed_body_mass_widens_both_kinds(inside: Team):
    """A third heavier since the tests; a kilogram more computes nothing again."""
    inside.weigh(inside.noor, 68.0, days=40)
    record(inside, "plank", **HOLD, hold_s=90.0, performed_at=days_ago(30))
    record(inside, "run_course", **TRIAL, distance_m=3000.0, elapsed_s=760.0, performed_at=days_ago(30))
    recompute(inside)
    inside.weigh(inside.noor, 69.0, days=5)
    assert not recompute(inside)
    held, ran = load_for_a_minute(state(inside, "plank")), critical_of(state(inside, "run"))
    inside.weigh(inside.noor, 90.0, days=1)

    assert recompute(inside) == {inside.movement("plank"), inside.movement("run")}
    wide, vague = load_for_a_minute(state(inside, "plank")), critical_of(state(inside, "run"))
    assert wide[2] / wide[1] > held[2] / held[1]
    assert vague.upper / vague.lower > ran.upper / ran.lower


def test_ageing_widens(inside: Team):
    """A row does not age by itself; asked for a later day it is wider."""
    inside.weigh(inside.noor, 68.0)
    record(inside, "plank", **HOLD, hold_s=90.0)
    record(inside, "run_course", **TRIAL, distance_m=2000.0, elapsed_s=480.0)
    recompute(inside)
    later = TODAY + dt.timedelta(days=200)

    now, then = (load_for_a_minute(state(inside, "plank", day=day)) for day in (TODAY, later))
    assert then[2] / then[1] > now[2] / now[1]
    now, then = (critical_of(state(inside, "run", day=day)) for day in (TODAY, later))
    assert then.upper / then.lower > now.upper / now.lower


def test_a_test_with_the_fields_of_its_kind_is_stored_as_sent(inside: Team):
    """Nothing is filled in: repetitions of a hold are unknown, not none."""
    inside.weigh(inside.noor, 68.0)
    held, _ = record(inside, "plank", **HOLD, hold_s=61.5, performed_at=days_ago(2))
    assert (held.repetitions, held.hold_s, held.elapsed_s) == (None, 61.5, None)
    assert held.ended_by == "failure"
    assert Performance("time_trial", None, NOW, distance_m=5.0, elapsed_s=2.0).ending == "planned"
