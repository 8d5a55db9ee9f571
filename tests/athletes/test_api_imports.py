"""Rosters over HTTP: the report of each row, nothing twice, nothing in a dry run."""

from __future__ import annotations

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.capacities import recompute_capacities
from athletes.models import Assessment, Athlete, BodyMass, Observation
from services.changes.models import Change
from services.tenancy.actor import Role
from tests.athletes.conftest import NOW, TODAY, Team
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]

ROSTER = (
    "name,location,body_mass_lb,date,to_failure:row_45,one_rm:back_squat_barbell:kg\n"
    "Remy Falk,Harbour,150.8,2030-03-18,23,110\n"
    "Ines Varga,Mill,132,2030-03-18,,\n"
    "Tove Lind,Atlantis,150,2030-03-18,12,\n"
    "Jon Abara,Harbour,,2030-03-18,12,\n"
)


def send(team: Team, text: str, *, role: Role = Role.COACH, query: str = ""):
    client = team.client(team.cast.members[role])
    path = team.path(f"imports/athletes{query}")
    return client.request("POST", path, body=text.encode(), content_type="text/csv")


def counts(team: Team) -> tuple[int, int, int, int]:
    with team.cast.inside():
        return tuple(kind.objects.count() for kind in (Athlete, BodyMass, Assessment, Observation))


def outcomes(response) -> list[str]:
    return [row["outcome"] for row in response.json()["rows"]]


def test_a_roster_comes_in_row_by_row(team: Team):
    """Good rows are stored with mass and tests; an unknown place and a missing body mass are reported."""
    response = send(team, ROSTER)

    assert response.status_code == 200
    assert outcomes(response) == ["created", "created", "invalid", "invalid"]
    body = response.json()
    assert (body["created"], body["duplicate"], body["invalid"]) == (2, 0, 2)
    assert body["rows"][0]["created"] == ["athlete", "body_mass", "assessment", "assessment"]
    assert [p["column"] for p in body["rows"][2]["problems"]] == ["location"]
    assert [p["column"] for p in body["rows"][3]["problems"]] == ["to_failure:row_45"]
    assert counts(team) == (3 + 2, 2, 2, 2)
    with team.cast.inside():
        remy = Athlete.objects.get(name="Remy Falk")
        assert BodyMass.objects.get(athlete=remy).body_mass_kg == pytest.approx(68.401729, abs=1e-6)
        assert Change.objects.filter(kind="athlete", subject=remy.id).exists()
        assert len(recompute_capacities(athlete_id=remy.id, today=TODAY)) == 2


def test_the_same_roster_again_makes_nothing(team: Team):
    """Found again by its rows, also on another day; only what is new in it comes in."""
    send(team, ROSTER)
    before = counts(team)
    with time_machine.travel(NOW.replace(day=28), tick=False):
        again = send(team, ROSTER)
        assert outcomes(again) == ["duplicate", "duplicate", "invalid", "invalid"]
        assert counts(team) == before
        longer = send(team, ROSTER + "Remy Falk,Harbour,,2030-03-25,26,\n")
        assert outcomes(longer)[-1] == "invalid"  # the same athlete twice in one file
        later = send(team, "name,location,date,to_failure:row_45\nRemy Falk,Harbour,2030-03-25,26\n")
    assert later.json()["rows"][0]["created"] == ["assessment"]
    assert counts(team) == (before[0], before[1], before[2] + 1, before[3] + 1)


def test_without_a_date_a_second_import_does_not_count_twice(team: Team):
    """The day of the import is no part of what a row is; another value for it is a contradiction."""
    text = "name,location,body_mass_kg,to_failure:row_45\nRemy Falk,Harbour,70,23\n"
    assert outcomes(send(team, text)) == ["created"]
    before = counts(team)
    with time_machine.travel(NOW.replace(day=28), tick=False):
        assert outcomes(send(team, text)) == ["duplicate"]
        other = send(team, text.replace("70,23", "71,24"))
    assert outcomes(other) == ["invalid"]
    assert len(other.json()["rows"][0]["problems"]) == 2
    assert counts(team) == before


def test_a_dry_run_stores_nothing_and_says_the_same(team: Team):
    """The report of a dry run is that of the import, but for the ids of athletes yet to be made."""
    before = counts(team)
    dry = send(team, ROSTER, query="?dry_run=true").json()
    assert counts(team) == before
    assert dry["dry_run"] is True
    real = send(team, ROSTER).json()

    def plain(report):
        return [{k: v for k, v in row.items() if k != "athlete"} for row in report["rows"]]

    assert plain(dry) == plain(real)
    assert dry["rows"][0]["athlete"] is None


