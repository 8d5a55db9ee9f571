"""Tables over HTTP and through the worker: each row once, by the same rules as a request, and a report of each."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Assessment, Athlete, BodyMass
from programming.actions.sessions import schedule_session
from scoring.models import Attempt
from services.api.chunked import with_chunked_bodies
from services.api.parsers import CUT, MAX_BODY_BYTES
from services.changes.models import Change
from services.exchange.actions import imports as actions
from services.exchange.kinds import Column
from services.exchange.models import Import, ImportRow
from services.pipeline.recompute import recompute_change
from services.tenancy.models import Membership
from tests.support.api import ApiClient, assert_problem
from tests.support.world import World, add_athlete, drain, make_world, url

FOUR = "athlete,variation,kind,x\na,b,c,d\n"
LAST_WEEK = (timezone.now() - dt.timedelta(days=7)).date()


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def send(world: World, kind: str, csv: str, token: str = "", **body: Any) -> Any:
    client = ApiClient(token or world.cast.coach.token)
    return client.post(url(world, "imports"), {"kind": kind, "csv": csv, **body})


def sent(world: World, kind: str, csv: str, **body: Any) -> dict[str, Any]:
    """An import that was worked off, as it stands then."""
    answer = send(world, kind, csv, **body)
    assert answer.status_code in (200, 201), answer.content
    drain(world.cast)
    found = ApiClient(world.cast.coach.token).get(url(world, f"imports/{answer.json()['id']}"))
    return dict(found.json())


def rows(world: World, made: dict[str, Any], **query: str) -> list[dict[str, Any]]:
    path = url(world, f"imports/{made['id']}/rows")
    return list(ApiClient(world.cast.coach.token).get(path, query={"limit": "200", **query}).json()["items"])


def counts(world: World) -> tuple[int, ...]:
    with world.cast.inside():
        return tuple(kind.objects.count() for kind in (Athlete, BodyMass, Assessment, Attempt))


def outcome(made: dict[str, Any]) -> tuple[str, int, int, int]:
    return made["state"], made["created_rows"], made["duplicate_rows"], made["invalid_rows"]


ATHLETES = (
    "client_id,name,location,sex,born_on,zone,trains_alone\n"
    "a-1,Ruta Penn,Harbour,female,1994-03-31,Europe/Riga,true\n"
    "a-2,Ines Carr,Atlantis,,,,\n"
    ",Tove Lind,,male,,,\n"
    "a-4,,Harbour,,,,\n"
    "a-5,Jon Abara,Harbour,other,,,\n"
)


def test_athletes_come_in_row_by_row(world: World) -> None:
    """Good ones are stored as they were told; of each other one it is said which column to correct."""
    made = sent(world, "athletes", ATHLETES, location=str(world.cast.mill.id))
    assert outcome(made) == ("done", 2, 0, 3)
    assert (made["rows_total"], made["rows_done"]) == (5, 5)
    with world.cast.inside():
        ruta, tove = Athlete.objects.get(client_id="a-1"), Athlete.objects.get(name="Tove Lind")
    assert (ruta.sex, ruta.born_on, ruta.zone) == ("female", dt.date(1994, 3, 31), "Europe/Riga")
    assert (ruta.trains_alone, ruta.location_id) == (True, world.cast.harbour.id)
    assert (tove.location_id, tove.sex) == (world.cast.mill.id, "male")
    told = {row["number"]: row for row in rows(world, made)}
    assert told[1]["athlete"] == told[1]["record"] == str(ruta.id)
    assert [one["column"] for one in told[2]["problems"]] == ["location"]
    assert [one["column"] for one in told[4]["problems"]] == ["name"]
    assert [one["column"] for one in told[5]["problems"]] == ["sex"]
    assert [row["number"] for row in rows(world, made, outcome="invalid")] == [2, 4, 5]


def test_nothing_comes_in_twice(world: World) -> None:
    """The same file is the same import; the same rows in another file are duplicates, with or without a client_id."""
    first = sent(world, "athletes", ATHLETES, location=str(world.cast.mill.id))
    again = send(world, "athletes", ATHLETES, location=str(world.cast.mill.id))
    assert (again.status_code, again.json()["id"]) == (200, first["id"])
    before = counts(world)
    longer = ATHLETES + "a-6,Remy Falk,Mill,,,,\n"
    other = sent(world, "athletes", longer, location=str(world.cast.mill.id))
    assert outcome(other) == ("done", 1, 2, 3)
    assert counts(world)[0] == before[0] + 1
    by_id = rows(world, first)[0]["athlete"]
    known = sent(world, "athletes", f"client_id,name\n{by_id},Ruta Penn\n", location=str(world.cast.mill.id))
    assert outcome(known) == ("done", 0, 1, 0)


def test_a_dry_run_says_the_same_and_stores_nothing(world: World) -> None:
    """And may be followed by the import itself."""
    place, before = str(world.cast.mill.id), counts(world)
    tried = sent(world, "athletes", ATHLETES, location=place, dry_run=True)
    assert (outcome(tried), counts(world)) == (("done", 2, 0, 3), before)
    assert {row["record"] for row in rows(world, tried)} == {None}
    real = sent(world, "athletes", ATHLETES, location=place)
    assert real["id"] != tried["id"] and outcome(real) == ("done", 2, 0, 3)
    assert [row["problems"] for row in rows(world, real)] == [row["problems"] for row in rows(world, tried)]


def test_weighings_and_tests_come_in_with_their_units(world: World) -> None:
    """Pounds, minutes that look like hours, days in their own order, columns with names of their own."""
    add_athlete(world, "Ruta Penn")
    day = LAST_WEEK.strftime("%d.%m.%Y")
    scale = f"Who,Day,Scale\nruta penn,{day},150\nRuta Penn,31.13.2026,150\nNobody,{day},150\nRuta Penn,{day},900\n"
    columns = [
        {"column": "Who", "means": "athlete"},
        {"column": "Day", "means": "date", "order": "day_month_year"},
        {"column": "Scale", "means": "body_mass", "unit": "lb"},
    ]
    weighed = sent(world, "weighings", scale, columns=columns)
    assert outcome(weighed) == ("done", 1, 0, 3)
    assert [[p["column"] for p in row["problems"]] for row in rows(world, weighed)] == [
        [], ["Day"], ["Who"], ["Scale"],
    ]  # fmt: skip
    tests = (
        "athlete,variation,kind,date,repetitions,load,distance,elapsed\n"
        f"Ruta Penn,row_45,to_failure,{LAST_WEEK},14,,,\n"
        f"Ruta Penn,row_machine,time_trial,{LAST_WEEK},,,2,7:21:00\n"
        f"Ruta Penn,row_machine,time_trial,{LAST_WEEK},12,,2,7:30\n"
        f"Ruta Penn,barefoot_dance,to_failure,{LAST_WEEK},14,,,\n"
        f"Ruta Penn,row_45,to_failure,2031-01-01,14,,,\n"
    )
    told = sent(
        world,
        "tests",
        tests,
        columns=[
            {"column": "elapsed", "means": "elapsed", "unit": "min:s"},
            {"column": "distance", "means": "distance", "unit": "km"},
        ],
    )
    assert outcome(told) == ("done", 2, 0, 3), rows(world, told)
    with world.cast.inside():
        mass = BodyMass.objects.get().body_mass_kg
        trial = Assessment.objects.get(kind="time_trial")
    assert mass == pytest.approx(68.0388555, abs=1e-6)
    assert (trial.distance_m, trial.elapsed_s, trial.local_date) == (2000.0, 441.0, LAST_WEEK)
    assert [[p["column"] for p in row["problems"]] for row in rows(world, told, outcome="invalid")] == [
        ["repetitions"], ["variation"], ["date"],
    ]  # fmt: skip


def test_past_results_come_in_for_sessions_of_the_past(world: World) -> None:
    """By date, place and title, totals in columns of their work items; scored like any other."""
    add_athlete(world, "Ruta Penn", 61.5, {"row_45": 12, "goblet_squat": 20})
    with world.cast.inside():
        session = schedule_session(
            actor=world.cast.coach.actor,
            revision_id=world.revision.id,
            location_id=world.cast.harbour.id,
            starts_at=timezone.now() - dt.timedelta(days=7),
        )
    day = session.local_date.isoformat()
    csv = (
        "athlete,session_date,location,elapsed,breaks,repetitions:a,repetitions:b,effort\n"
        f"Ruta Penn,{day},Harbour,21:40,3,60,80,7.5\n"
        f"Ruta Penn,{day},Harbour,21:41,3,60,80,7.5\n"
        f"Ruta Penn,{day},Mill,21:40,3,60,80,\n"
        f"Ruta Penn,{day},Harbour,,,,,\n"
    )
    made = sent(world, "results", csv, columns=[{"column": "elapsed", "means": "elapsed", "unit": "min:s"}])
    assert outcome(made) == ("done", 1, 0, 3), rows(world, made)
    with world.cast.inside():
        attempt = Attempt.objects.get()
    assert (attempt.kind, attempt.elapsed_s, attempt.effort) == ("totals", 1300.0, 7.5)
    assert (attempt.session_id, attempt.performed_at) == (session.id, session.starts_at)
    read = ApiClient(world.cast.coach.token).get(url(world, f"attempts/{attempt.id}")).json()
    assert read["score"]["score_s"] == 1300.0 + 3 * 20.0  # a penalty for each break, as the session says
    details = [row["problems"][0]["detail"] for row in rows(world, made, outcome="invalid")]
    for words, detail in zip(("stored as", "no such session", "how much"), details, strict=True):
        assert words in detail


@pytest.mark.parametrize(
    ("csv", "columns", "said"),
    [
        ("athlete,variation,kind,date,elapsed\nRuta,x,time_trial,2026-01-01,38:31:00\n", [], "38:31:00 may be hours"),
        ("athlete,variation,kind,date\nRuta,x,to_failure,3/4/2026\n", [], "order"),
        ("athlete;variation\nRuta;x\n", [], "No column means kind"),
        (FOUR, [{"column": "x", "means": "load", "unit": "min"}], "its units are kg, lb"),
        (FOUR, [{"column": "x", "means": "rir", "order": "day_month_year"}], "no days"),
        ("athlete,variation,kind\n" + "a,b,c\n" * 20_001, [], "more than 20000 rows"),
    ],
    ids=["a doubtful time", "a doubtful day", "a needed column", "a wrong unit", "an order of no days", "too many"],
)  # fmt: skip
def test_a_file_that_is_not_clear_is_refused_whole(
    world: World, csv: str, columns: list[dict[str, str]], said: str
) -> None:
    problem = assert_problem(send(world, "tests", csv, columns=columns), "invalid_input", 400, at="#/csv")
    assert said in problem["errors"][0]["detail"]
    with world.cast.inside():
        assert not Import.objects.exists()


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"PK\x03\x04 not a table", "xlsx"),
        (b"name\xff\xfe\n", "Line 1 is not UTF-8"),
        (b"\x00\x01\x02", "binary"),
    ],
)
def test_a_wrong_file_is_named(world: World, raw: bytes, said: str) -> None:
    answer = ApiClient(world.cast.coach.token).post(
        url(world, "imports"), body=raw, content_type="text/csv", query={"kind": "athletes"}
    )
    assert said in assert_problem(answer, "bad_request", 400)["detail"]


def test_a_file_as_it_is(world: World) -> None:
    """A body in CSV, with semicolons; what else there is to say stands in the query."""
    place = str(world.cast.harbour.id)
    client = ApiClient(world.cast.coach.token)
    options = {"content_type": "text/csv", "body": "name;sex\nÅse Lind;female\n".encode()}
    query = {"kind": "athletes", "location": place}
    tried = client.post(url(world, "imports"), query={**query, "dry_run": "true"}, **options)
    assert (tried.status_code, tried.json()["dry_run"]) == (201, True)
    assert client.post(url(world, "imports"), query=query, **options).status_code == 201
    bad = client.post(url(world, "imports"), query={**query, "dry_run": "maybe"}, **options)
    assert_problem(bad, "invalid_input", 400, at="#/dry_run")
    drain(world.cast)
    with world.cast.inside():
        assert Athlete.objects.get().name == "Åse Lind"


@pytest.mark.parametrize("content_type", ["text/csv", "application/json"])
def test_the_beginning_of_a_file_is_no_file(world: World, content_type: str) -> None:
    """Of a long body in chunks only as much is read as others have; half a table is not taken for a whole one."""
    rows_ = b"name\n" + b"Athlete\n" * 200_000
    environ = {
        "HTTP_TRANSFER_ENCODING": "chunked",
        "wsgi.input_terminated": True,
        "wsgi.input": io.BytesIO(rows_),
    }
    with_chunked_bodies(lambda read, _: iter(()))(environ, lambda *_: None)
    assert environ[CUT] and environ["CONTENT_LENGTH"] == str(MAX_BODY_BYTES + 1)
    cut = Client(headers={"Authorization": f"Bearer {world.cast.coach.token}"}).generic(
        "POST",
        url(world, "imports"),
        environ["wsgi.input"].getvalue(),
        content_type,
        query_params={"kind": "athletes"} if content_type == "text/csv" else {},
        **{CUT: True},
    )
    assert_problem(cut, "too_large", 413)
    short = {**environ, "HTTP_TRANSFER_ENCODING": "chunked", "wsgi.input": io.BytesIO(b"name\nRuta\n")}
    short.pop(CUT)
    with_chunked_bodies(lambda read, _: iter(()))(short, lambda *_: None)
    assert CUT not in short


def test_a_dry_run_that_is_asked_for_in_the_wrong_place_is_no_import(world: World) -> None:
    """Beside JSON the query says nothing, and is refused rather than passed over."""
    body = {"kind": "athletes", "csv": "name,location\nRuta Penn,Harbour\n"}
    answer = ApiClient(world.cast.coach.token).post(url(world, "imports"), body, query={"dry_run": "true"})
    assert_problem(answer, "invalid_input", 400, at="dry_run")


def test_a_long_table_is_taken_in_pieces(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """A message takes a few pieces, and asks for the next; progress shows meanwhile, and the text goes at the end."""
    monkeypatch.setattr(actions, "PIECE", 2)
    monkeypatch.setattr(actions, "PIECES", 2)
    csv = "name\n" + "".join(f"Athlete {number}\n" for number in range(9))
    answer = send(world, "athletes", csv, location=str(world.cast.harbour.id))
    with world.cast.inside():
        change = Change.objects.get(kind="import")
    done = []
    for _ in range(3):
        assert recompute_change(org_id=world.cast.org.id, change_id=change.id) == "done"
        done.append(
            ApiClient(world.cast.coach.token).get(url(world, f"imports/{answer.json()['id']}")).json()
        )
    assert [one["rows_done"] for one in done] == [4, 8, 9]
    assert [one["state"] for one in done] == ["working", "working", "done"]
    assert recompute_change(org_id=world.cast.org.id, change_id=change.id) == "nothing"
    with world.cast.inside():
        assert (Import.objects.get().text, ImportRow.objects.count(), Athlete.objects.count()) == ("", 9, 9)


def test_a_piece_that_was_taken_is_not_taken_again(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """A worker that died between two pieces leaves the rest to the next one."""
    monkeypatch.setattr(actions, "PIECE", 2)
    csv = "name\nAda\nBo\nCy\n"
    made = send(world, "athletes", csv, location=str(world.cast.harbour.id)).json()
    with world.cast.inside():
        work, late = (actions.Work(made["id"], timezone.now()) for _ in range(2))
        work.take(0, 2)
        late.take(0, 2)
        assert ImportRow.objects.count() == 2
        work.take(2, 3)
        late.take(2, 3)
    drain(world.cast)
    found = ApiClient(world.cast.coach.token).get(url(world, f"imports/{made['id']}")).json()
    assert outcome(found) == ("done", 3, 0, 0)
    with world.cast.inside():
        assert ImportRow.objects.count() == 3


def test_what_is_not_done_in_a_week_is_given_up(world: World) -> None:
    """Some fault of ours holds it up; the table is not kept for that, and it may be sent again."""
    made = send(world, "athletes", ATHLETES, location=str(world.cast.mill.id)).json()
    with world.cast.inside():
        assert actions.give_up(now=timezone.now() + dt.timedelta(days=6)) == 0
        assert actions.give_up(now=timezone.now() + dt.timedelta(days=8)) == 1
        row = Import.objects.get(id=made["id"])
        assert (row.state, row.reason, row.text) == ("failed", actions.NOT_DONE, "")
    again = send(world, "athletes", ATHLETES, location=str(world.cast.mill.id))
    assert (again.status_code, again.json()["id"] != made["id"]) == (201, True)


def test_rows_go_by_the_right_of_who_sent_them(world: World) -> None:
    """Staff of the harbour bring nobody to the mill; who is no member any more brings nothing."""
    csv = "name,location\nRuta Penn,Harbour\nInes Carr,Mill\n"
    made = send(world, "athletes", csv, token=world.cast.staff.token).json()
    drain(world.cast)
    assert [row["outcome"] for row in rows(world, made)] == ["created", "invalid"]
    late = send(world, "athletes", "name,location\nTove Lind,Harbour\n", token=world.cast.staff.token).json()
    with world.cast.inside():
        Membership.objects.filter(person_id=world.cast.staff.person.id).update(is_active=False)
    drain(world.cast)
    found = ApiClient(world.cast.coach.token).get(url(world, f"imports/{late['id']}")).json()
    assert (found["state"], found["reason"], found["rows_done"]) == ("failed", actions.NO_MEMBER, 0)
    assert_problem(send(world, "athletes", csv, token=world.cast.athlete.token), "forbidden", 403)


def test_two_of_one_name_are_asked_about(world: World) -> None:
    """A client_id tells them apart."""
    sent(world, "athletes", "client_id,name,location\nx-1,Ruta Penn,Harbour\nx-2,Ruta Penn,Harbour\n")
    csv = f"athlete,date,body_mass\nRuta Penn,{LAST_WEEK},60\nx-2,{LAST_WEEK},61\n"
    made = sent(world, "weighings", csv)
    assert outcome(made) == ("done", 1, 0, 1)
    assert "Several athletes" in rows(world, made)[0]["problems"][0]["detail"]


@pytest.mark.django_db
def test_lists_cost_the_same_for_three_rows_and_thirty() -> None:
    """Of imports, and of the rows of one."""
    found = []
    for count in (3, 30):
        world = make_world()
        csv = "name,location\n" + "".join(f"Athlete {number},Harbour\n" for number in range(count))
        for _ in range(count):
            with world.cast.inside():
                made, _ = actions.make_import(
                    actor=world.cast.coach.actor, kind="athletes", text=csv, columns=[Column("name", "name")],
                    location_id=None, dry_run=True,
                )  # fmt: skip
        with world.cast.inside():
            ImportRow.objects.bulk_create(
                ImportRow(org=world.cast.org, taken=made, number=n, outcome="created") for n in range(count)
            )
        client = ApiClient(world.cast.coach.token)
        with CaptureQueriesContext(connection) as listed:
            assert len(client.get(url(world, "imports")).json()["items"]) == count
        with CaptureQueriesContext(connection) as read:
            assert len(client.get(url(world, f"imports/{made.id}/rows")).json()["items"]) == count
        assert all(
            "text" not in one["sql"].split("FROM")[0] for one in listed if '"exchange_import"' in one["sql"]
        )
        found.append((len(listed), len(read)))
    assert found[0] == found[1]


def test_an_import_of_nobody_is_not_there(world: World) -> None:
    client = ApiClient(world.cast.coach.token)
    assert client.get(url(world, f"imports/{uuid4()}")).status_code == 404
    assert client.get(url(world, f"imports/{uuid4()}/rows")).status_code == 404
