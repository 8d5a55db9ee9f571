"""Calendar feeds over HTTP: who makes them, what they tell and what they do not, and how they end."""

from __future__ import annotations

import datetime as dt
import json
from types import SimpleNamespace
from typing import Any

import pytest
import vobject
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from gunicorn.config import Config

from athletes.actions.athletes import update_athlete
from athletes.actions.group_members import add_group_members
from athletes.models import Athlete
from programming.actions.groups import create_group
from programming.actions.sessions import cancel_session, move_session, schedule_session
from programming.models import ScheduledSession
from services.access.actions import digest_of
from services.access_log import SecretlessLogger, without_secrets
from services.exchange.actions.feeds import MOST_FEEDS, MOST_READS, make_feed, read_feed
from services.exchange.models import Feed
from services.problems import NotFound, TooManyRequests
from services.tenancy.context import person, setting
from services.tenancy.models import Membership, Person
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import make_cast
from tests.support.world import SESSION, World, add_athlete, make_world, url


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def made(world: World, token: str = "", **body: Any) -> dict[str, Any]:
    answer = ApiClient(token or world.cast.coach.token).post(
        url(world, "feeds"), {"label": "Sessions", **body}
    )
    assert answer.status_code == 201, answer.content
    return dict(answer.json())


def of_harbour(world: World) -> str:
    """The path of a feed of the harbour, as its address has it."""
    return path_of(made(world, location=str(world.cast.harbour.id)))


def path_of(feed: dict[str, Any]) -> str:
    return "/api/v1/" + feed["url"].split("/api/v1/")[1]


def events(path: str) -> list[Any]:
    answer = ApiClient().get(path)
    assert answer.status_code == 200, answer.content
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    return list(vobject.readOne(answer.content.decode()).contents.get("vevent", []))


def test_a_feed_tells_title_place_and_time(world: World) -> None:
    """Read without signing in, by the address alone; as long as was asked for."""
    feed = made(world, location=str(world.cast.harbour.id), entry_minutes=90)
    assert feed["last_read_at"] is None
    (event,) = events(path_of(feed))
    assert event.summary.value == SESSION["title"]
    assert event.location.value == "Harbour"
    assert event.dtstart.value == world.session.starts_at.replace(microsecond=0)
    assert event.duration.value == dt.timedelta(minutes=90)
    assert event.uid.value == f"session-{world.session.id}"


def test_a_feed_tells_nothing_else(world: World) -> None:
    """No work, no load, no reason, no text of the session, no name of anybody: just these properties."""
    athlete = add_athlete(world, "Ruta Penn", 61.5, {"row_45": 12})
    feed = made(world, athlete=str(athlete.id))
    (event,) = events(path_of(feed))
    told = {name.upper() for name in event.contents}
    when = {"DTSTAMP", "LAST-MODIFIED", "SEQUENCE", "DTSTART", "DURATION", "STATUS", "TRANSP"}
    assert told == when | {"UID", "SUMMARY", "LOCATION"}
    body = ApiClient().get(path_of(feed)).content.decode()
    for word in ("Ruta", "row_45", "kg", SESSION["texts"]["why"], "61.5"):
        assert word not in body


def test_a_moved_session_is_the_same_entry(world: World) -> None:
    """The identifier stays, SEQUENCE rises, DTSTAMP is the time of the change."""
    path, actor = of_harbour(world), world.cast.coach.actor
    (before,) = events(path)
    later = world.session.starts_at + dt.timedelta(days=1)
    with world.cast.inside():
        move_session(actor=actor, session=world.session, version=1, starts_at=later)
    (after,) = events(path)
    assert after.uid.value == before.uid.value
    assert (before.sequence.value, after.sequence.value) == ("0", "1")
    assert after.dtstamp.value > before.dtstamp.value - dt.timedelta(seconds=1)
    assert after.dtstart.value == later.replace(microsecond=0)
    with world.cast.inside():
        changed_at = ScheduledSession.objects.get(id=world.session.id).changed_at
    assert after.dtstamp.value == changed_at.replace(microsecond=0)


