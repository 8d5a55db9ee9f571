"""The organisation that the pages are measured in: copies of a gym are whole, and the pages open in them."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from athletes.models import Athlete
from athletes.roster import read_roster
from programming.models import ScheduledSession
from scoring.models import Attempt, SetLog
from services.bench import crowd_ground
from services.bench.crowd_ground import COPIED, GYM_SIZE, UNWEIGHED, copy_first_gym, roster_of
from services.tenancy.models import Location
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.conftest import prescribed, result_of, send, world  # noqa: F401
from tests.support.world import World

pytestmark = pytest.mark.django_db


def test_every_row_of_a_roster_can_be_read() -> None:
    """All but two are known by two tests."""
    roster = read_roster(roster_of(2, dt.date(2030, 1, 31)), {})
    assert len(roster.rows) == GYM_SIZE
    assert all(not row.faults for row in roster.rows)
    assert [number for number, row in enumerate(roster.rows) if not row.tests] == list(UNWEIGHED)


def test_a_copied_gym_has_all_that_the_first_has(
    prescribed: World,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Twice over: each table three times as long, references inside the copy, and its session's page is the same."""
    monkeypatch.setattr(crowd_ground, "_analyze", lambda: None)  # the owner does not see an open transaction
    cast = prescribed.cast
    send(prescribed, result_of(prescribed, "Bruna Keel", effort=7, minutes=40))
    with cast.inside():
        Location.objects.exclude(id=cast.harbour.id).delete()
        before = {model: model._default_manager.count() for model in COPIED}
    copy_first_gym(cast.org.id, 2)
    with cast.inside():
        assert {model: model._default_manager.count() for model in COPIED} == {
            model: 3 * count for model, count in before.items()
        }
        assert before[SetLog] == 4 and before[Athlete] == 3
        for one in ScheduledSession.objects.all():
            (attempt,) = Attempt.objects.filter(session=one)
            assert attempt.athlete.location_id == one.location_id
            assert attempt.prescription.athlete_id == attempt.athlete_id
        copies = ScheduledSession.objects.exclude(id=prescribed.session.id)
        addresses = [page(cast, f"sessions/{one.id}") for one in copies]
    for address in addresses:
        told = shown(cast, address)
        assert "Bruna Keel" in told and "11:20" in told


def shown(cast: Any, address: str) -> str:
    text: str = looked_at(browser(cast.coach).get(address)).text
    return text
