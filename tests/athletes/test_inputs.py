"""What prescriptions read of athletes: bulk reads with a fixed number of queries."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.capacities import recompute_capacities
from athletes.actions.limitations import add_limitation, change_limitation, lift_limitation
from athletes.actions.priors import take_prior_snapshot
from athletes.calc.capacity import repetitions_at
from athletes.capacities import prior_of
from athletes.known import capacities_for
from athletes.models import Limitation
from athletes.performed import mass_history
from athletes.queries import prescribing_inputs
from programming.models import Movement
from services.changes.models import Change
from services.problems import Forbidden, Invalid
from tests.athletes.conftest import TODAY, Team, days_ago

pytestmark = pytest.mark.django_db


def test_the_mass_of_a_day():
    """The latest on or before it, else the earliest after it, the later of one day; none without any."""
    day = dt.date(2030, 5, 10)
    history = mass_history([(day, 70.0), (day, 69.0), (day + dt.timedelta(days=9), 75.0)])

    assert history.on(day) == 69.0
    assert history.on(day - dt.timedelta(days=1)) == 70.0
    assert history.on(day + dt.timedelta(days=8)) == 69.0
    assert history.on(day + dt.timedelta(days=400)) == 75.0
    assert mass_history([]).on(day) is None


def test_inputs_of_a_prescription(inside: Team):
    """Mass of the date, own kit, the hazards that are limited on it, zone, whether alone, and sex."""
    kit = {"items": {"dumbbell": {"loads_kg": [16, 24]}}}
    coach = inside.cast.coach.actor
    inside.weigh(inside.noor, 68.0, days=30)
    update_athlete(actor=coach, athlete=inside.noor, expected=1, kit=kit, trains_alone=True, sex="female")
    add_limitation(actor=coach, athlete=inside.noor, hazard="overhead", from_date=TODAY, until_date=TODAY)
    add_limitation(actor=coach, athlete=inside.noor, hazard="knee", from_date=TODAY + dt.timedelta(days=1))
    add_limitation(
        actor=coach, athlete=inside.noor, hazard="impact", from_date=days_ago(9).date(),
        until_date=days_ago(1).date(),
    )  # fmt: skip

    with CaptureQueriesContext(connection) as queries:
        found = prescribing_inputs([inside.noor.id, inside.bram.id], TODAY)

    assert len(queries) == 5
    noor, bram = found[inside.noor.id], found[inside.bram.id]
    assert (noor.body_mass_kg, noor.kit, noor.trains_alone, noor.sex) == (68.0, kit, True, "female")
    assert noor.hazards == {"overhead"}
    assert (bram.body_mass_kg, bram.kit, bram.hazards, bram.zone) == (
        None,
        None,
        frozenset(),
        "Europe/Lisbon",
    )


def test_capacities_are_read_in_bulk(inside: Team):
    """Six queries for all, one of them because no capacity is kept of a jump; the prior where nothing was seen."""
    take_prior_snapshot(org=inside.cast.org)
    inside.weigh(inside.noor, 68.0)
    inside.test(inside.noor, "pull_up", 12)
    recompute_capacities(athlete_id=inside.noor.id, today=TODAY)
    athletes = [inside.noor.id, inside.bram.id, inside.ayo.id]
    movements = [inside.movement(key) for key in ("pull_up", "back_squat", "box_jump")]

    with CaptureQueriesContext(connection) as queries:
        found = capacities_for(athletes, movements, TODAY)

    assert len(queries) == 6
    assert len(found) == 6
    assert found[inside.noor.id, movements[0]].observations == 1
    assert found[inside.bram.id, movements[0]].observations == 0
    assert all(state.day == TODAY.toordinal() for state in found.values())


def test_a_movement_newer_than_the_snapshot_has_its_prior_all_the_same(inside: Team):
    """Read from the catalogue until the next recompute takes a snapshot."""
    take_prior_snapshot(org=inside.cast.org)
    prior = Movement.objects.get(key="deadlift").prior
    newer = Movement.objects.create(
        org=inside.cast.org, key="log_lift", name="Log lift", pattern="hinge", prior=prior
    )
    key = (inside.bram.id, newer.id)
    assert capacities_for([key[0]], [key[1]], TODAY)[key].observations == 0


def test_an_unknown_body_mass_widens_the_prior(inside: Team):
    """The same movement: the spread of an unweighed athlete contains the weighed one's."""
    document = Movement.objects.get(key="pull_up").prior

    known, unknown = prior_of(document, 75.0), prior_of(document, None)

    assert unknown.log_l10 == known.log_l10
    assert unknown.log_l10_sd > known.log_l10_sd
    assert prior_of(document, 60.0).log_l10 < known.log_l10


def test_a_snapshot_of_an_unchanged_catalogue_is_the_same_one(inside: Team):
    """Numbers are not spent on nothing."""
    first = take_prior_snapshot(org=inside.cast.org)
    assert take_prior_snapshot(org=inside.cast.org).id == first.id
    assert first.number == 1
    assert len(first.document["movements"]) == Movement.objects.count()


def test_the_prior_of_an_unseen_athlete_follows_the_body_mass(inside: Team):
    """Relative priors: at their own mass a light and a heavy athlete get the same repetitions."""
    inside.weigh(inside.noor, 55.0)
    inside.weigh(inside.bram, 95.0)
    movement = inside.movement("pull_up")
    found = capacities_for([inside.noor.id, inside.bram.id], [movement], TODAY)

    light = repetitions_at(found[inside.noor.id, movement], 55.0)
    heavy = repetitions_at(found[inside.bram.id, movement], 95.0)

    assert light.mean == pytest.approx(heavy.mean, rel=1e-6)


def test_limits_are_set_by_anybody_concerned_and_lifted_by_staff(inside: Team):
    """An athlete may add a limit of their own; shortening or lifting is the staff's."""
    own = add_limitation(
        actor=inside.cast.athlete.actor, athlete=inside.ayo, hazard="shoulder", from_date=TODAY
    )
    with pytest.raises(Forbidden):
        change_limitation(actor=inside.cast.athlete.actor, limitation=own, expected=1, until_date=TODAY)
    with pytest.raises(Forbidden):
        lift_limitation(actor=inside.cast.athlete.actor, limitation=own, expected=1)
    with pytest.raises(Invalid):
        change_limitation(
            actor=inside.cast.staff.actor, limitation=own, expected=1, until_date=TODAY - dt.timedelta(days=1)
        )
    Change.objects.all().delete()

    lift_limitation(actor=inside.cast.staff.actor, limitation=own, expected=1)

    assert not Limitation.objects.exists()
    assert Change.objects.filter(kind="athlete", subject=inside.ayo.id).exists()


def test_a_kit_that_cannot_be_loaded_is_refused(inside: Team):
    """With the place of each fault inside the kit document."""
    with pytest.raises(Invalid) as refused:
        create_athlete(
            actor=inside.cast.coach.actor,
            name="Remy Falk",
            location_id=inside.cast.remote.id,
            kit={"items": {"dumbbell": {"loads_kg": [20, -4]}}},
        )
    assert "#/kit/items/dumbbell/loads_kg/1" in {error.pointer for error in refused.value.errors}
