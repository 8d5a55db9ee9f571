"""One revision at many places: all or none, each with its own clock and, if asked, its own version."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from programming.actions.groups import create_group, update_group
from programming.actions.placements import Place, place_revision
from programming.models import ScheduledSession
from services.problems import Invalid
from tests.programming.support import base, body, change_versions, client, draft, published, stocked
from tests.programming.test_local_versions import made, republished
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_location

AT = dt.datetime(2030, 7, 7, 23, 30, tzinfo=dt.UTC)


def test_each_place_has_its_own_date_and_its_own_athletes(cast: Cast) -> None:
    """Half past eleven in UTC is the next day in Lisbon's summer; a group brings its location; all are marked."""
    stocked(cast)
    with cast.inside():
        actor, revision = cast.coach.actor, published(cast)
        group = create_group(actor=actor, name="Early birds", location_id=cast.mill.id)
        places = [Place(AT, cast.harbour.id), Place(AT, cast.remote.id, group.id), Place(AT, None, group.id)]
        found = [one.session for one in place_revision(actor=actor, revision_id=revision.id, places=places)]
        rows = ScheduledSession.objects.in_bulk([one.id for one in found])
        stored = [rows[one.id] for one in found]
    assert [(row.location_id, row.group_id, row.local_date.day) for row in stored] == [
        (cast.harbour.id, None, 8),
        (cast.remote.id, group.id, 7),
        (cast.mill.id, group.id, 8),
    ]
    with cast.inside():
        assert set(change_versions("session")) == set(rows)


def test_a_location_takes_its_own_version_when_asked(cast: Cast) -> None:
    """The one in use there, whatever revision it was made from; others and who is not asked take the shared one."""
    stocked(cast)
    with cast.inside():
        actor, origin = cast.coach.actor, published(cast)
        first = made(cast, cast.harbour, origin)
        own = made(cast, cast.harbour, origin, document=draft(title="Ours"), replaces_id=first.id)
        newer = republished(cast, origin, title="Harbour seventy")
        places = [Place(AT, cast.harbour.id), Place(AT, cast.mill.id)]
        asked = place_revision(actor=actor, revision_id=newer.id, places=places, use_local_versions=True)
        assert [one.session.revision_id for one in asked] == [own.revision_id, newer.id]
        assert [one.local_version for one in asked] == [own, None]
        plain = place_revision(actor=actor, revision_id=newer.id, places=places)
        assert [one.session.revision_id for one in plain] == [newer.id, newer.id]


def test_one_fault_and_nothing_is_placed(cast: Cast) -> None:
    """Every fault of every place is told at once, with its pointer."""
    stocked(cast)
    with cast.inside():
        actor, origin = cast.coach.actor, published(cast)
        own = made(cast, cast.harbour, origin)
        nowhere = create_group(actor=actor, name="Nowhere")
        rest = update_group(
            actor=actor, group=create_group(actor=actor, name="Rest"), version=1, is_active=False
        )
        places = [
            Place(AT, cast.harbour.id),
            Place(AT, cast.org.id),
            Place(AT, None, nowhere.id),
            Place(AT, cast.mill.id, rest.id),
            Place(AT, cast.mill.id, cast.org.id),
            Place(AT, cast.harbour.id),
        ]
        with pytest.raises(Invalid) as caught:
            place_revision(actor=actor, revision_id=own.revision_id, places=places)
        assert not ScheduledSession.objects.exists()
    assert sorted((e.pointer, e.code) for e in caught.value.errors) == [
        ("#/places/1/location", "unknown_reference"),
        ("#/places/2/location", "required"),
        ("#/places/3/group", "group_not_active"),
        ("#/places/3/location", "local_elsewhere"),
        ("#/places/4/group", "unknown_reference"),
        ("#/places/4/location", "local_elsewhere"),
        ("#/places/5", "named_twice"),
    ]


def test_the_number_of_queries_is_fixed(cast: Cast) -> None:
    """As many for thirty places as for three."""
    stocked(cast)
    places = [make_location(cast.org, f"Place {number}") for number in range(30)]
    counted = []
    with cast.inside():
        revision = published(cast)
        for count in (3, 30):
            with CaptureQueriesContext(connection) as queries:
                place_revision(
                    actor=cast.coach.actor,
                    revision_id=revision.id,
                    places=[Place(AT, place.id) for place in places[:count]],
                    use_local_versions=True,
                )
            counted.append(len(queries))
    assert counted[0] == counted[1]


def test_over_http(cast: Cast) -> None:
    """What was made and by which version; the calendar of a group; another organisation's things are unknown."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
        own = made(cast, cast.harbour, origin)
        group = create_group(actor=cast.coach.actor, name="Early birds", location_id=cast.mill.id)
    caller, path = client(cast.coach), f"{base(cast)}/placements"
    at = AT.isoformat()
    sent: dict[str, Any] = {
        "revision": str(origin.id),
        "places": [
            {"location": str(cast.harbour.id), "starts_at": at},
            {"group": str(group.id), "starts_at": at},
        ],
        "use_local_versions": True,
    }
    items = body(caller.post(path, json=sent), 201)["items"]
    assert [(one["local_version"], one["origin_has_moved"]) for one in items] == [
        (str(own.id), False),
        (None, None),
    ]
    assert [one["session"]["is_local_version"] for one in items] == [True, False]
    calendar = f"{base(cast)}/scheduled-sessions"
    listed = body(caller.get(calendar, query={"group": str(group.id)}))["items"]
    assert [row["id"] for row in listed] == [items[1]["session"]["id"]]
    assert_problem(caller.post(path, json={**sent, "places": []}), "invalid_input", 400, at="#/places")
    one = {"revision": str(origin.id), "starts_at": at}
    assert_problem(caller.post(calendar, json=one), "invalid_input", 400, at="#/location")
    for_group = body(caller.post(calendar, json={**one, "group": str(group.id)}), 201)
    assert (for_group["location"], for_group["group"]) == (str(cast.mill.id), str(group.id))