def test_a_cancelled_session_stays_as_cancelled(world: World) -> None:
    """In the calendar of the place and of who would have come, who gets no prescription for it any more."""
    athlete = add_athlete(world, "Ruta Penn")
    paths = [of_harbour(world), path_of(made(world, athlete=str(athlete.id)))]
    with world.cast.inside():
        cancel_session(actor=world.cast.coach.actor, session=world.session)
    for path in paths:
        (event,) = events(path)
        assert (event.status.value, event.sequence.value) == ("CANCELLED", "1")


def test_an_athlete_s_feed_follows_the_groups(world: World) -> None:
    """A session of a group at another place is there for its members, and not for others of the location."""
    with world.cast.inside():
        actor = world.cast.coach.actor
        group = create_group(actor=actor, name="Uphill", location_id=world.cast.mill.id)
        starts_at = timezone.now() + dt.timedelta(days=9)
        schedule_session(actor=actor, revision_id=world.revision.id, group_id=group.id, starts_at=starts_at)
    member, other = add_athlete(world, "Ruta Penn"), add_athlete(world, "Ines Carr")
    with world.cast.inside():
        add_group_members(
            actor=world.cast.coach.actor,
            group=group,
            athlete_ids=[member.id],
            from_date=timezone.now().date(),
        )
    places = {
        one.name: [event.location.value for event in events(path_of(made(world, athlete=str(one.id))))]
        for one in (member, other)
    }
    assert places == {"Ruta Penn": ["Harbour", "Mill"], "Ines Carr": ["Harbour"]}


def test_what_is_known_is_not_sent_again(world: World) -> None:
    """304 for the entity tag, until something is different."""
    path = of_harbour(world)
    first = ApiClient().get(path)
    known = {"If-None-Match": first.headers["ETag"]}
    again = ApiClient().get(path, headers=known)
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    with world.cast.inside():
        cancel_session(actor=world.cast.coach.actor, session=world.session)
    assert ApiClient().get(path, headers=known).status_code == 200


def test_a_revoked_feed_is_gone(world: World) -> None:
    """Like an address that never was; so is one with a letter changed."""
    feed = made(world, location=str(world.cast.harbour.id))
    path = path_of(feed)
    turned = path.removesuffix(".ics")
    turned = turned[:-1] + ("A" if turned[-1] != "A" else "B") + ".ics"
    assert_problem(ApiClient().get(turned), "not_found", 404)
    assert ApiClient(world.cast.coach.token).delete(url(world, f"feeds/{feed['id']}")).status_code == 204
    assert_problem(ApiClient().get(path), "not_found", 404)


def test_a_feed_ends_with_the_membership_of_its_maker(world: World) -> None:
    path = path_of(made(world, token=world.cast.staff.token, location=str(world.cast.harbour.id)))
    assert events(path)
    with world.cast.inside():
        Membership.objects.filter(person_id=world.cast.staff.person.id).update(is_active=False)
    assert_problem(ApiClient().get(path), "not_found", 404)


def test_a_feed_ends_with_the_account_of_its_maker(world: World) -> None:
    """Also where the membership itself was left as it is."""
    path = path_of(made(world, token=world.cast.staff.token, location=str(world.cast.harbour.id)))
    assert events(path)
    with transaction.atomic(), person(world.cast.staff.person.id):
        assert Person.objects.filter(id=world.cast.staff.person.id).update(is_active=False) == 1
    assert_problem(ApiClient().get(path), "not_found", 404)


def test_nobody_makes_a_feed_of_whom_they_do_not_see(world: World) -> None:
    """Staff of the harbour of somebody at the mill; of a rival's place not even the coach."""
    rival = make_cast("Fenland Barbell")
    with world.cast.inside():
        unseen = add_athlete(world, "Ruta Penn")
        Athlete.objects.filter(id=unseen.id).update(location_id=world.cast.mill.id)
    for token, name, sent in (
        (world.cast.staff.token, "athlete", unseen.id),
        (world.cast.coach.token, "location", rival.harbour.id),
    ):
        answer = ApiClient(token).post(url(world, "feeds"), {"label": "Mine", name: str(sent)})
        assert_problem(answer, "invalid_input", 400, at=f"#/{name}")


