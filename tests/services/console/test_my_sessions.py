"""The list of one's own sessions, and sessions of other shapes: several blocks, intervals, nothing prescribed yet."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from programming.actions.sessions import cancel_session, schedule_session
from programming.models import ScheduledSession
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.my_athlete import Form, address, another_session, attempts, my_world, own_athlete
from tests.support.world import SESSION, World, add_athlete, drain, make_world

pytestmark = pytest.mark.django_db
A_DAY = dt.timedelta(days=1)
BLOCK: dict[str, Any] = SESSION["blocks"][0]
ROWS = {**BLOCK["work"][0], "repetitions": 5}
EVERY_MINUTE = {
    **BLOCK,
    "key": "minutes",
    "work": [{**ROWS, "key": "c"}],
    "rules": {
        "order": "intervals",
        "intervals": {"every_s": 60, "count": 6},
        "break": {"counts": "missed_interval"},
        "end": {"kind": "work_done"},
        "scored": "intervals",
        "tie_break": "none",
    },
    "aim": {"conditions": [{"kind": "effort", "lower": 3, "upper": 9}]},
}
TWO_BLOCKS = {"title": "Turn about, then by the minute", "blocks": [BLOCK, EVERY_MINUTE]}


@pytest.fixture
def world(db: None) -> World:
    world = make_world(starts_in=dt.timedelta(hours=1))
    own_athlete(world)
    return world


def seen(world: World, path: str = "my/sessions") -> Any:
    return looked_at(browser(world.cast.athlete).get(page(world.cast, path)))


def test_the_list_has_what_is_coming_and_what_was_done(world: World) -> None:
    """With how far each is; another's session, another place's and a cancelled one are not among them."""
    cast = world.cast
    drain(cast)
    add_athlete(world, "Bruna Keel", 62.0)
    with cast.inside():
        for location, days in ((cast.harbour, 9), (cast.harbour, -3), (cast.mill, 1), (cast.harbour, 2)):
            placed = schedule_session(
                actor=cast.coach.actor,
                revision_id=world.revision.id,
                location_id=location.id,
                starts_at=world.session.starts_at + days * A_DAY,
            )
        cancel_session(actor=cast.coach.actor, session=placed)
    told = seen(world)
    assert told.text.count("Rows and goblet squats") == 3
    assert told.text.index("your version is ready") < told.text.index("Done, or past")
    assert told.text.index("no result sent") > told.text.index("Done, or past")
    assert page(cast, f"my/sessions/{world.session.id}") in told.links
    assert "Mill" not in told.text


def test_an_empty_list_says_what_to_do_next(world: World) -> None:
    """Sessions come from a coach."""
    with world.cast.inside():
        cancel_session(actor=world.cast.coach.actor, session=world.session)
    told = seen(world).text
    assert "Your coach places sessions" in told
    assert "Nothing in the last 42 days" in told


def test_the_list_costs_the_same_however_many_there_are(world: World) -> None:
    """Counted with one session and with five."""
    drain(world.cast)
    seen(world)
    with CaptureQueriesContext(connection) as few:
        seen(world)
    for _ in range(4):
        another_session(world)
    drain(world.cast)
    with CaptureQueriesContext(connection) as many:
        seen(world)
    assert len(many) == len(few)


def test_the_page_of_a_session_costs_the_same_however_many_athletes_there_are(world: World) -> None:
    """Counted alone and among three."""
    drain(world.cast)
    path = f"my/sessions/{world.session.id}"
    seen(world, path)
    with CaptureQueriesContext(connection) as few:
        seen(world, path)
    for name in ("Bruna Keel", "Idris Vane"):
        add_athlete(world, name, 80.0, {"row_45": 16, "goblet_squat": 24})
    drain(world.cast)
    with CaptureQueriesContext(connection) as many:
        seen(world, path)
    assert len(many) == len(few)


def test_blocks_are_told_one_by_one(world: World) -> None:
    """One set by set, one in all; a block that is left out is not sent, and each complaint finds its block."""
    placed = another_session(world, **TWO_BLOCKS)
    drain(world.cast)
    where = page(world.cast, f"my/sessions/{placed.id}")
    client = browser(world.cast.athlete)
    answer = client.get(where)
    told = looked_at(answer)
    assert "The first block" in told.text and "The second block" in told.text
    fields = Form(answer.content.decode()).fields
    fields |= {"0-how": "none", "1-how": "totals", "1-total-0": "30", "1-misses": "0"}
    wrong = client.post(where, {**fields, "1-misses": "none at all"})
    assert 'id="f-1-misses-error"' in wrong.content.decode()
    assert client.post(where, fields).status_code == 303
    with world.cast.inside():
        (attempt,) = attempts(World(world.cast, world.revision, placed))
    assert attempt.as_sent["blocks"] == [
        {"block": "minutes", "totals": {"misses": 0, "work": [{"work": "c", "repetitions": 30}]}}
    ]


def test_all_blocks_left_out_is_no_result(world: World) -> None:
    """The complaint stands beside the first block's ways."""
    placed = another_session(world, **TWO_BLOCKS)
    drain(world.cast)
    where = page(world.cast, f"my/sessions/{placed.id}")
    client = browser(world.cast.athlete)
    fields = Form(client.get(where).content.decode()).fields
    answer = client.post(where, {**fields, "0-how": "none", "1-how": "none"})
    assert answer.status_code == 400
    assert 'id="f-0-how-error"' in answer.content.decode()


def test_sets_name_their_interval(world: World) -> None:
    """Only where the block has some."""
    placed = another_session(world, title="By the minute", blocks=[EVERY_MINUTE])
    drain(world.cast)
    fields = Form(
        browser(world.cast.athlete).get(page(world.cast, f"my/sessions/{placed.id}")).content.decode()
    ).fields
    assert "0-0-interval" in fields
    first = browser(world.cast.athlete).get(page(world.cast, f"my/sessions/{world.session.id}"))
    assert "0-0-interval" not in Form(first.content.decode()).fields


def test_before_anything_is_worked_out_the_coachs_words_stand_there(world: World) -> None:
    """A session in nine days: no log, when the version comes, and why the session is."""
    with world.cast.inside():
        placed = schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            starts_at=world.session.starts_at + 9 * A_DAY,
        )
    told = seen(world, f"my/sessions/{placed.id}").text
    assert "Local endurance of the back and the legs." in told
    assert "Your version is worked out from" in told
    assert "Send the result" not in told


def test_times_are_those_of_the_place(db: None) -> None:
    """The session's hour, and the begin that is filled in and sent back, by the clock of Auckland."""
    elsewhere = my_world(starts_in=-A_DAY / 24)
    with elsewhere.cast.inside():
        ScheduledSession.objects.filter(id=elsewhere.session.id).update(zone="Pacific/Auckland")
    client, where = browser(elsewhere.cast.athlete), address(elsewhere)
    answer = client.get(where)
    local = elsewhere.session.starts_at.astimezone(ZoneInfo("Pacific/Auckland"))
    assert f"{local:%H:%M}" in looked_at(answer).text
    fields = Form(answer.content.decode()).fields
    assert fields["begun"] == f"{local:%Y-%m-%dT%H:%M}"
    assert client.post(where, {**fields, "0-0-done": "yes"}).status_code == 303
    (attempt,) = attempts(elsewhere)
    assert attempt.performed_at == local.replace(second=0, microsecond=0)
