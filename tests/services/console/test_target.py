"""The shares that are wanted, as a form: the interface stores them, tells a conflict, and nothing typed is lost."""

from __future__ import annotations

import re
from typing import Any

import pytest

from services.tenancy.actor import Role
from tests.services.console.browse import browser, looked_at, page
from tests.support.api import ApiClient
from tests.support.cast import Member
from tests.support.world import World, url

pytestmark = pytest.mark.django_db

TYPED = {
    "sets_by_quality-maximal_strength": "40",
    "sets_by_quality-local_muscular_endurance": "59,5",
    "sets_by_quality-power": " 0.5 ",
    "cyclical_by_quality-aerobic_power": "100",
}


def stored(world: World, path: str = "balance-target") -> Any:
    return ApiClient(world.cast.coach.token).get(url(world, path)).json()


def tag_of(answer: Any) -> str:
    found = re.search(r'name="tag" value="([^"]*)"', answer.content.decode())
    assert found
    return found[1].replace("&quot;", '"')


def opened(world: World, member: Member, path: str = "balance/wanted") -> dict[str, str]:
    """The form's own field, as a browser sends it along."""
    answer = browser(member).get(page(world.cast, path))
    looked_at(answer)
    return {"tag": tag_of(answer)}


def sent(world: World, member: Member, values: dict[str, str], path: str = "balance/wanted") -> Any:
    return browser(member).post(page(world.cast, path), values)


def test_what_is_written_down_is_stored_and_stands_in_the_form(world: World) -> None:
    """As shares of 1, named ones alone; a second time it replaces the first."""
    coach = world.cast.coach
    form = opened(world, coach)
    assert form["tag"] == ""
    answer = sent(world, coach, {**TYPED, **form})
    assert answer.status_code == 302 and answer["Location"] == page(world.cast, "balance")
    told = stored(world)
    assert told["sets_by_quality"] == [
        {"name": "local_muscular_endurance", "share": 0.595},
        {"name": "maximal_strength", "share": 0.4},
        {"name": "power", "share": 0.005},
    ]
    assert told["sets_by_pattern"] == []
    assert told["cyclical_by_quality"] == [{"name": "aerobic_power", "share": 1.0}]
    shown = browser(coach).get(page(world.cast, "balance/wanted")).content.decode()
    assert 'name="sets_by_quality-local_muscular_endurance" value="59.5"' in shown
    assert sent(world, coach, {**TYPED, **opened(world, coach)}).status_code == 302
    assert stored(world)["version"] == 2


def test_of_a_group_they_are_its_own(world: World) -> None:
    coach = world.cast.coach
    group = ApiClient(coach.token).post(url(world, "groups"), {"name": "Early birds"}).json()["id"]
    path = f"groups/{group}/balance/wanted"
    assert (
        "Shares that are wanted of Early birds" in looked_at(browser(coach).get(page(world.cast, path))).text
    )
    assert sent(world, coach, {**TYPED, **opened(world, coach, path)}, path).status_code == 302
    assert stored(world, f"groups/{group}/balance-target")["group"] == group
    assert ApiClient(coach.token).get(url(world, "balance-target")).status_code == 404


def test_who_comes_second_is_told_and_loses_nothing(world: World) -> None:
    """412 with all that was typed, beside it what is stored now; sent again it takes its place."""
    coach, owner = world.cast.coach, world.cast.owner
    first = opened(world, coach)
    assert sent(world, owner, {"sets_by_quality-skill": "100", **opened(world, owner)}).status_code == 302
    answer = sent(world, coach, {**TYPED, **first})
    assert answer.status_code == 412
    shown = looked_at(answer)
    assert "Somebody else changed these shares while you were writing." in shown.text
    assert "stored now: 100 %" in shown.text and "stored now: nothing" in shown.text
    assert 'name="sets_by_quality-local_muscular_endurance" value="59,5"' in answer.content.decode()
    assert stored(world)["sets_by_quality"] == [{"name": "skill", "share": 1.0}]
    assert sent(world, coach, {**TYPED, "tag": tag_of(answer)}).status_code == 302
    assert [one["name"] for one in stored(world)["sets_by_quality"]] == [
        "local_muscular_endurance",
        "maximal_strength",
        "power",
    ]


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("sets_by_quality-power", "20", "They add up to 119.5 %; together they must be 100 %."),
        ("sets_by_quality-power", "half", "Write a number, for example 35."),
        ("sets_by_pattern-squat", "130", "At most 100 %."),
        ("sets_by_pattern-squat", "-3", "At least 0 %."),
    ],
)
def test_what_is_wrong_stands_at_its_field(world: World, field: str, value: str, said: str) -> None:
    """In percent, as it was typed; nothing is stored."""
    answer = sent(world, world.cast.coach, {**TYPED, field: value, "tag": ""})
    assert answer.status_code == 400
    shown = looked_at(answer)
    assert said in shown.text and "Nothing is stored yet." in shown.text
    content = answer.content.decode()
    assert f'name="{field}" value="{value}"' in content
    if "add up" not in said:
        assert f'aria-describedby="f-{field}-error"' in content and f'id="f-{field}-error"' in content
    assert ApiClient(world.cast.coach.token).get(url(world, "balance-target")).status_code == 404


def test_staff_of_a_location_read_them_and_athletes_do_not(world: World) -> None:
    """Without a form; what they send all the same is refused."""
    sent(world, world.cast.coach, {**TYPED, "tag": ""})
    answer = browser(world.cast.staff).get(page(world.cast, "balance/wanted"))
    shown = looked_at(answer)
    assert "Maximal strength: 40 %" in shown.text and "Write down" not in shown.text
    assert sent(world, world.cast.staff, {**TYPED, "tag": ""}).status_code == 403
    for method in ("get", "post"):
        ask = getattr(browser(world.cast.members[Role.ATHLETE]), method)
        assert ask(page(world.cast, "balance/wanted")).status_code == 403


def test_a_tag_that_somebody_made_up_is_told(world: World) -> None:
    sent(world, world.cast.coach, {**TYPED, "tag": ""})
    answer = sent(world, world.cast.coach, {**TYPED, "tag": "nonsense"})
    assert answer.status_code == 400
    assert "entity tags" in looked_at(answer).text