def test_a_feed_shows_what_its_maker_may_see_now(world: World) -> None:
    """Staff of the harbour lose sight of who moves to the mill; who is not active has no sessions."""
    athlete = add_athlete(world, "Ruta Penn")
    by_staff = path_of(made(world, token=world.cast.staff.token, athlete=str(athlete.id)))
    by_coach = path_of(made(world, athlete=str(athlete.id)))
    with world.cast.inside():
        row = update_athlete(
            actor=world.cast.coach.actor,
            athlete=Athlete.objects.get(id=athlete.id),
            expected=1,
            location_id=world.cast.mill.id,
        )
        schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.mill.id,
            starts_at=world.session.starts_at,
        )
    assert (len(events(by_staff)), len(events(by_coach))) == (0, 1)
    with world.cast.inside():
        Athlete.objects.filter(id=row.id).update(is_active=False)
    assert events(by_coach) == []


@pytest.mark.parametrize(
    ("body", "at"),
    [
        ({}, "#"),
        ({"athlete": "00000000-0000-4000-8000-000000000000"}, "#/athlete"),
        ({"location": "00000000-0000-4000-8000-000000000000"}, "#/location"),
        ({"location": None, "entry_minutes": 4}, "#/entry_minutes"),
    ],
    ids=["of nothing", "of nobody", "of no place", "too short"],
)
def test_what_cannot_be_made(world: World, body: dict[str, Any], at: str) -> None:
    answer = ApiClient(world.cast.coach.token).post(url(world, "feeds"), {"label": "Mine", **body})
    assert_problem(answer, "invalid_input", 400, at=at)


def test_both_an_athlete_and_a_location_are_refused(world: World) -> None:
    athlete = add_athlete(world, "Ruta Penn")
    body = {"label": "Mine", "athlete": str(athlete.id), "location": str(world.cast.mill.id)}
    assert_problem(
        ApiClient(world.cast.coach.token).post(url(world, "feeds"), body), "invalid_input", 400, at="#"
    )


def test_nobody_makes_feeds_without_end(world: World) -> None:
    for number in range(MOST_FEEDS):
        made(world, location=str(world.cast.harbour.id), label=f"Device {number}")
    body = {"label": "One more", "location": str(world.cast.harbour.id)}
    assert_problem(ApiClient(world.cast.coach.token).post(url(world, "feeds"), body), "too_many_feeds", 422)
    assert ApiClient(world.cast.staff.token).post(url(world, "feeds"), body).status_code == 201


def test_a_program_that_asks_all_the_time_has_to_wait(world: World) -> None:
    """Counted for each feed; refused beyond the bound, with the time to wait; an hour later it begins anew."""
    path = of_harbour(world)
    other = of_harbour(world)
    with world.cast.inside():
        Feed.objects.filter(digest=digest_of(secret(path))).update(
            reads=MOST_READS - 1, reads_since=timezone.now() - dt.timedelta(minutes=50)
        )
    last = ApiClient().get(path)
    assert last.status_code == 200
    assert last.headers["RateLimit"].startswith('"reads";r=0;t=')
    refused = ApiClient().get(path)
    assert_problem(refused, "too_many_requests", 429)
    assert 590 <= int(refused.headers["Retry-After"]) <= 600
    assert ApiClient().get(other).status_code == 200
    with pytest.raises(TooManyRequests), transaction.atomic():
        read_feed(secret=secret(path), now=timezone.now() + dt.timedelta(minutes=9))
    with transaction.atomic():
        again = read_feed(secret=secret(path), now=timezone.now() + dt.timedelta(minutes=10, seconds=1))
    assert again.reads_left == MOST_READS - 1


