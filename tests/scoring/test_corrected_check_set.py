"""The amount that a corrected check set leads to is told beside what stands by now, not beside what asked for the
first.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from scoring.check_advice import advice_on
from scoring.models import CheckSet, Prescription
from tests.scoring.test_check_sets import check_sets, current
from tests.support.api import ApiClient
from tests.support.world import World, drain, world_of

pytestmark = pytest.mark.django_db

WHO = "Nia Moor"
SENT: dict[str, Any] = {"work": "a", "ended_by": "failure"}


@pytest.fixture
def world(db: None) -> World:
    world = world_of(WHO, 70.0)
    drain(world.cast)
    return world


def asked_for(content: dict[str, Any], amount: int) -> dict[str, Any]:
    """The same with another amount of the work, of the athlete's own."""
    other = deepcopy(content)
    [one] = [one for one in other["work"] if one["work"] == "a"]
    one |= {"repetitions": amount, "amount_as_written": False}
    return other


def corrected(world: World, coach: ApiClient) -> tuple[Prescription, CheckSet]:
    """What stands after the first set, and the set that replaces it."""
    first = coach.post(check_sets(world, WHO), {**SENT, "repetitions": 12}).json()
    drain(world.cast)
    standing = current(world, WHO)
    assert standing.number > 1
    again = coach.post(check_sets(world, WHO), {**SENT, "repetitions": 13, "replaces": first["id"]})
    assert again.status_code == 201, again.content
    with world.cast.inside():
        return standing, CheckSet.objects.get(id=again.json()["id"])


@pytest.mark.parametrize(
    ("stands", "follows", "said"),
    [(22, 22, None), (22, 20, "less of it: 20 repetitions"), (20, 22, "more of it: 22 repetitions")],
)
def test_the_amount_is_held_against_what_stands(
    world: World, coach: ApiClient, stands: int, follows: int, said: str | None
) -> None:
    """Another amount was asked for when the first set was, and nothing has changed where the same follows."""
    standing, row = corrected(world, coach)
    with world.cast.inside():
        first = Prescription.objects.get(athlete=world.athletes[WHO], session=world.session, number=1)
    asked = next(one for one in first.content["work"] if one["work"] == "a")["repetitions"]
    assert asked not in (stands, follows), (
        "else what asked for the first set could not be told from the others"
    )
    standing.content = asked_for(standing.content, stands)
    with world.cast.inside():
        text = advice_on(standing, row, asked_for(standing.content, follows)).text

    assert f"not {asked}" not in text
    if said is None:
        assert "of it:" not in text
    else:
        assert said in text and f"not {stands}" in text
