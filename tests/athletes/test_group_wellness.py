"""What is unusual in a group's answers: by athlete, in numbers where there are enough, for owners and coaches."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes import group_wellness as told_of_groups
from athletes.actions.group_members import add_group_members
from athletes.actions.wellness import set_form
from athletes.api.wellness_examples import FORM_INPUT
from athletes.models import Athlete, HealthRead, WellnessAnswer, WellnessForm
from programming.actions.groups import create_group
from programming.models import Group
from tests.athletes.conftest import Team, days_ago
from tests.support.api import assert_problem

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.urls("tests.athletes.urls"),
    pytest.mark.usefixtures("at_now"),
]


BEFORE = (3, 4, 4, 2, 3, 5, 4, 3, 4, 3, 2)


@pytest.fixture
def group(team: Team) -> Group:
    with team.cast.inside():
        set_form(actor=team.cast.coach.actor, **FORM_INPUT)
        return create_group(actor=team.cast.coach.actor, name="Late shift", location_id=team.cast.harbour.id)


def join(team: Team, group: Group, *names: str) -> list[Athlete]:
    """Athletes of the harbour, in the group for half a year."""
    with team.cast.inside():
        made = [
            Athlete.objects.create(org=team.cast.org, name=name, location=team.cast.harbour, zone="UTC")
            for name in names
        ]
        add_group_members(
            actor=team.cast.coach.actor, group=group, athlete_ids=[one.id for one in made],
            from_date=days_ago(180).date(), until_date=None,
        )  # fmt: skip
    return made


def answered(team: Team, athlete: Athlete, last_week: int, days: int = 60) -> None:
    """Sleep as it varies, and for the last seven days so."""
    with team.cast.inside():
        form = WellnessForm.objects.get()
        WellnessAnswer.objects.bulk_create(
            WellnessAnswer(
                org=team.cast.org, athlete=athlete, form=form, form_key=form.key, local_date=days_ago(day).date(),
                answers={"sleep": float(last_week if day <= 7 else BEFORE[day % len(BEFORE)])},
                recorded_by=team.cast.coach.person,
            )
            for day in range(1, days)
        )  # fmt: skip


def told(team: Team, group: Group, **query: str) -> dict[str, Any]:
    path = team.path(f"groups/{group.id}/wellness")
    answer = team.client(team.cast.coach).get(path, query={"form": "morning", **query})
    assert answer.status_code == 200, answer.content
    found: dict[str, Any] = answer.json()
    return found


def sleep(found: dict[str, Any]) -> dict[str, Any]:
    (item,) = (one for one in found["items"] if one["item"] == "sleep")
    return item


def test_whoever_had_a_bad_week_is_named_with_what_is_unusual(team: Team, group: Group) -> None:
    """The same as on the athlete's own page; who has not answered enough is compared with nothing."""
    bad, good, new = join(team, group, "Bad Week", "Good Week", "New Here")
    answered(team, bad, 1)
    answered(team, good, 5)
    answered(team, new, 1, days=20)
    found = told(team, group)
    assert [(one["name"], one["items_compared"], one["unusually_bad"]) for one in found["athletes"]] == [
        ("Bad Week", 1, ["sleep"]), ("Good Week", 1, []), ("New Here", 0, []),
    ]  # fmt: skip
    assert found["athletes"][0]["newest_answer_on"] == days_ago(1).date().isoformat()
    coach = team.client(team.cast.coach)
    own, other = (
        coach.get(team.path(f"athletes/{one.id}/wellness"), query={"form": "morning"}).json()
        for one in (bad, good)
    )
    assert own["items"][0]["unusually_bad"] is True
    rates = [one["false_flags_per_week"] for one in (own, other)]
    assert min(rates) > 0.0 and found["false_flags_per_week"] == pytest.approx(sum(rates))
    assert told(team, group, on=days_ago(8).date().isoformat())["athletes"][0]["unusually_bad"] == []


def test_of_fewer_than_five_no_number_is_told(team: Team, group: Group) -> None:
    for number, athlete in enumerate(join(team, group, "A", "B", "C", "D", "E")):
        item = sleep(told(team, group))
        assert (item["athletes_compared"], item["unusually_bad"]) == (number, None)
        assert item["unusually_bad_reason"] == "fewer_than_5_athletes"
        answered(team, athlete, 1 if number < 2 else 4)
    item = sleep(told(team, group))
    assert (item["athletes_compared"], item["unusually_bad"], item["unusually_bad_reason"]) == (5, 2, None)


def test_it_is_for_owners_and_coaches_and_each_look_is_written_down(team: Team, group: Group) -> None:
    made = join(team, group, "A", "B")
    told(team, group)
    with team.cast.inside():
        reads = list(HealthRead.objects.values_list("athlete_id", "kind", "reader_id"))
    assert set(reads) == {(one.id, "wellness", team.cast.coach.person.id) for one in made}
    path = team.path(f"groups/{group.id}/wellness")
    for member in (team.cast.staff, team.cast.athlete):
        assert_problem(team.client(member).get(path, query={"form": "morning"}), "forbidden", 403)
    assert_problem(
        team.client(team.cast.coach).get(path, query={"form": "evening"}), "invalid_input", 400, at="form"
    )


def test_beyond_the_first_sixty_it_says_how_many_are_left_out(
    team: Team, group: Group, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Here beyond two; whom it does not tell of nobody has read of."""
    monkeypatch.setattr(told_of_groups, "MOST_ATHLETES", 2)
    join(team, group, "C", "A", "B")
    found = told(team, group)
    assert ([one["name"] for one in found["athletes"]], found["athletes_left_out"]) == (["A", "B"], 1)
    with team.cast.inside():
        assert HealthRead.objects.count() == 2


def test_it_costs_the_same_for_three_as_for_thirty(team: Team, group: Group) -> None:
    path, client, counts = team.path(f"groups/{group.id}/wellness"), team.client(team.cast.coach), []
    client.get(path, query={"form": "morning"})
    for more in (3, 27):
        for athlete in join(team, group, *(f"E{len(counts)} {n}" for n in range(more))):
            answered(team, athlete, 3, days=10)
        with CaptureQueriesContext(connection) as queries:
            rows = client.get(path, query={"form": "morning"}).json()["athletes"]
        counts.append((len(queries), len(rows)))
    assert [rows for _, rows in counts] == [3, 30]
    assert counts[0][0] == counts[1][0]