def secret(path: str) -> str:
    return path.rsplit("/", 1)[1].removesuffix(".ics")


def test_before_the_tenant_is_known_one_row_is_seen(world: World) -> None:
    """The digest shows its feed and nothing else of the organisation; the secret itself is nowhere."""
    path = of_harbour(world)
    of_harbour(world)
    with transaction.atomic(), setting("app.digest", digest_of(secret(path))), connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM exchange_feed")
        assert cursor.fetchone() == (1,)
        cursor.execute("SELECT count(*) FROM programming_scheduledsession")
        assert cursor.fetchone() == (0,)
    with world.cast.inside():
        stored = json.dumps([str(vars(row)) for row in Feed.objects.all()])
    assert secret(path) not in stored
    with pytest.raises(NotFound), transaction.atomic():
        read_feed(secret=digest_of(secret(path)), now=timezone.now())


def test_the_access_log_keeps_the_secret(world: World) -> None:
    """Neither the request line nor the path; everything else as it is."""
    path = of_harbour(world)
    assert secret(path) not in without_secrets(f"GET {path}?a=1 HTTP/1.1")
    assert without_secrets(f"GET {path}?a=1 HTTP/1.1") == "GET /api/v1/feeds/….ics?a=1 HTTP/1.1"
    assert without_secrets("GET /api/v1/me HTTP/1.1") == "GET /api/v1/me HTTP/1.1"
    logger = SecretlessLogger(Config())
    asked = SimpleNamespace(headers=[], method="GET", uri=path)
    answered = SimpleNamespace(status="200 OK", sent=1, headers=[])
    environ = {"RAW_URI": path, "REQUEST_METHOD": "GET", "SERVER_PROTOCOL": "HTTP/1.1", "PATH_INFO": path}
    written = logger.atoms(answered, asked, environ, dt.timedelta(seconds=1))
    assert written["r"] == "GET /api/v1/feeds/….ics HTTP/1.1"
    assert secret(path) not in str(written)


def test_refusals_are_logged_without_the_path(world: World, caplog: pytest.LogCaptureFixture) -> None:
    assert ApiClient().get("/api/v1/feeds/not-a-secret-of-ours.ics").status_code == 404
    assert "not-a-secret-of-ours" not in caplog.text


@pytest.mark.django_db
def test_a_list_costs_the_same_for_three_rows_and_thirty() -> None:
    """Of feeds; and reading one costs the same for three sessions and thirty."""
    found = []
    for count in (3, 30):
        world = make_world()
        for number in range(count):
            with world.cast.inside():
                schedule_session(
                    actor=world.cast.coach.actor,
                    revision_id=world.revision.id,
                    location_id=world.cast.mill.id,
                    starts_at=timezone.now() + dt.timedelta(days=number),
                )
                who = (world.cast.coach, world.cast.owner)[number >= MOST_FEEDS]
                _, key = make_feed(
                    actor=who.actor,
                    athlete_id=None,
                    location_id=world.cast.mill.id,
                    label="x",
                    entry_minutes=60,
                )
        with CaptureQueriesContext(connection) as listed:
            answer = ApiClient(world.cast.coach.token).get(url(world, "feeds"))
        assert len(answer.json()["items"]) == count
        with CaptureQueriesContext(connection) as read:
            assert len(events(f"/api/v1/feeds/{key}.ics")) == count
        found.append((len(listed), len(read)))
    assert found[0] == found[1]


def test_a_feed_of_another_organisation_is_not_there(world: World) -> None:
    rival = make_cast("Fenland Barbell")
    feed = made(world, location=str(world.cast.harbour.id))
    stranger = ApiClient(rival.owner.token)
    assert stranger.delete(f"/api/v1/organisations/{rival.org.id}/feeds/{feed['id']}").status_code == 404
    assert stranger.get(f"/api/v1/organisations/{rival.org.id}/feeds").json()["items"] == []
