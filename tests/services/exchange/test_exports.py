"""Everything going out: complete, to those who may have it, and fit to come in again."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import zipfile
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.actions.assessments import correct_assessment
from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.actions.tested import Performance
from athletes.actions.training_logs import Trained, log_training
from athletes.models import Assessment, Athlete
from programming.actions.sessions import schedule_session
from scoring.models import Ranking
from services.access.actions import create_token
from services.access.models import ApiToken
from services.exchange.actions import exports as actions
from services.exchange.kept import TABLES, columns_of, model_of
from services.exchange.kinds import KINDS
from services.exchange.models import Export, ExportPiece
from services.exchange.sheets import plain_header
from services.tenancy.actor import ALL_SCOPES, Scope
from services.tenancy.context import person as person_scope
from services.tenancy.models import Membership
from services.tenancy.personal import export_map
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Member
from tests.support.world import World, add_athlete, drain, make_world, url

FORMULA = "=HYPERLINK(A1), says Ruta"


@pytest.fixture
def world(db: None) -> World:
    return make_world()


def asked(world: World, who: Member | None = None, **body: Any) -> Any:
    return ApiClient((who or world.cast.coach).token).post(url(world, "exports"), body)


def fetched(world: World, who: Member | None = None, **body: Any) -> zipfile.ZipFile:
    """The archive of an export that the worker has written."""
    who = who or world.cast.coach
    answer = asked(world, who, **body)
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    state = ApiClient(who.token).get(url(world, f"exports/{answer.json()['id']}")).json()
    assert (state["state"], state["sheets_done"]) == ("done", state["sheets_total"]), state
    file = ApiClient(who.token).get(url(world, f"exports/{answer.json()['id']}/file"))
    assert file.headers["Content-Type"] == "application/zip"
    return zipfile.ZipFile(io.BytesIO(file.content))


def in_json(archive: zipfile.ZipFile, sheet: str) -> list[dict[str, Any]]:
    return list(json.loads(archive.read(f"json/{sheet}.json")))


def in_csv(archive: zipfile.ZipFile, sheet: str) -> list[dict[str, str]]:
    return list(
        csv.DictReader(io.StringIO(archive.read(f"csv/{sheet}.csv").decode(), newline=""), strict=True)
    )


def own(world: World) -> Athlete:
    """The athlete who signs in as the cast's athlete, with a name that a spreadsheet would run."""
    with world.cast.inside():
        row, _ = create_athlete(actor=world.cast.coach.actor, name=FORMULA, location_id=world.cast.harbour.id)
        return update_athlete(
            actor=world.cast.coach.actor, athlete=row, expected=1, person_id=world.cast.athlete.person.id
        )


def with_results(world: World) -> list[Athlete]:
    """Two athletes with weighings, tests (one of them corrected), results by sets and by totals, and a run."""
    athletes = [
        add_athlete(world, "Ruta Penn", 61.5, {"row_45": 12, "goblet_squat": 20}),
        add_athlete(world, "Ines Carr", 70.25, {"row_45": 9}),
    ]
    actor, now = world.cast.coach.actor, timezone.now()
    with world.cast.inside():
        first = Assessment.objects.get(athlete=athletes[1])
        correct_assessment(
            actor=actor, assessment=first, variation_id=world.variation("row_45"), reason="Miscounted.", now=now,
            tested=Performance("to_failure", 11, first.performed_at),
        )  # fmt: skip
        past = schedule_session(
            actor=actor, revision_id=world.revision.id, location_id=world.cast.harbour.id,
            starts_at=now - dt.timedelta(days=6),
        )  # fmt: skip
        record_body_mass(
            actor=actor, athlete=athletes[0], body_mass_kg=61.123456789, measured_at=past.starts_at, now=now
        )
        run = Trained(
            "running", 4.5, 38.516666666666666, past.starts_at, 8046.72, 151.0, 172.0, "=up, 2 hills"
        )
        log_training(actor=actor, athlete=athletes[0], trained=run, now=now)
    squat = {
        "work": "b",
        "variation": "goblet_squat",
        "load_kg": 16.0,
        "ended_by": "planned",
        "repetitions": 40,
    }
    row = {"work": "a", "variation": "row_45", "ended_by": "planned", "repetitions": 30}
    told = (
        {
            "set_log": {"sets": [row, squat, row, squat], "elapsed_s": 911.5},
            "note": '-1 + "two",\nthree',
            "effort": 7,
        },
        {
            "totals": {
                "work": [{"work": "a", "repetitions": 60}, {"work": "b", "repetitions": 80}],
                "elapsed_s": 1000,
            }
        },
    )
    for athlete, report in zip(athletes, told, strict=True):
        body = {
            "session": str(past.id),
            "athlete": str(athlete.id),
            "performed_at": past.starts_at.isoformat(),
            "client_id": f"phone-{athlete.name}",
            **report,
        }
        assert ApiClient(world.cast.coach.token).post(url(world, "attempts"), body).status_code == 201
    drain(world.cast)
    return athletes


