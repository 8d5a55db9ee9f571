"""Training beside the programme and the question after two silent weeks: a log of it answers nothing.

Caterisano et al. 2019 (Strength Cond J 41(3):1-23) cut what is trained against its own highest volume: somebody who
only walked or ran comes back to the lifting as somebody who did nothing.
"""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from athletes.actions.training_logs import Trained, log_training
from athletes.models import Absence, Athlete, HoldRelease, LoadDay
from tests.services.pipeline.test_safety_work import log, place, safety, submit
from tests.support.world import World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> World:
    """With somebody whose last session was 22 days before the next one."""
    made = make_world(starts_in=dt.timedelta(days=2))
    athlete = add_athlete(made, "Bruna Keel", 62.0)
    submit(made, athlete, place(made, -20), log(30, 20, 10))
    return made


def went(world: World, athlete: Athlete, modality: str) -> None:
    """By the athlete's own account, every other day of the last two weeks."""
    now = timezone.now()
    with world.cast.inside():
        Athlete.objects.filter(id=athlete.id).update(person=world.cast.athlete.person)
        own = Athlete.objects.get(id=athlete.id)
        for days in range(1, 15, 2):
            trained = Trained(modality, 3.0, 40.0, now - dt.timedelta(days=days))
            log_training(actor=world.cast.athlete.actor, athlete=own, trained=trained, now=now)


@pytest.mark.parametrize("modality", ["walking", "running", "strength"])
@pytest.mark.parametrize("asked_first", [True, False], ids=["after the question", "before it"])
def test_a_log_beside_the_programme_lifts_no_question(world: World, modality: str, asked_first: bool) -> None:
    """Whenever it comes and whatever it was; its load counts. People answer the question, and staff release it."""
    athlete = world.athletes["Bruna Keel"]
    if asked_first:
        drain(world.cast)
    went(world, athlete, modality)
    drain(world.cast)
    with world.cast.inside():
        assert Absence.objects.filter(athlete=athlete, origin="silence").count() == 1
        assert not HoldRelease.objects.exists()
        assert LoadDay.objects.filter(athlete=athlete, state="reported").count() == 7
    assert safety(world, athlete).hold.code == "absence_unconfirmed"
