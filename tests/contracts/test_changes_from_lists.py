"""Whoever has read a list can change an entry of it without reading that one again."""

from __future__ import annotations

from typing import Any

import pytest

from tests.contracts.test_derived_numbers import schemas
from tests.support.api import ApiClient, committed_document
from tests.support.world import World, add_athlete, make_world


def changed_from_lists() -> dict[str, str]:
    """By list the schema of its entries, where one of them is changed by PATCH."""
    paths = committed_document().content["paths"]
    found = {}
    for path, operations in paths.items():
        listed = path.rpartition("/")[0]
        if "patch" in operations and "get" in paths.get(listed, {}):
            answer = paths[listed]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
            page = schemas()[answer["$ref"].rpartition("/")[2]]
            found[listed] = page["properties"]["items"]["items"]["$ref"].rpartition("/")[2]
    return found


def test_entries_that_can_be_changed_carry_their_version() -> None:
    """Every list of what PATCH changes, whatever comes next."""
    lists = changed_from_lists()
    assert len(lists) >= 8
    assert [path for path, kind in lists.items() if "version" not in schemas()[kind]["required"]] == []


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0)
    return world


@pytest.mark.parametrize(
    ("listed", "change"),
    [
        ("athletes", {"trains_alone": True}),
        ("locations", {"freeze_minutes": 30}),
        ("scheduled-sessions", {"starts_at": "2031-03-07T18:00:00Z"}),
    ],
)
def test_a_change_from_a_list(world: World, listed: str, change: dict[str, Any]) -> None:
    """The entry's id and version make the tag; an old one is refused."""
    owner, base = ApiClient(world.cast.owner.token), f"/api/v1/organisations/{world.cast.org.id}/{listed}"
    entry = owner.get(base).json()["items"][0]
    tag = f'"{entry["id"]}-{entry["version"]}"'
    answer = owner.patch(f"{base}/{entry['id']}", change, headers={"If-Match": tag})
    assert answer.status_code == 200, answer.content
    assert answer.json()["version"] == entry["version"] + 1
    assert owner.patch(f"{base}/{entry['id']}", change, headers={"If-Match": tag}).status_code == 412


def test_a_session_says_from_when_it_is_prescribed(world: World) -> None:
    """Seven days before its start; never, and why, once it is cancelled."""
    coach, base = ApiClient(world.cast.coach.token), f"/api/v1/organisations/{world.cast.org.id}"
    sent = {
        "revision": str(world.revision.id),
        "location": str(world.cast.harbour.id),
        "starts_at": "2031-03-10T18:00:00Z",
    }
    placed = coach.post(f"{base}/scheduled-sessions", sent).json()
    assert (placed["prescriptions_from"], placed["prescriptions_from_reason"]) == (
        "2031-03-03T18:00:00Z",
        None,
    )
    assert coach.post(f"{base}/scheduled-sessions/{placed['id']}/cancel").status_code == 200
    read = coach.get(f"{base}/scheduled-sessions/{placed['id']}").json()
    assert (read["prescriptions_from"], read["prescriptions_from_reason"]) == (None, "session_cancelled")
