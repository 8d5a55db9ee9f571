"""Templates, revisions and calendar: what may be published, what never changes, what asks for a recompute."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.actions.sessions import cancel_session, move_session, put_location_kit
from programming.actions.templates import create_template, publish_revision, update_template
from programming.calc.rule_codes import RULES_VERSION
from programming.errors import DraftChanged, DraftNotPublishable, SessionCancelled
from programming.models import LocationKit, Revision, ScheduledSession
from programming.plans import session_plan, session_plans
from programming.queries import session_ids_between
from services.changes.models import Change
from services.problems import Invalid, NotFound, PreconditionFailed
from services.tenancy.models import Location
from tests.programming.support import change_versions, draft, placed, published, stocked, with_kit
from tests.support.cast import Cast, make_cast, make_location
from tests.support.pointers import WORK


def faults(cast: Cast, document: dict[str, Any]) -> set[tuple[str, str]]:
    """(pointer, code) of what publishing the document meets; inside the organisation."""
    with pytest.raises(DraftNotPublishable) as caught:
        published(cast, document)
    return {(error.pointer, error.code) for error in caught.value.errors}


def changed(path: list[Any], value: Any) -> dict[str, Any]:
    """The good draft with one value replaced below its block."""
    whole = draft()
    place: Any = whole["blocks"][0]
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return whole


WORK, AIM = f"#/draft/blocks/0/{WORK}", "#/draft/blocks/0/aim/conditions"


@pytest.mark.parametrize(
    ("path", "value", "fault"),
    [
        (["work", 0, "movement"], "moonwalk", (f"{WORK}/0/movement", "unknown_movement")),
        (["work", 0, "variations"], ["row_45", "row_99"], (f"{WORK}/0/variations/1", "unknown_variation")),
        (
            ["work", 0, "variations"],
            ["row_45", "body_weight_squat"],
            (f"{WORK}/0/variations/1", "unknown_variation"),
        ),
        (
            ["work", 1, "as_written"],
            {"variation": "row_45"},
            (f"{WORK}/1/as_written/variation", "unknown_variation"),
        ),
        (
            ["work", 1, "as_written"],
            {"variation": "goblet_squat"},
            (f"{WORK}/1/as_written/load_kg", "missing_setting"),
        ),
        (
            ["work", 0, "as_written"],
            {"variation": "row_45", "load_kg": 5},
            (f"{WORK}/0/as_written/load_kg", "not_adjustable"),
        ),
        (["aim", "conditions", 0, "lower"], 70, (f"{AIM}/0", "window_reversed")),
        (["aim", "conditions"], [], (AIM, "aim_empty")),
    ],
)
def test_a_draft_that_is_no_session_is_not_published(
    cast: Cast, path: list[Any], value: Any, fault: tuple[str, str]
) -> None:
    """Every fault has its place in the template; nothing is published."""
    stocked(cast)
    with cast.inside():
        assert fault in faults(cast, changed(path, value))
        assert not Revision.objects.exists()


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_json_does_not_have_is_no_draft(cast: Cast, value: float) -> None:
    """NaN and infinity are refused before the database would have to."""
    with cast.inside(), pytest.raises(Invalid):
        create_template(actor=cast.coach.actor, name="x", draft=changed(["rules", "end", "cap_s"], value))


def test_another_organisations_movement_is_unknown_here(cast: Cast) -> None:
    """The catalogue that counts is the organisation's own."""
    stocked(make_cast("Hillside Strength"))
    with cast.inside():
        assert (f"{WORK}/0/movement", "unknown_movement") in faults(cast, draft())


def test_publishing_numbers_and_recognises_documents(cast: Cast) -> None:
    """A changed draft is the next number, one that was published before is the revision it was."""
    stocked(cast)
    with cast.inside():
        actor = cast.coach.actor
        template = create_template(actor=actor, name="Sixty", draft=draft())
        first, made = publish_revision(actor=actor, template=template, version=1)
        assert (first.number, made, first.rules_version, first.published_by_id) == (
            1,
            True,
            RULES_VERSION,
            actor.person_id,
        )
        again, made = publish_revision(actor=actor, template=template, version=1)
        assert (again.id, made) == (first.id, False)
        template = update_template(
            actor=actor, template=template, version=1, draft=draft(title="Harbour two")
        )
        second, made = publish_revision(actor=actor, template=template, version=2)
        assert (second.number, made) == (2, True)
        assert second.sha256 != first.sha256
        template = update_template(actor=actor, template=template, version=2, draft=draft())
        assert publish_revision(actor=actor, template=template, version=3) == (first, False)


