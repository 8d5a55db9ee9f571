"""A change of the day and a result that come at once: whichever is stored first decides."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from athletes.models import DayChange
from scoring.actions import day_changes
from scoring.actions.attempts import Report
from scoring.actions.day_changes import Change, make_day_change
from scoring.errors import ResultStored
from tests.scoring.test_submitted_at_once import DATA, elsewhere, submit
from tests.support.world import add_athlete, make_world

pytestmark = pytest.mark.usefixtures("committed")


def test_no_result_slips_in_between(monkeypatch: pytest.MonkeyPatch) -> None:
    """Committed just before the athlete is held: nothing is changed for a session that is done."""
    world = make_world()
    athlete = add_athlete(world, "Bruna Keel", 62.0)
    report = Report("set_log", DATA, {"set_log": DATA}, timezone.now(), None)
    hold = day_changes.hold_athlete

    def interrupted(*args: Any) -> None:
        elsewhere(lambda: submit(world, report))
        hold(*args)

    monkeypatch.setattr(day_changes, "hold_athlete", interrupted)
    actor = world.cast.coach.actor
    assert actor is not None
    with world.cast.inside(), pytest.raises(ResultStored):
        make_day_change(
            actor=actor,
            session=world.session,
            athlete_id=athlete.id,
            change=Change("sore", hazards=("neck",)),
            now=timezone.now(),
        )
    with world.cast.inside():
        assert not DayChange.objects.exists()