def test_json_with_a_mapping(team: Team):
    """The columns' own names stay; a location for the whole file."""
    body = {
        "csv": "Athlete;Weight;Note\nRemy Falk;68,4;left-handed\n",
        "columns": [
            {"column": "Athlete", "means": "name"},
            {"column": "Weight", "means": "body_mass_kg"},
        ],
    }
    path = team.path(f"imports/athletes?location={team.cast.mill.id}")
    response = team.client(team.cast.coach).post(path, body)

    assert outcomes(response) == ["created"]
    assert response.json()["ignored_columns"] == ["Note"]
    with team.cast.inside():
        assert Athlete.objects.get(name="Remy Falk").location_id == team.cast.mill.id
        assert BodyMass.objects.get().body_mass_kg == 68.4


def test_staff_import_for_their_own_locations(team: Team):
    """A row of another location is invalid, and an athlete imported elsewhere is not theirs to add to."""
    text = "name,location,client_id,body_mass_kg\nRemy Falk,Harbour,1,70\nInes Varga,Mill,2,60\n"
    assert outcomes(send(team, text, role=Role.LOCATION_STAFF)) == ["created", "invalid"]
    assert outcomes(send(team, text)) == ["duplicate", "created"]
    more = send(team, text.replace("Mill,2,60", "Mill,2,61"), role=Role.LOCATION_STAFF)
    assert outcomes(more) == ["duplicate", "invalid"]
    assert_problem(send(team, text, role=Role.ATHLETE), "forbidden", 403)


@pytest.mark.parametrize(
    "text",
    [
        "name,location\n",
        "location\nHarbour\n",
        "name,to_failure:levitation\nRemy Falk,3\n",
        'name\n"Remy',
    ],
)
def test_an_unreadable_file(team: Team, text):
    """400 at the text, with one sentence."""
    assert_problem(send(team, text), "invalid_input", 400, at="#/csv")


def test_bounds_of_the_request(team: Team):
    """Too large 413, not UTF-8 400, another type 415, unknown field and parameters 400."""
    client, path = team.client(team.cast.coach), team.path("imports/athletes")
    assert_problem(send(team, "name\n" + "x" * (1024 * 1024)), "too_large", 413)
    raw = client.request("POST", path, body=b"name\nRen\xe9\n", content_type="text/csv")
    assert_problem(raw, "bad_request", 400)
    xml = client.request("POST", path, body=b"<a/>", content_type="application/xml")
    assert_problem(xml, "unsupported_media_type", 415)
    assert_problem(client.post(path, {"csv": "name\nRemy\n", "mode": 1}), "invalid_input", 400, at="#/mode")
    assert_problem(send(team, ROSTER, query="?dry_run=perhaps"), "invalid_input", 400, at="dry_run")
    assert_problem(send(team, ROSTER, query="?location=mill"), "invalid_input", 400, at="location")


def test_faults_of_values(team: Team):
    """Absurd masses and counts, a future day, a maximum that is no load: each reported, none stored."""
    head = "name,location,body_mass_kg,date,to_failure:row_45,one_rm:back_squat_barbell:kg\n"
    rows = [
        ("A,Harbour,900,,,", "body_mass"),
        ("B,Harbour,70,2031-01-01,12,", "date"),
        ("C,Harbour,70,,2001,", "to_failure:row_45"),
        ("D,Harbour,70,,,900", "one_rm:back_squat_barbell:kg"),
        ("E,Harbour,70,,,0", "one_rm:back_squat_barbell:kg"),
    ]
    before = counts(team)
    response = send(team, head + "\n".join(line for line, _ in rows))

    assert outcomes(response) == ["invalid"] * len(rows)
    for (_, column), row in zip(rows, response.json()["rows"], strict=True):
        assert column in [problem["column"] for problem in row["problems"]]
    assert counts(team) == before


def test_two_thousand_rows_cost_no_more_queries_than_two(team: Team):
    """Bulk in, bulk out."""
    send(team, "name\nWarm Up\n", query=f"?location={team.cast.mill.id}")

    def cost(rows: int, prefix: str) -> int:
        head = "name,location,body_mass_kg,to_failure:row_45\n"
        text = head + "".join(f"{prefix} {n},Harbour,70,{n % 40}\n" for n in range(rows))
        with CaptureQueriesContext(connection) as queries:
            response = send(team, text)
        assert response.json()["created"] == rows
        return len([q for q in queries if "INSERT" not in q["sql"]])

    assert cost(2, "Few") == cost(2000, "Many")