def test_every_field_of_the_export_map_goes_out(world: World) -> None:
    """Of an athlete those that the maps of the apps name, under the column's name; nothing secret, and the contents
    say how many rows there are."""
    athlete = own(world)
    archive = fetched(world, athlete=str(athlete.id))
    contents = json.loads(archive.read("contents.json"))["sheets"]
    for model, names in export_map(TABLES).items():
        there = {field.name: field.attname for field in model_of_label(model)._meta.local_fields}
        assert {there[name] for name in names} <= set(contents[model]["columns"]), model
        assert len(in_json(archive, model)) == len(in_csv(archive, model)) == contents[model]["rows"]
    secrets = {(table.model, name) for table in TABLES for name in table.secret}
    assert secrets
    for table in TABLES:
        assert not set(columns_of(table, whole=True)) & set(table.secret)
    assert in_json(archive, "athletes.Athlete")[0]["name"] == FORMULA


def model_of_label(label: str) -> Any:
    return model_of(next(table for table in TABLES if table.model == label))


def test_csv_and_json_say_the_same(world: World) -> None:
    """Read back by the standard library: numbers as numbers, texts that look like formulas with an apostrophe."""
    with_results(world)
    athlete = own(world)
    archive = fetched(world, world.cast.owner)
    assert "'" + FORMULA in {row["name"] for row in in_csv(archive, "athletes.Athlete")}
    assert {row["id"] for row in in_csv(archive, "athletes.Athlete")} >= {str(athlete.id)}
    for sheet in ("athletes.BodyMass", "athletes.Assessment", "scoring.SetLog", "scoring.Attempt", "tests"):
        for flat, told in zip(in_csv(archive, sheet), in_json(archive, sheet), strict=True):
            for name, value in told.items():
                if isinstance(value, (int, float)) and not isinstance(value, bool):
                    assert float(flat[name]) == value, (sheet, name)
                elif value is None:
                    assert flat[name] == ""
                elif isinstance(value, str):
                    assert flat[name].removeprefix("'") == value
                elif isinstance(value, dict):
                    assert json.loads(flat[name]) == value
    masses = {row["body_mass_kg"] for row in in_csv(archive, "athletes.BodyMass")}
    assert "61.123456789" in masses
    raw = archive.read("csv/weighings.csv")
    assert raw.startswith(b"client_id,athlete,body_mass,measured_at,date\r\n") and raw.endswith(b"\r\n")


def test_what_goes_out_comes_in_and_goes_out_the_same(world: World) -> None:
    """All that an import takes, byte by byte; and in the organisation itself nothing of it is new."""
    with_results(world)
    first = fetched(world, world.cast.owner)
    other = make_world()
    with other.cast.inside():
        starts_at = in_csv(first, "results")[0]["session_starts_at"]
        schedule_session(
            actor=other.cast.coach.actor, revision_id=other.revision.id, location_id=other.cast.harbour.id,
            starts_at=dt.datetime.fromisoformat(starts_at),
        )  # fmt: skip
    for kind, count in (("athletes", 2), ("weighings", 3), ("tests", 3), ("results", 2), ("training", 1)):
        text = first.read(f"csv/{kind}.csv").decode()
        assert taken(other, kind, text) == ("done", count, 0, 0), kind
        assert taken(other, kind, text + "\r\n") == ("done", 0, count, 0), kind
        assert taken(world, kind, text) == ("done", 0, count, 0), kind
    second = fetched(other, other.cast.owner)
    for kind in KINDS:
        assert second.read(f"csv/{kind}.csv") == first.read(f"csv/{kind}.csv"), kind
        assert in_json(second, kind) == in_json(first, kind)
    (corrected,) = [row for row in in_csv(second, "tests") if row["repetitions"] == "11"]
    assert corrected["kind"] == "to_failure"


