"""Athletes, weighings and limits over HTTP: who sees what, what is refused, conditions, pages."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete, BodyMass
from services.tenancy.actor import Role
from tests.athletes.conftest import Team, days_ago
from tests.athletes.urls import document
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import make_cast

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


def names(response) -> list[str]:
    return [item["name"] for item in response.json()["items"]]


@pytest.mark.parametrize(
    ("role", "seen"),
    [
        (Role.OWNER, ["Ayo Lindqvist", "Bram Okoye", "Noor Castell"]),
        (Role.COACH, ["Ayo Lindqvist", "Bram Okoye", "Noor Castell"]),
        (Role.LOCATION_STAFF, ["Ayo Lindqvist", "Noor Castell"]),
        (Role.ATHLETE, ["Ayo Lindqvist"]),
    ],
)
def test_who_sees_whom(team: Team, role, seen):
    """Lists and single reads agree; what is not seen is 404, with everything below it."""
    client = team.client(team.cast.members[role])
    assert names(client.get(team.path("athletes"))) == seen
    for athlete in (team.noor, team.bram, team.ayo):
        expected = 200 if athlete.name in seen else 404
        for below in ("", "/body-mass", "/limitations", "/assessments", "/capacities"):
            assert client.get(team.path(f"athletes/{athlete.id}{below}")).status_code == expected


def test_outsiders_and_rivals_find_nothing(team: Team):
    """404 for who is no member, also with the id of an athlete of their own organisation's path."""
    rival = make_cast()
    for member in (team.cast.outsider, rival.owner):
        assert_problem(team.client(member).get(team.path("athletes")), "not_found", 404)
    other = f"/api/v1/organisations/{rival.org.id}/athletes/{team.noor.id}"
    assert_problem(ApiClient(rival.owner.token, document()).get(other), "not_found", 404)


def test_take_in_an_athlete(team: Team):
    """The location's zone unless another is named; the same client_id gives the same athlete."""
    client = team.client(team.cast.staff)
    body = {"name": "Remy Falk", "location": team.cast.harbour.id, "client_id": "roster-4"}

    made = client.post(team.path("athletes"), body)
    again = client.post(team.path("athletes"), body)

    assert (made.status_code, again.status_code) == (201, 200)
    assert made.json() == again.json()
    assert made.json()["zone"] == "Europe/Lisbon"
    assert client.get(made.headers["Location"]).json() == made.json()
    changed = client.post(team.path("athletes"), {**body, "name": "Remy Falck"})
    assert_problem(changed, "client_id_reused", 409)


@pytest.mark.parametrize(
    ("change", "code", "status", "at"),
    [
        ({"location": str(uuid.uuid4())}, "invalid_input", 400, "#/location"),
        ({"name": ""}, "invalid_input", 400, "#/name"),
        ({"name": None}, "invalid_input", 400, "#/name"),
        ({"zone": "Europe/Atlantis"}, "invalid_input", 400, "#/zone"),
        (
            {"kit": {"items": {"box": {"heights_cm": [-1]}}}},
            "invalid_input",
            400,
            "#/kit/items/box/heights_cm/0",
        ),
        ({"kit": "rings"}, "invalid_input", 400, "#/kit"),
        ({"org_id": str(uuid.uuid4())}, "invalid_input", 400, "#/org_id"),
        ({"born_on": "1999-02-30"}, "invalid_input", 400, "#/born_on"),
    ],
)
def test_bad_athletes(team: Team, change, code, status, at):
    """Each fault at its place, nothing stored."""
    body = {"name": "Remy Falk", "location": str(team.cast.harbour.id), **change}
    response = team.client(team.cast.coach).post(team.path("athletes"), body)

    assert_problem(response, code, status, at=at)
    with team.cast.inside():
        assert Athlete.objects.count() == 3


def test_staff_take_in_for_their_own_locations_only(team: Team):
    """The mill is not the harbour staff's; athletes take in nobody."""
    body = {"name": "Remy Falk", "location": str(team.cast.mill.id)}
    path = team.path("athletes")
    assert_problem(team.client(team.cast.staff).post(path, body), "not_your_location", 403)
    assert_problem(team.client(team.cast.athlete).post(path, body), "forbidden", 403)
    assert team.client(team.cast.coach).post(path, body).status_code == 201