def test_a_draft_that_moved_on_is_not_published(cast: Cast) -> None:
    """Who publishes has seen what is published; who writes has seen what is overwritten."""
    stocked(cast)
    with cast.inside():
        actor = cast.coach.actor
        template = create_template(actor=actor, name="Sixty", draft=draft())
        update_template(actor=actor, template=template, version=1, name="Sixty again")
        with pytest.raises(DraftChanged):
            publish_revision(actor=actor, template=template, version=1)
        with pytest.raises(PreconditionFailed):
            update_template(actor=actor, template=template, version=1, name="Mine")


@pytest.mark.parametrize(
    "change", [lambda rows: rows.update(document={}), lambda rows: rows.delete()], ids=["UPDATE", "DELETE"]
)
def test_the_database_refuses_to_change_a_revision(cast: Cast, change: Any) -> None:
    """The app role has no right to it, whatever the code does."""
    stocked(cast)
    with cast.inside():
        revision = published(cast)
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            change(Revision.objects.filter(id=revision.id))
        revision.refresh_from_db()
        assert revision.document == draft()


@pytest.mark.parametrize(
    ("zone", "starts_at", "local_date"),
    [
        ("Pacific/Kiritimati", "2030-03-07T11:00:00+00:00", "2030-03-08"),
        ("Pacific/Pago_Pago", "2030-03-07T10:30:00+00:00", "2030-03-06"),
        ("Europe/Lisbon", "2030-03-07T23:30:00+00:00", "2030-03-07"),
        ("Europe/Lisbon", "2030-07-07T23:30:00+00:00", "2030-07-08"),
    ],
)
def test_a_session_keeps_the_date_of_its_place(
    cast: Cast, zone: str, starts_at: str, local_date: str
) -> None:
    """The local date is that of the location's zone at the instant; a later change of zone moves nothing."""
    stocked(cast)
    place = make_location(cast.org, "Elsewhere", zone)
    with cast.inside():
        session = placed(cast, published(cast), place, dt.datetime.fromisoformat(starts_at))
        assert (session.zone, str(session.local_date)) == (zone, local_date)
        Location.objects.filter(id=place.id).update(zone="Asia/Tokyo")
        session.refresh_from_db()
        assert (session.zone, str(session.local_date)) == (zone, local_date)
        assert change_versions("session") == {session.id: 1}


def test_moving_and_cancelling_ask_for_a_recompute(cast: Cast) -> None:
    """Each marks the session once; cancelling again does not; a cancelled session stays where it was."""
    stocked(cast)
    with cast.inside():
        actor, start = cast.coach.actor, dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC)
        session = placed(cast, published(cast), cast.harbour, start)
        moved = move_session(
            actor=actor,
            session=session,
            version=1,
            starts_at=start + dt.timedelta(days=1),
            location_id=cast.mill.id,
        )
        assert (moved.version, moved.location_id, str(moved.local_date)) == (2, cast.mill.id, "2030-03-08")
        with pytest.raises(PreconditionFailed):
            move_session(actor=actor, session=moved, version=1, starts_at=start)
        cancelled = cancel_session(actor=actor, session=moved)
        again = cancel_session(actor=actor, session=cancelled)
        assert (again.version, again.cancelled_at) == (3, cancelled.cancelled_at)
        assert change_versions("session") == {session.id: 3}
        with pytest.raises(SessionCancelled):
            move_session(actor=actor, session=cancelled, version=3, starts_at=start)


def test_what_is_not_the_organisations_cannot_be_placed(cast: Cast) -> None:
    """A foreign or invented revision or location is a fault of the body, not a leak."""
    stocked(cast)
    other = stocked(make_cast("Hillside Strength"))
    with other.inside():
        foreign = published(other)
    start = timezone.now()
    with cast.inside():
        mine = published(cast)
        for revision, location in ((foreign, cast.harbour), (mine, other.harbour)):
            with pytest.raises(Invalid) as caught:
                placed(cast, revision, location, start)
            assert caught.value.errors[0].code == "unknown_reference"
        assert not ScheduledSession.objects.exists()


