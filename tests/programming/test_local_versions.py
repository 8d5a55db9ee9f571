"""A location's own version of a shared revision: who makes it, where it counts, and what has moved since."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.actions.local_versions import make_local_version, use_revision
from programming.actions.sessions import cancel_session, move_session, schedule_session
from programming.actions.templates import publish_revision, update_template
from programming.errors import (
    DraftNotPublishable,
    LocalVersionChanged,
    NotYourPlace,
    SessionCancelled,
    SessionStarted,
)
from programming.models import LocalVersion, Revision, Template
from services.problems import Invalid, PreconditionFailed
from services.tenancy.models import Location
from tests.programming.support import base, body, change_versions, client, draft, placed, published, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast, make_location
from tests.support.pointers import WORK

SOON = timezone.now().replace(microsecond=0) + dt.timedelta(days=2)


def eased(repetitions: int = 30) -> dict[str, Any]:
    """With fewer squats, and a row that needs no rings."""
    document = copy.deepcopy(draft())
    document["blocks"][0]["work"][1]["repetitions"] = repetitions
    return document


def made(cast: Cast, location: Location, origin: Revision, **more: Any) -> LocalVersion:
    sent: dict[str, Any] = {"document": eased(), "reason": "No rings here.", **more}
    actor = sent.pop("actor", cast.coach.actor)
    row, _ = make_local_version(actor=actor, location_id=location.id, origin_id=origin.id, **sent)
    return row


def republished(cast: Cast, origin: Revision, **changes: Any) -> Revision:
    """A newer shared revision of the same template."""
    template = Template.objects.get(id=origin.template_id)
    actor = cast.coach.actor
    template = update_template(
        actor=actor, template=template, version=template.version, draft=draft(**changes)
    )
    revision, _ = publish_revision(actor=actor, template=template, version=template.version)
    return revision


def test_versions_follow_one_another_with_author_and_reason(cast: Cast) -> None:
    """Numbers of its own; the same again is the same row; the one in use has to be named, or nothing is stored."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
        first = made(cast, cast.harbour, origin, actor=cast.staff.actor)
        assert (first.number, first.made_by_id, first.reason) == (1, cast.staff.person.id, "No rings here.")
        assert first.revision.document == eased() and first.revision.template_id == origin.template_id
        same, now = make_local_version(
            actor=cast.coach.actor,
            location_id=cast.harbour.id,
            origin_id=origin.id,
            document=eased(),
            reason="Again.",
        )
        assert (same.id, now) == (first.id, False)
        with pytest.raises(LocalVersionChanged):
            made(cast, cast.harbour, origin, document=eased(20))
        second = made(cast, cast.harbour, origin, document=eased(20), replaces_id=first.id, reason="Fewer.")
        with pytest.raises(LocalVersionChanged):
            made(cast, cast.harbour, origin, document=eased(10), replaces_id=first.id)
        elsewhere = made(cast, cast.mill, origin)
        assert (second.number, elsewhere.number) == (2, 1)
        newer = republished(cast, origin, title="Harbour seventy")
        assert newer.number == 2, "locations' own revisions do not count among the shared ones"
        back, again = publish_revision(
            actor=cast.coach.actor,
            template=Template.objects.get(id=origin.template_id),
            version=Template.objects.get(id=origin.template_id).version,
        )
        assert (back.id, again) == (newer.id, False)


def test_a_shared_revision_is_never_taken_for_a_local_one(cast: Cast) -> None:
    """A draft that equals what a location has published is published as shared, not recognised as theirs."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
        own = made(cast, cast.harbour, origin, document=draft(title="Ours"))
        shared = republished(cast, origin, title="Ours")
        assert (shared.location_id, shared.number) == (None, 2)
        assert shared.sha256 == own.revision.sha256 and shared.id != own.revision_id


def test_who_may_make_one_and_of_what(cast: Cast) -> None:
    """Coaches anywhere, staff at home; of shared revisions only; and it has to be a session."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
        with pytest.raises(NotYourPlace):
            made(cast, cast.mill, origin, actor=cast.staff.actor)
        own = made(cast, cast.harbour, origin)
        with pytest.raises(Invalid) as caught:
            made(cast, cast.mill, own.revision)
        assert [(e.pointer, e.code) for e in caught.value.errors] == [("#/origin", "not_shared")]
        broken = eased()
        broken["blocks"][0]["work"][1]["movement"] = "moonwalk"
        with pytest.raises(DraftNotPublishable) as caught_too:
            made(cast, cast.mill, origin, document=broken)
        pointers = {e.pointer for e in caught_too.value.errors}
        assert pointers == {f"#/document/blocks/0/{WORK}/1/movement"}
        with pytest.raises(Invalid):
            made(cast, cast.mill, origin, replaces_id=cast.org.id)
        assert LocalVersion.objects.count() == 1


def test_it_never_changes(cast: Cast) -> None:
    """The database refuses, whatever the code does."""
    stocked(cast)
    with cast.inside():
        row = made(cast, cast.harbour, published(cast))
        with pytest.raises(DatabaseError), transaction.atomic():
            LocalVersion.objects.filter(id=row.id).update(reason="Other.")
        with pytest.raises(DatabaseError), transaction.atomic():
            LocalVersion.objects.filter(id=row.id).delete()