def taken(world: World, kind: str, text: str) -> tuple[str, int, int, int]:
    """What an import made of the sheet."""
    client = ApiClient(world.cast.coach.token)
    answer = client.post(url(world, "imports"), {"kind": kind, "csv": text})
    assert answer.status_code == 201, answer.content
    drain(world.cast)
    path = url(world, f"imports/{answer.json()['id']}")
    made, rows = client.get(path).json(), client.get(f"{path}/rows").json()["items"]
    assert not any(row["problems"] for row in rows), rows
    return made["state"], made["created_rows"], made["duplicate_rows"], made["invalid_rows"]


def test_of_one_athlete_nothing_of_another_goes_out(world: World) -> None:
    """Also not out of a ranking, which names them all."""
    one, other = with_results(world)
    with world.cast.inside():
        assert any(str(other.id) in json.dumps(row.official) for row in Ranking.objects.all())
    archive = fetched(world, athlete=str(one.id))
    text = b"".join(archive.read(name) for name in archive.namelist()).decode()
    assert str(one.id) in text and "Ruta Penn" in text
    assert str(other.id) not in text and "Ines Carr" not in text
    rankings = in_json(archive, "scoring.Ranking")
    assert rankings and str(one.id) in json.dumps(rankings)
    assert len(in_json(archive, "scoring.SetLog")) == 4


def test_who_may_have_what(world: World) -> None:
    """Of an athlete: the athlete, a coach, an owner. Of the organisation: an owner, with a token for that."""
    athlete, other = own(world), add_athlete(world, "Ines Carr")
    for who, status in ((world.cast.athlete, 201), (world.cast.coach, 201), (world.cast.owner, 201)):
        assert asked(world, who, athlete=str(athlete.id)).status_code == status
    assert_problem(asked(world, world.cast.staff, athlete=str(athlete.id)), "forbidden", 403)
    assert_problem(
        asked(world, world.cast.athlete, athlete=str(other.id)), "invalid_input", 400, at="#/athlete"
    )
    for who in (world.cast.athlete, world.cast.coach, world.cast.staff):
        assert_problem(asked(world, who), "forbidden", 403)
    narrow, secret = create_token(
        person=world.cast.owner.person, label="usual", scopes=ALL_SCOPES - {str(Scope.ADMIN)}
    )
    assert narrow.label == "usual"
    refused = ApiClient(secret).post(url(world, "exports"), {})
    assert "admin" in assert_problem(refused, "insufficient_scope", 403)["detail"]
    _, secret = create_token(person=world.cast.coach.person, label="roster", scopes=[Scope.ATHLETES_READ])
    refused = ApiClient(secret).post(url(world, "exports"), {"athlete": str(athlete.id)})
    assert_problem(refused, "insufficient_scope", 403)


def test_what_is_of_the_person_goes_to_the_person(world: World) -> None:
    """Tokens are in what the athlete asks for, not in what a coach does; the digest of one is in neither."""
    athlete = own(world)
    by_athlete = fetched(world, world.cast.athlete, athlete=str(athlete.id))
    by_coach = fetched(world, athlete=str(athlete.id))
    assert [row["label"] for row in in_json(by_athlete, "access.ApiToken")] == ["test"]
    assert in_json(by_coach, "access.ApiToken") == []
    with world.cast.inside(), person_scope(world.cast.athlete.person.id):
        digest = ApiToken.objects.get(user=world.cast.athlete.person).digest
    for archive in (by_athlete, by_coach):
        assert digest.encode() not in b"".join(archive.read(name) for name in archive.namelist())


def test_an_export_is_its_maker_s_alone(world: World) -> None:
    athlete = own(world)
    made = asked(world, athlete=str(athlete.id)).json()
    for who in (world.cast.owner, world.cast.athlete):
        client = ApiClient(who.token)
        assert client.get(url(world, f"exports/{made['id']}")).status_code == 404
        assert client.get(url(world, f"exports/{made['id']}/file")).status_code == 404
        assert client.get(url(world, "exports")).json()["items"] == []


def test_before_it_is_written_there_is_no_file(world: World) -> None:
    """A message writes some sheets and asks for the next; progress shows meanwhile."""
    athlete = own(world)
    drain(world.cast)
    made = asked(world, athlete=str(athlete.id)).json()
    path = url(world, f"exports/{made['id']}")
    client = ApiClient(world.cast.coach.token)
    assert_problem(client.get(f"{path}/file"), "export_not_ready", 409)
    now = timezone.now()
    with world.cast.inside():
        for _ in range(3):
            actions.write_next(made["id"], now, is_last=False)
    assert (client.get(path).json()["state"], client.get(path).json()["sheets_done"]) == ("working", 3)
    drain(world.cast)
    assert client.get(f"{path}/file").status_code == 200