def test_change_with_the_version_that_was_seen(team: Team):
    """428 without If-Match, 412 with an old one, then the new representation and its ETag."""
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}")
    tag = client.get(path).headers["ETag"]

    assert_problem(client.patch(path, {"name": "Noor C."}), "precondition_required", 428)
    changed = client.patch(path, {"name": "Noor C."}, if_match=tag)
    assert (changed.status_code, changed.json()["name"]) == (200, "Noor C.")
    assert_problem(client.patch(path, {"name": "N."}, if_match=tag), "precondition_failed", 412)
    assert client.patch(path, {"name": "N."}, if_match=changed.headers["ETag"]).status_code == 200


def test_athletes_change_their_own_kit_and_nothing_else(team: Team):
    """Kit, zone and training alone are theirs to say; the name and the location are the staff's."""
    client, path = team.client(team.cast.athlete), team.path(f"athletes/{team.ayo.id}")
    tag = client.get(path).headers["ETag"]

    refused = client.patch(path, {"is_active": False}, if_match=tag)
    assert_problem(refused, "forbidden", 403)
    kit = {"items": {"kettlebell": {"loads_kg": [12, 16]}}}
    changed = client.patch(path, {"kit": kit, "trains_alone": True}, if_match=tag)
    assert (changed.json()["kit"], changed.json()["trains_alone"]) == (kit, True)


def test_an_own_kit_says_what_it_replaces_and_names_in_vain(team: Team):
    """Also an empty one stands in place of the location's; null gives the location's back."""
    client, path = team.client(team.cast.coach), team.path(f"athletes/{team.noor.id}")
    seen = client.get(path)
    assert (seen.json()["replaces_location_kit"], seen.json()["unknown_items"]) == (False, [])
    for kit, replaces, unknown in (
        ({"items": {"kettlebells": {"loads_kg": [12]}, "wall": {}}}, True, ["kettlebells"]),
        ({"items": {}}, True, []),
        (None, False, []),
    ):
        changed = client.patch(path, {"kit": kit}, if_match=seen.headers["ETag"])
        answer = changed.json()
        assert (answer["kit"], answer["replaces_location_kit"]) == (kit, replaces)
        assert [one["item"] for one in answer["unknown_items"]] == unknown
        assert all(one["nearest"] == ["kettlebell"] for one in answer["unknown_items"])
        seen = client.get(path)
        assert seen.json() == answer


def test_a_coach_joins_an_athlete_with_a_member(team: Team):
    """Then the member sees that athlete; a stranger cannot be joined, and staff may not."""
    path = team.path(f"athletes/{team.bram.id}")
    coach = team.client(team.cast.coach)
    tag = coach.get(path).headers["ETag"]
    stranger = {"person": str(team.cast.outsider.person.id)}
    assert_problem(coach.patch(path, stranger, if_match=tag), "invalid_input", 400, at="#/person")
    member = {"person": str(team.cast.staff.person.id)}
    assert coach.patch(path, member, if_match=tag).status_code == 200
    twice = team.path(f"athletes/{team.noor.id}")
    taken = coach.patch(twice, member, if_match=coach.get(twice).headers["ETag"])
    assert_problem(taken, "conflict", 409)


def test_record_a_weighing(team: Team):
    """By the athlete themselves; the local date is that of their zone."""
    client, path = team.client(team.cast.athlete), team.path(f"athletes/{team.ayo.id}/body-mass")
    body = {"body_mass_kg": 61.5, "measured_at": "2030-03-19T23:30:00-05:00", "client_id": "scale-1"}

    made, again = client.post(path, body), client.post(path, body)

    assert (made.status_code, again.status_code) == (201, 200)
    assert made.json()["local_date"] == "2030-03-20"
    assert client.get(path).json()["items"] == [made.json()]
    assert_problem(client.post(path, {**body, "body_mass_kg": 62.0}), "client_id_reused", 409)