def test_it_is_used_at_its_own_location_only(cast: Cast) -> None:
    """Not placed elsewhere, not moved there, and not swapped in there; a swap marks the session once."""
    stocked(cast)
    with cast.inside():
        origin, actor = published(cast), cast.coach.actor
        own = made(cast, cast.harbour, origin)
        with pytest.raises(Invalid) as caught:
            schedule_session(
                actor=actor, revision_id=own.revision_id, location_id=cast.mill.id, starts_at=SOON
            )
        assert [(e.pointer, e.code) for e in caught.value.errors] == [("#/revision", "local_elsewhere")]
        away = placed(cast, origin, cast.mill, SOON)
        with pytest.raises(Invalid):
            use_revision(actor=actor, session=away, version=1, revision_id=own.revision_id)
        here = placed(cast, origin, cast.harbour, SOON)
        swapped = use_revision(actor=cast.staff.actor, session=here, version=1, revision_id=own.revision_id)
        assert (swapped.revision_id, swapped.version) == (own.revision_id, 2)
        assert change_versions("session")[here.id] == 2
        with pytest.raises(Invalid) as caught:
            move_session(actor=actor, session=swapped, version=2, location_id=cast.mill.id)
        assert [(e.pointer, e.code) for e in caught.value.errors] == [("#/location", "local_elsewhere")]
        back = use_revision(actor=actor, session=swapped, version=2, revision_id=origin.id)
        assert back.revision_id == origin.id


def test_what_a_session_may_not_be_swapped_for(cast: Cast) -> None:
    """Another template's revision; nothing at all once it has begun, is off, belongs to others, or has moved."""
    stocked(cast)
    with cast.inside():
        origin, actor = published(cast), cast.coach.actor
        newer = republished(cast, origin, title="Harbour seventy")
        other = published(cast, draft(title="Something else"))
        session = placed(cast, origin, cast.harbour, SOON)
        with pytest.raises(Invalid) as caught:
            use_revision(actor=actor, session=session, version=1, revision_id=other.id)
        assert [e.code for e in caught.value.errors] == ["other_template"]
        with pytest.raises(PreconditionFailed):
            use_revision(actor=actor, session=session, version=7, revision_id=newer.id)
        begun = placed(cast, origin, cast.harbour, timezone.now() - dt.timedelta(minutes=1))
        with pytest.raises(SessionStarted):
            use_revision(actor=actor, session=begun, version=1, revision_id=newer.id)
        away = placed(cast, origin, cast.mill, SOON)
        with pytest.raises(NotYourPlace):
            use_revision(actor=cast.staff.actor, session=away, version=1, revision_id=newer.id)
        off = cancel_session(actor=actor, session=away)
        with pytest.raises(SessionCancelled):
            use_revision(actor=actor, session=off, version=2, revision_id=newer.id)


def test_it_says_what_is_its_own_and_what_has_moved(cast: Cast) -> None:
    """Sentences of both, as soon as the origin has a newer revision; over HTTP."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
        row = made(cast, cast.harbour, origin)
    caller, address = client(cast.staff), f"{base(cast)}/local-versions/{row.id}"
    before = body(caller.get(address))
    assert [one["sentence"] for one in before["own_changes"]] == [
        "Block main: work b (squat): 30 repetitions, before 40 repetitions."
    ]
    assert (before["origin_has_moved"], before["origin_changes"], before["is_in_use"]) == (False, [], True)
    with cast.inside():
        newer = republished(cast, origin, title="Harbour seventy")
        made(cast, cast.harbour, origin, document=eased(20), replaces_id=row.id)
    after = body(caller.get(address))
    assert [one["sentence"] for one in after["origin_changes"]] == [
        "The title is now Harbour seventy, before Harbour sixty."
    ]
    assert (after["origin_has_moved"], after["newest_origin"]) == (True, str(newer.id))
    assert (after["is_in_use"], after["document"]) == (False, eased())
    listed = body(caller.get(f"{base(cast)}/local-versions", query={"in_use": "true"}))["items"]
    assert [(one["number"], one["origin_has_moved"]) for one in listed] == [(2, True)]
    assert len(body(caller.get(f"{base(cast)}/local-versions", query={"in_use": "false"}))["items"]) == 1
    assert_problem(client(cast.athlete).get(address), "forbidden", 403)


def test_over_http(cast: Cast) -> None:
    """Made once, found again by 200, and refused with pointers."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
    caller, path = client(cast.staff), f"{base(cast)}/local-versions"
    sent = {
        "location": str(cast.harbour.id),
        "origin": str(origin.id),
        "document": eased(),
        "reason": "No rings here.",
    }
    first = caller.post(path, json=sent)
    assert body(first, 201)["id"] in first.headers["Location"]
    assert body(caller.post(path, json=sent), 200)["id"] == body(first, 201)["id"]
    changed = {**sent, "document": eased(10)}
    assert_problem(caller.post(path, json=changed), "local_version_changed", 409)
    assert_problem(caller.post(path, json={**sent, "location": str(cast.mill.id)}), "not_your_place", 403)
    revisions = body(caller.get(f"{base(cast)}/templates/{origin.template_id}/revisions"))["items"]
    assert [row["id"] for row in revisions] == [str(origin.id)], "a location's own are apart"
    own = body(caller.get(f"{base(cast)}/revisions/{body(first, 201)['revision']}"))
    assert own["location"] == str(cast.harbour.id)


@pytest.mark.django_db
def test_the_list_costs_the_same_for_three_rows_and_thirty() -> None:
    """The number of queries does not grow with the number of rows, nor of locations."""
    counted = []
    for count in (3, 30):
        gym = stocked(make_cast(f"Gym of {count}"))
        places = [make_location(gym.org, f"Place {number}") for number in range(count)]
        with gym.inside():
            origin = published(gym)
            for place in places:
                made(gym, place, origin)
        caller = client(gym.coach)
        with CaptureQueriesContext(connection) as queries:
            response = caller.get(f"{base(gym)}/local-versions")
        assert len(body(response)["items"]) == count
        counted.append(len(queries))
    assert counted[0] == counted[1]