def test_a_table_is_written_in_pieces(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing twice and nothing left out, however small they are."""
    athletes = [add_athlete(world, f"Athlete {number}", 60.0 + number) for number in range(7)]
    monkeypatch.setattr("services.exchange.sheets.ROWS_OF_A_PIECE", 3)
    archive = fetched(world, world.cast.owner)
    for flat in (in_csv(archive, "athletes.Athlete"), in_json(archive, "athletes.Athlete")):
        assert sorted(row["id"] for row in flat) == sorted(str(one.id) for one in athletes)
    with world.cast.inside():
        assert ExportPiece.objects.filter(sheet="athletes.Athlete").count() == 3


def test_an_export_expires(world: World) -> None:
    """After seven days there is no file, and the sweep removes what it was made of."""
    athlete = own(world)
    fetched(world, athlete=str(athlete.id))
    later = timezone.now() + actions.LIFE + dt.timedelta(seconds=1)
    with world.cast.inside():
        export = Export.objects.get()
        with pytest.raises(actions.ExportNotReady):
            actions.file_of(export, world.cast.coach.actor, later)
        assert actions.drop_expired(now=later - dt.timedelta(minutes=1)) == 0
        assert ExportPiece.objects.exists()
        assert actions.drop_expired(now=later) == 1
        assert not ExportPiece.objects.exists()
    client = ApiClient(world.cast.coach.token)
    assert client.get(url(world, f"exports/{export.id}")).json()["state"] == "expired"
    assert_problem(client.get(url(world, f"exports/{export.id}/file")), "export_not_ready", 409)


def test_a_right_that_has_gone_ends_it(world: World) -> None:
    """Before it is written nothing is; afterwards the file is not given out."""
    athlete = own(world)
    drain(world.cast)
    waiting = asked(world, athlete=str(athlete.id)).json()
    with world.cast.inside():
        Membership.objects.filter(person_id=world.cast.coach.person.id).update(role="location_staff")
    drain(world.cast)
    with world.cast.inside():
        export = Export.objects.get(id=waiting["id"])
        assert (export.state, export.reason, ExportPiece.objects.count()) == ("failed", actions.NO_RIGHT, 0)
    with world.cast.inside():
        Membership.objects.filter(person_id=world.cast.coach.person.id).update(role="coach")
    fetched(world, athlete=str(athlete.id))
    with world.cast.inside():
        Membership.objects.filter(person_id=world.cast.coach.person.id).update(role="location_staff")
        done = Export.objects.get(state="done")
    answer = ApiClient(world.cast.coach.token).get(url(world, f"exports/{done.id}/file"))
    assert_problem(answer, "forbidden", 403)


def test_what_is_too_large_fails_and_says_so(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(actions, "MOST_BYTES", 200)
    made = asked(world, athlete=str(own(world).id)).json()
    drain(world.cast)
    found = ApiClient(world.cast.coach.token).get(url(world, f"exports/{made['id']}")).json()
    assert (found["state"], found["reason"]) == ("failed", actions.TOO_LARGE)
    with world.cast.inside():
        assert not ExportPiece.objects.exists()


def test_nobody_keeps_exports_without_end(world: World) -> None:
    """Deleting one makes room."""
    athlete = own(world)
    made = [asked(world, athlete=str(athlete.id)).json() for _ in range(actions.MOST_EXPORTS)]
    assert_problem(asked(world, athlete=str(athlete.id)), "too_many_exports", 422)
    drain(world.cast)
    client = ApiClient(world.cast.coach.token)
    assert client.delete(url(world, f"exports/{made[0]['id']}")).status_code == 204
    assert asked(world, athlete=str(athlete.id)).status_code == 201
    with world.cast.inside():
        assert not ExportPiece.objects.filter(export_id=made[0]["id"]).exists()


def test_the_sheets_of_an_import_are_those_of_an_export() -> None:
    """Column by column; only amounts of work items have names of their own."""
    assert plain_header("results")[-1] == "report"
    assert "repetitions:" not in plain_header("results")


@pytest.mark.django_db
def test_a_list_costs_the_same_for_three_rows_and_thirty() -> None:
    """Of exports."""
    found = []
    for count in (3, 30):
        world = make_world()
        with world.cast.inside():
            Export.objects.bulk_create(
                Export(org=world.cast.org, made_by=world.cast.coach.person, sheets_total=1)
                for _ in range(count)
            )
        with CaptureQueriesContext(connection) as queries:
            assert len(ApiClient(world.cast.coach.token).get(url(world, "exports")).json()["items"]) == count
        found.append(len(queries))
    assert found[0] == found[1]