def test_a_new_kit_asks_for_the_coming_week_there(cast: Cast) -> None:
    """Only that location's sessions of the next seven days that are not cancelled."""
    stocked(cast)
    with cast.inside():
        now, revision = timezone.now(), published(cast)
        soon = placed(cast, revision, cast.harbour, now + dt.timedelta(days=6))
        placed(cast, revision, cast.harbour, now + dt.timedelta(days=8))
        placed(cast, revision, cast.harbour, now - dt.timedelta(days=1))
        placed(cast, revision, cast.mill, now + dt.timedelta(days=1))
        off = placed(cast, revision, cast.harbour, now + dt.timedelta(days=2))
        cancel_session(actor=cast.coach.actor, session=off)
        Change.objects.all().delete()
        with_kit(cast, cast.harbour)
        assert change_versions("session") == {soon.id: 1}
        with pytest.raises(PreconditionFailed):
            with_kit(cast, cast.harbour)
        better = {"items": {"rings": {}}}
        put_location_kit(actor=cast.coach.actor, location=cast.harbour, document=better, version=1)
        assert change_versions("session") == {soon.id: 2}
        assert LocationKit.objects.get(location=cast.harbour).version == 2


def test_a_kit_that_cannot_be_loaded_is_refused(cast: Cast) -> None:
    """Every fault at its place, NaN among them."""
    wrong = {"items": {"kettlebell": {"loads_kg": [8, float("nan")]}, "box": {"depth_cm": [3]}}}
    with cast.inside():
        with pytest.raises(Invalid) as caught:
            with_kit(cast, cast.harbour, wrong)
        pointers = {error.pointer for error in caught.value.errors}
        assert {"#/items/kettlebell/loads_kg/1", "#/items/box/depth_cm"} <= pointers
        assert not LocationKit.objects.exists()


def test_a_plan_holds_what_a_computation_needs(cast: Cast) -> None:
    """Document, kit and ladders: what the revision allows, else the whole ladder, easier first."""
    stocked(cast)
    with cast.inside():
        with_kit(cast, cast.harbour)
        start = dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC)
        session = placed(cast, published(cast), cast.harbour, start)
        plan = session_plan(session.id)
        assert [entry.variation.key for entry in plan.ladder("a")] == ["row_30", "row_45"]
        whole = ["squat_supported", "box_squat", "body_weight_squat", "goblet_squat"]
        assert [entry.variation.key for entry in plan.ladder("b")] == whole
        assert "row_75" in plan.variations  # a log may name what was not prescribed
        assert plan.block.repetitions == 100
        assert plan.movement("b").key == "squat"
        assert plan.kit.item("kettlebell").loads_kg == (8.0, 12.0, 16.0)
        assert (plan.kit_version, plan.starts_at, plan.is_cancelled) == (1, start, False)
        with pytest.raises(KeyError):
            plan.ladder("c")
        with pytest.raises(NotFound):
            session_plan(uuid4())


def test_plans_cost_three_queries_whatever_their_number(cast: Cast) -> None:
    """One session or thirty at two locations: sessions, kits, variations."""
    stocked(cast)
    with cast.inside():
        revisions = [published(cast), published(cast, draft(title="Other"))]
        with_kit(cast, cast.harbour)
        start = dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC)
        ids = [
            placed(cast, revisions[n % 2], (cast.harbour, cast.mill)[n % 2], start + dt.timedelta(days=n)).id
            for n in range(30)
        ]
        for wanted in (ids[:1], ids):
            with CaptureQueriesContext(connection) as queries:
                plans = session_plans(wanted)
            assert (len(queries), set(plans)) == (3, set(wanted))
        assert plans[ids[1]].kit_version == 0
        assert not plans[ids[1]].kit.items


def test_the_calendar_between_two_instants(cast: Cast) -> None:
    """Bounds included, cancelled sessions left out, earliest first."""
    stocked(cast)
    with cast.inside():
        revision, start, day = (
            published(cast),
            dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC),
            dt.timedelta(days=1),
        )
        late = placed(cast, revision, cast.mill, start + day)
        early = placed(cast, revision, cast.harbour, start)
        cancel_session(actor=cast.coach.actor, session=placed(cast, revision, cast.remote, start))
        assert session_ids_between(start, start + day) == [early.id, late.id]
        assert session_ids_between(start, start + day, location_id=cast.mill.id) == [late.id]
