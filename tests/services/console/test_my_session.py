"""An athlete's own session without any script: what it shows, what it takes, and what it says to what it does not."""

from __future__ import annotations

from typing import Any

import pytest

from tests.services.console.browse import browser, looked_at
from tests.services.console.my_athlete import Form, address, attempts, my_world
from tests.support.world import World, drain

pytestmark = pytest.mark.django_db


@pytest.fixture
def mine(db: None) -> World:
    return my_world()


def reading(world: World, **options: Any) -> Any:
    return browser(world.cast.athlete, **options)


def form_of(world: World) -> dict[str, str]:
    answer = reading(world).get(address(world))
    assert answer.status_code == 200
    looked_at(answer)
    return Form(answer.content.decode()).fields


def ticked(fields: dict[str, str]) -> dict[str, str]:
    """Every set done as planned, in twelve minutes."""
    rows = [name.removesuffix("what") for name in fields if name.endswith("-what")]
    assert len(rows) > 3
    return {**fields, **{f"{row}done": "yes" for row in rows}, "0-elapsed": "12:00"}


def test_what_is_planned_stands_in_the_fields(mine: World) -> None:
    """Version, amount, load and rest of every set of the prescription, and nothing is ticked."""
    from scoring.models import Prescription

    with mine.cast.inside():
        content = Prescription.objects.get(athlete=mine.athletes["Ayo Lindqvist"]).content
    fields = form_of(mine)
    assert [fields[f"0-{n}-amount"] for n in range(len(content["plan"]))] == [
        f"{one['repetitions']:g}" for one in content["plan"]
    ]
    loads = {one["work"]: one["load_kg"] for one in content["work"]}
    for number, one in enumerate(content["plan"]):
        assert fields[f"0-{number}-what"].startswith(f"{one['work']} ")
        load = loads[one["work"]]
        assert fields[f"0-{number}-load"] == ("" if load is None else f"{load:g}")
        assert fields[f"0-{number}-rest"] == f"{one['rest_before_s']:g}"
    assert not [name for name in fields if name.endswith("-done")]


def test_what_is_sent_is_the_interfaces_result(mine: World) -> None:
    """The same row as by the interface, once however often the form is sent, and the page then shows it."""
    client = reading(mine)
    fields = ticked(form_of(mine))
    for _ in range(2):
        answer = client.post(address(mine), fields)
        assert (answer.status_code, answer.url) == (303, f"{address(mine)}#stored")
    (attempt,) = attempts(mine)
    assert attempt.kind == "set_log"
    assert attempt.elapsed_s == 720.0
    assert str(attempt.prescription_id) == fields["prescription"]
    drain(mine.cast)
    told = looked_at(client.get(address(mine)))
    assert "Your result is stored" in told.text
    assert "12:00 on the clock" in told.text
    assert "Send the result" not in told.text
