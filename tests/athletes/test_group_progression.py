"""Who of a group changed for real, over HTTP."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.actions.athletes import create_athlete
from athletes.actions.group_members import add_group_members
from programming.actions.groups import create_group
from tests.athletes.conftest import TODAY, Team
from tests.athletes.progress_support import ago, given, read
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


def group_of(team: Team, *athletes: Any) -> str:
    with team.cast.inside():
        group = create_group(actor=team.cast.coach.actor, name=f"Lane {len(athletes)}")
        add_group_members(
            actor=team.cast.coach.actor,
            group=group,
            athlete_ids=[athlete.id for athlete in athletes],
            from_date=TODAY - dt.timedelta(days=200),
        )
    return str(group.id)


def of_group(team: Team, group: str, member: Any = None, **query: str) -> dict[str, Any]:
    with team.cast.inside():
        query = {"movement": str(team.movement("push_up")), **query}
    response = team.client(member or team.cast.coach).get(
        team.path(f"groups/{group}/progression"), query=query
    )
    assert response.status_code == 200, response.json()
    found: dict[str, Any] = response.json()
    return found


def test_who_of_a_group_changed_for_real(weighed: Team) -> None:
    """One for the better, one for the worse, one of whom nobody knows; counts of so few are said to be small."""
    given(weighed, "push_up_floor", [(70, 20), (66, 20), (8, 32), (3, 32)])
    given(weighed, "push_up_floor", [(70, 40), (66, 40), (8, 25), (3, 25)], athlete=weighed.bram)
    group = group_of(weighed, weighed.noor, weighed.bram, weighed.ayo)

    found = of_group(weighed, group, since=ago(66))

    assert [(row["name"], row["verdict"]) for row in found["members"]] == [
        ("Ayo Lindqvist", "unknown"),
        ("Bram Okoye", "declined"),
        ("Noor Castell", "improved"),
    ]
    assert [row["change_reason"] for row in found["members"]] == ["never_observed", None, None]
    counts = {row["verdict"]: row["athletes"] for row in found["counts"]}
    assert counts == {"improved": 1, "neither": 0, "declined": 1, "unsure": 0, "unknown": 1}
    assert all(row["small"] for row in found["counts"])
    (alone,) = read(weighed, since=ago(66))["movements"]
    told, expected = found["members"][2]["change"], alone["change"]
    for name in ("amount", "percent"):
        assert told[name] == pytest.approx(expected[name], rel=1e-4)
    assert told["improved"] == pytest.approx(expected["improved"], rel=1e-6)


def test_a_group_holds_those_of_today_whom_one_may_know(weighed: Team) -> None:
    """Staff see the members of their places, athletes no group at all; who left is not told of."""
    group = group_of(weighed, weighed.noor, weighed.bram)
    cast = weighed.cast

    def names(member: Any) -> list[str]:
        return [row["name"] for row in of_group(weighed, group, member)["members"]]

    assert names(cast.coach) == ["Bram Okoye", "Noor Castell"]
    assert names(cast.staff) == ["Noor Castell"]
    path = weighed.path(f"groups/{group}/progression")
    assert_problem(weighed.client(cast.athlete).get(path), "forbidden", 403)
    with cast.inside():
        weighed.bram.is_active = False
        weighed.bram.save(update_fields=["is_active"])
    assert names(cast.coach) == ["Noor Castell"]


@pytest.mark.parametrize(("query", "code"), [({}, "required"), ({"movement": "x"}, "invalid")])
def test_a_group_is_told_of_in_a_movement(weighed: Team, query: dict[str, str], code: str) -> None:
    path = weighed.path(f"groups/{group_of(weighed, weighed.noor)}/progression")
    problem = assert_problem(weighed.client(weighed.cast.coach).get(path, query=query), "invalid_input", 400)

    assert [(one["parameter"], one["code"]) for one in problem["errors"]] == [("movement", code)]


def test_a_group_costs_the_same_for_three_members_as_for_thirty(weighed: Team) -> None:
    counts = []
    of_group(weighed, group_of(weighed, weighed.noor))
    for size in (3, 30):
        with weighed.cast.inside():
            athletes = [
                create_athlete(
                    actor=weighed.cast.coach.actor,
                    name=f"Rower {size} {number:02}",
                    location_id=weighed.cast.harbour.id,
                )[0]
                for number in range(size)
            ]
            for athlete in athletes:
                weighed.weigh(athlete, 70.0)
        for athlete in athletes:
            given(weighed, "push_up_floor", [(20, 20), (3, 24)], athlete=athlete)
        group = group_of(weighed, *athletes)
        with CaptureQueriesContext(connection) as queries:
            found = of_group(weighed, group)
        counts.append(len(queries))
        assert len(found["members"]) == size
        assert all(row["change"] for row in found["members"])
    assert counts[0] == counts[1]
    unsure = next(row for row in found["counts"] if row["athletes"] == 30)
    assert unsure["small"] is False
