"""Groups and their members over HTTP: who sees whom, lists that stay cheap, and other organisations."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.athletes import create_athlete
from athletes.actions.group_members import add_group_members
from programming.actions.groups import create_group
from tests.athletes.conftest import TODAY, Team
from tests.programming.support import base, body, client, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast


def test_a_group_and_who_is_in_it(team: Team) -> None:
    """Made, filled, asked for a day, and left by a last day; each sees the athletes they may know of."""
    cast, caller = team.cast, client(team.cast.coach)
    groups = f"{base(cast)}/groups"
    group = body(caller.post(groups, json={"name": "Early birds", "location": str(cast.mill.id)}), 201)
    assert_problem(caller.post(groups, json={"name": "Early birds"}), "group_name_taken", 409)
    members = f"{groups}/{group['id']}/members"
    sent = {"athletes": [str(team.noor.id), str(team.bram.id)], "from_date": TODAY.isoformat()}
    added = body(caller.post(members, json=sent), 201)["items"]
    assert {row["athlete"] for row in added} == set(sent["athletes"])
    again = assert_problem(caller.post(members, json=sent), "already_in_group", 409)
    assert [error["pointer"] for error in again["errors"]] == ["#/athletes/0", "#/athletes/1"]

    bram = next(row for row in added if row["athlete"] == str(team.bram.id))
    left = caller.patch(
        f"{members}/{bram['id']}",
        json={"until_date": TODAY.isoformat()},
        if_match=f'"{bram["id"]}-1"',
    )
    assert body(left)["until_date"] == TODAY.isoformat()
    tomorrow = (TODAY + dt.timedelta(days=1)).isoformat()

    def seen(member, **query: str) -> set[str]:
        return {row["athlete"] for row in body(client(member).get(members, query=query))["items"]}

    assert seen(cast.coach) == {str(team.noor.id), str(team.bram.id)}
    assert seen(cast.coach, on_date=tomorrow) == {str(team.noor.id)}
    assert seen(cast.staff) == {str(team.noor.id)}
    assert seen(cast.athlete) == set()
    removed = caller.delete(f"{members}/{bram['id']}", if_match=left.headers["ETag"])
    assert removed.status_code == 204
    assert seen(cast.coach) == {str(team.noor.id)}


def test_a_group_at_rest_and_a_group_elsewhere(team: Team) -> None:
    """At rest it leaves the list of active ones; other organisations' groups and athletes are not there."""
    cast, caller = team.cast, client(team.cast.coach)
    rival = make_cast("Rivals")
    with rival.inside():
        theirs = create_group(actor=rival.coach.actor, name="Theirs")
        stranger, _ = create_athlete(actor=rival.coach.actor, name="Rhea", location_id=rival.harbour.id)
    with cast.inside():
        ours = create_group(actor=cast.coach.actor, name="Ours")
    groups = f"{base(cast)}/groups"
    rest = caller.patch(f"{groups}/{ours.id}", json={"is_active": False}, if_match=f'"{ours.id}-1"')
    assert body(rest)["is_active"] is False
    assert body(caller.get(groups, query={"active": "true"}))["items"] == []
    assert [row["id"] for row in body(caller.get(groups))["items"]] == [str(ours.id)]
    for path in (f"{groups}/{theirs.id}", f"{groups}/{theirs.id}/members"):
        assert_problem(caller.get(path), "not_found", 404)
    sent = {"athletes": [str(stranger.id)], "from_date": TODAY.isoformat()}
    problem = assert_problem(
        caller.post(f"{groups}/{ours.id}/members", json=sent), "invalid_input", 400, at="#/athletes/0"
    )
    assert [error["code"] for error in problem["errors"]] == ["unknown_reference"]
    foreign = {"name": "New", "location": str(rival.harbour.id)}
    assert_problem(caller.post(groups, json=foreign), "invalid_input", 400, at="#/location")


def groups_of(cast: Cast, count: int) -> str:
    for number in range(count):
        create_group(actor=cast.coach.actor, name=f"Group {number}")
    return "groups"


def members_of(cast: Cast, count: int) -> str:
    group = create_group(actor=cast.coach.actor, name="Everybody")
    ids = [
        create_athlete(actor=cast.coach.actor, name=f"Athlete {n}", location_id=cast.harbour.id)[0].id
        for n in range(count)
    ]
    add_group_members(actor=cast.coach.actor, group=group, athlete_ids=ids, from_date=TODAY)
    return f"groups/{group.id}/members"


@pytest.mark.django_db
@pytest.mark.parametrize("fill", [groups_of, members_of], ids=lambda fill: fill.__name__)
def test_a_list_costs_the_same_for_three_rows_and_thirty(fill) -> None:
    """To fill it in one go, and to read it."""
    counted = []
    for count in (3, 30):
        gym = stocked(make_cast(f"Gym of {count}"))
        with gym.inside():
            path = fill(gym, count)
        caller = client(gym.coach)
        with CaptureQueriesContext(connection) as queries:
            response = caller.get(f"{base(gym)}/{path}")
        assert len(body(response)["items"]) == count
        counted.append(len(queries))
    assert counted[0] == counted[1]
