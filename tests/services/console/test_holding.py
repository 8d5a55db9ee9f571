"""What pages count of a day's sessions at once is what the interface's own filters say of each."""

from __future__ import annotations

import pytest
from django.utils import timezone

from athletes.actions.athletes import update_athlete
from athletes.models import Athlete
from programming.actions.sessions import cancel_session, schedule_session
from programming.models import ScheduledSession
from scoring import queries
from scoring.actions.day_changes import Change, make_day_change
from scoring.api.filters import AttemptFilter, PrescriptionFilter
from scoring.models import Attempt, Prescription
from scoring.queries import counting_attempts, holding_prescriptions
from services.tenancy.actor import Actor, Role
from tests.services.console.conftest import result_of, send
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, url

pytestmark = pytest.mark.django_db


def by_filter(kind: type, model: type, actor: Actor) -> set[object]:
    rows = kind(data={"current": "true"}, queryset=model.objects.all()).qs  # type: ignore[attr-defined]
    mine = rows if actor.sees_all_athletes else rows.filter(athlete__location__in=actor.location_ids)
    return set(mine.values_list("id", flat=True))


@pytest.mark.parametrize("role", [Role.COACH, Role.LOCATION_STAFF])
def test_named_sessions_or_not_the_same_rows_hold_and_count(world: World, role: Role) -> None:
    """With a prescription that was replaced, a result that was corrected, a session that was called off, and somebody
    who takes part no more.
    """
    cast, actor = world.cast, world.cast.coach.actor
    for name in ("Bruna Keel", "Idris Vane", "Otis Marsh"):
        add_athlete(world, name, 70.0, {"row_45": 16, "goblet_squat": 24})
    with cast.inside():
        off = schedule_session(
            actor=actor,
            revision_id=world.revision.id,
            location_id=cast.harbour.id,
            starts_at=world.session.starts_at,
        )
    drain(cast)
    sent = send(world, result_of(world, "Idris Vane"))
    told = {**result_of(world, "Idris Vane", last=18), "reason": "miscounted"}
    told = {name: value for name, value in told.items() if name not in ("athlete", "session", "client_id")}
    answer = ApiClient(cast.coach.token).post(url(world, f"attempts/{sent['id']}/corrections"), told)
    assert answer.status_code == 201, answer.content
    with cast.inside():
        make_day_change(
            actor=actor,
            session=world.session,
            athlete_id=world.athletes["Bruna Keel"].id,
            change=Change(kind="sore", muscle_groups=["quadriceps"]),
            now=timezone.now(),
        )
        cancel_session(actor=actor, session=off)
        gone = Athlete.objects.get(id=world.athletes["Otis Marsh"].id)
        update_athlete(actor=actor, athlete=gone, expected=gone.version, location_id=cast.mill.id)
    drain(cast)
    reader = cast.members[role].actor
    with cast.inside():
        sessions = list(ScheduledSession.objects.values_list("id", flat=True))
        holding = set(holding_prescriptions(reader, sessions).values_list("id", flat=True))
        assert holding == by_filter(PrescriptionFilter, Prescription, reader)
        assert 2 == len(holding) < Prescription.objects.count()
        counting = set(counting_attempts(reader, sessions).values_list("id", flat=True))
        assert counting == by_filter(AttemptFilter, Attempt, reader)
        assert (len(counting), Attempt.objects.count()) == (1, 2)
        assert not holding_prescriptions(reader, [off.id]).exists()
        assert {row[0] for row in queries.prescriptions_told(reader, sessions=sessions)} == holding
        assert {row[0] for row in queries.results_told(reader, sessions=sessions)} == counting
        told = sorted(queries.versions_counted(reader, sessions=sessions))
        assert told == [(world.session.id, False, 1), (world.session.id, True, 1)]
        (without,) = queries.without_version(reader, sessions=sessions)
        assert without[1] in holding and without[2] == "Bruna Keel"
        assert queries.results_counted(reader, sessions=sessions) == [(world.session.id, 1)]
        assert not queries.versions_counted(reader, sessions=[off.id])
