"""Equipment: what a kit may name, and which variations ask for it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from programming.actions.catalogue import create_variation
from programming.calc.kit import Kit, KitItem, options
from programming.catalogue.shipped import shipped_catalogue
from programming.equipment import equipment_of, nearest_to
from programming.models import Movement
from tests.programming.support import DOCUMENT, base, body, client, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast

VARIATIONS = [one.entry.variation for entry in shipped_catalogue() for one in entry.variations]


def test_every_item_says_what_it_is_for() -> None:
    """By hand: a box has heights and is needed to raise the hands; a vest is used; a rower is just there."""
    found = {one.item: one for one in equipment_of(VARIATIONS)}
    assert {"barbell", "band", "sled", "rowing_machine", "jump_rope", "safety_arms", "dip_bars"} <= set(found)
    assert found["box"].settings == ("heights_cm",)
    assert "push_up_hands_raised" in found["box"].needed_by
    assert (found["vest"].settings, found["vest"].needed_by) == (("loads_kg",), ())
    assert "push_up_floor" in found["vest"].used_by
    assert found["kettlebell"].settings == found["dumbbell"].settings == ("loads_kg", "pairs_kg")
    assert found["band"].settings == ("assistances_kg",)
    assert {"pull_up", "dip_bars", "bar_hang"} <= set(found["band"].used_by)
    assert (found["rowing_machine"].settings, found["rowing_machine"].needed_by) == ((), ("row_machine",))
    assert (found["safety_arms"].needed_by, found["safety_arms"].used_by) == ((), ())


@pytest.mark.parametrize("item", equipment_of(VARIATIONS), ids=lambda one: one.item)
def test_needed_means_that_nothing_is_offered_without_it(item) -> None:
    """Against the kit's own rule: without the item no option of who needs it, some of who only can use it."""
    everything = {one.item: KitItem((8.0,), (15.0,), (30.48,)) for one in equipment_of(VARIATIONS)}
    left = Kit({name: settings for name, settings in everything.items() if name != item.item})
    offered = {one.key for one in VARIATIONS if options(one, left, 80.0)}
    assert offered.isdisjoint(item.needed_by)
    assert offered >= set(item.used_by)
    assert len(VARIATIONS) == len(offered) + len(item.needed_by)


@pytest.mark.django_db
def test_it_costs_the_same_for_three_variations_and_thirty() -> None:
    """As many queries, over HTTP."""
    counted = []
    for count in (3, 30):
        gym = make_cast(f"Gym of {count}")
        with gym.inside():
            movement = Movement.objects.create(
                org=gym.org, key="own", name="Own", pattern="jump", capacity_kind="none", prior={}
            )
            for number in range(count):
                create_variation(
                    actor=gym.coach.actor, movement=movement, key=f"own_{number}", name="Own",
                    document={**DOCUMENT, "needs": [f"thing_{number}"]},
                )  # fmt: skip
        caller = client(gym.athlete)
        with CaptureQueriesContext(connection) as queries:
            items = body(caller.get(f"{base(gym)}/equipment"))["items"]
        assert len(items) == count + 2  # the dumbbell, and what catches a bar
        counted.append(len(queries))
    assert counted[0] == counted[1]


def test_it_is_the_organisation_s_own_catalogue(cast: Cast) -> None:
    """Own variations count; nobody from outside sees it."""
    stocked(cast)
    with cast.inside():
        movement = Movement.objects.get(key="bench_press")
        create_variation(
            actor=cast.coach.actor, movement=movement, key="press_on_ball", name="Press on a ball",
            document={**DOCUMENT, "needs": ["big_ball"]},
        )  # fmt: skip
    items = {one["item"]: one for one in body(client(cast.staff).get(f"{base(cast)}/equipment"))["items"]}
    assert items["big_ball"]["needed_by"] == ["press_on_ball"]
    assert "press_on_ball" in items["dumbbell"]["used_by"]
    assert cast.outsider is not None
    assert_problem(client(cast.outsider).get(f"{base(cast)}/equipment"), "not_found", 404)


def test_what_a_place_is_has_names_too() -> None:
    """A wall, a track, a rope to climb and lines on the floor are items, with nothing to set."""
    found = {one.item: one for one in equipment_of(VARIATIONS)}
    for item, needed_by in (
        ("wall", "handstand_push_up"),
        ("track", "run_course"),
        ("climbing_rope", "rope_climb_arms"),
        ("floor_lines", "shuttle_run"),
    ):
        assert needed_by in found[item].needed_by
        assert found[item].settings == ()


@pytest.mark.parametrize(
    ("name", "nearest"),
    [
        ("dumbbells", ("dumbbell",)),
        ("rope", ("jump_rope", "climbing_rope")),
        ("pullup_bar", ("pull_up_bar",)),
        ("walls", ("wall",)),
        ("moon_rock", ()),
    ],
)
def test_the_nearest_known_names(name: str, nearest: tuple[str, ...]) -> None:
    """Misspelt, in the plural, or only a part of the name; nothing where nothing is like it."""
    known = [one.item for one in equipment_of(VARIATIONS)]
    assert set(nearest) <= set(found := nearest_to(name, known))
    assert found[: len(nearest)] == nearest
    assert len(found) <= 3
    assert nearest or not found


def test_an_unknown_item_is_kept_and_named(cast: Cast) -> None:
    """Accepted as sent, said each time, gone once a variation asks for it."""
    stocked(cast)
    caller, path = client(cast.coach), f"{base(cast)}/locations/{cast.harbour.id}/kit"
    items = {"wall": {}, "boxx": {"heights_cm": [30]}, "big_ball": {}, "dumbbell": {"loads_kg": [10]}}
    put = caller.put(path, {"items": items}, headers={"If-None-Match": "*"})
    assert put.status_code == 201
    said = {one["item"]: one["nearest"] for one in put.json()["unknown_items"]}
    assert list(said) == ["boxx", "big_ball"]
    assert said["boxx"][0] == "box"
    assert put.json()["items"] == items
    tag = put.headers["ETag"]
    assert caller.get(path, headers={"If-None-Match": tag}).status_code == 304
    with cast.inside():
        movement = Movement.objects.get(key="bench_press")
        create_variation(
            actor=cast.coach.actor, movement=movement, key="press_on_ball", name="Press on a ball",
            document={**DOCUMENT, "needs": ["big_ball"]},
        )  # fmt: skip
    renewed = caller.get(path, headers={"If-None-Match": tag})
    assert renewed.status_code == 200, "the catalogue asks for the ball now, though the kit is the same"
    assert [one["item"] for one in body(renewed)["unknown_items"]] == ["boxx"]
    assert caller.put(path, {"items": items}, if_match=tag).status_code == 200, (
        "the kit itself has not changed"
    )
    assert_problem(caller.put(path, {"items": items}, if_match=tag), "precondition_failed", 412)