@pytest.mark.parametrize(
    ("change", "at"),
    [
        ({"body_mass_kg": 19.9}, "#/body_mass_kg"),
        ({"body_mass_kg": 400.1}, "#/body_mass_kg"),
        ({"body_mass_kg": -70}, "#/body_mass_kg"),
        ({"body_mass_kg": "70"}, "#/body_mass_kg"),
        ({"body_mass_kg": None}, "#/body_mass_kg"),
        ({"measured_at": "2030-03-21T19:00:00Z"}, "#/measured_at"),
        ({"measured_at": "2030-03-19T19:00:00"}, "#/measured_at"),
        ({"body_mass_lb": 150}, "#/body_mass_lb"),
    ],
)
def test_bad_weighings(team: Team, change, at):
    """Too light, too heavy, not a number, of tomorrow, without an offset, unknown: nothing is stored."""
    body = {"body_mass_kg": 61.5, "measured_at": "2030-03-19T08:00:00Z", **change}
    response = team.client(team.cast.coach).post(team.path(f"athletes/{team.noor.id}/body-mass"), body)

    assert_problem(response, "invalid_input", 400, at=at)
    with team.cast.inside():
        assert not BodyMass.objects.exists()


def test_limits_over_http(team: Team):
    """Set, shortened and lifted; the same idempotency key sets it once."""
    client, path = team.client(team.cast.staff), team.path(f"athletes/{team.noor.id}/limitations")
    body = {"hazard": "overhead", "from_date": "2030-03-20", "note": "Sore shoulder."}
    key = str(uuid.uuid4())

    made = client.post(path, body, idempotency_key=key)
    again = client.post(path, body, idempotency_key=key)

    assert made.status_code == 201
    assert again.headers["Idempotency-Replayed"] == "true"
    assert len(client.get(path).json()["items"]) == 1
    one = made.headers["Location"]
    assert_problem(client.post(path, {**body, "hazard": "ghosts"}), "invalid_input", 400, at="#/hazard")
    wrong = client.patch(one, {"until_date": "2030-03-01"}, if_match=made.headers["ETag"])
    assert_problem(wrong, "invalid_input", 400, at="#/until_date")
    changed = client.patch(one, {"until_date": "2030-04-01"}, if_match=made.headers["ETag"])
    assert changed.json()["until_date"] == "2030-04-01"
    assert_problem(client.delete(one, if_match=made.headers["ETag"]), "precondition_failed", 412)
    assert client.delete(one, if_match=changed.headers["ETag"]).status_code == 204
    assert_problem(client.get(one), "not_found", 404)


def test_filters(team: Team):
    """By location and by who still trains; an unknown parameter or a malformed one is refused."""
    client, path = team.client(team.cast.coach), team.path("athletes")
    assert names(client.get(path, query={"location": str(team.cast.mill.id)})) == ["Bram Okoye"]
    assert names(client.get(path, query={"is_active": "false"})) == []
    assert_problem(client.get(path, query={"location": "mill"}), "invalid_input", 400, at="location")
    assert_problem(client.get(path, query={"name": "Bram"}), "invalid_input", 400, at="name")


def test_pages_hold_every_athlete_once(team: Team):
    """Following `next` gives all, by name."""
    client, path = team.client(team.cast.coach), team.path("athletes?limit=1")
    seen = []
    for _ in range(3):
        page = client.get(path)
        seen += names(page)
        path = (page.json()["next"] or "").removeprefix("http://testserver")
    assert seen == ["Ayo Lindqvist", "Bram Okoye", "Noor Castell"]
    assert path == ""


@pytest.mark.parametrize("below", ["athletes", "body-mass", "limitations"])
def test_lists_cost_the_same_for_three_rows_as_for_thirty(team: Team, below):
    """No query for each row."""
    client = team.client(team.cast.coach)
    path = team.path("athletes" if below == "athletes" else f"athletes/{team.noor.id}/{below}")
    client.get(path)  # the first use of a token is written down
    counts = []
    for extra in (3, 27):
        with team.cast.inside():
            for n in range(extra):
                _add(team, below, n + len(counts) * 100)
        with CaptureQueriesContext(connection) as queries:
            response = client.get(path)
        counts.append((len(queries), len(response.json()["items"])))
    assert counts[1][1] - counts[0][1] == 27
    assert counts[0][0] == counts[1][0]


def _add(team: Team, below: str, n: int) -> None:
    common = {"org": team.cast.org}
    if below == "athletes":
        Athlete.objects.create(**common, name=f"Extra {n}", location=team.cast.harbour, zone="UTC")
    elif below == "body-mass":
        team.weigh(team.noor, 60.0 + n / 10, days=n)
    else:
        from athletes.actions.limitations import add_limitation

        day = days_ago(n).date()
        add_limitation(actor=team.cast.coach.actor, athlete=team.noor, hazard="knee", from_date=day)
