"""A session is copied, put aside and taken up again from the pages, by the interface's own routes."""

from __future__ import annotations

from typing import Any

import pytest

from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.test_write import stored, template_of
from tests.support.api import ApiClient
from tests.support.world import SESSION, World, url

pytestmark = pytest.mark.django_db


def here(world: World, template: dict[str, Any], rest: str = "") -> str:
    return page(world.cast, f"write/{template['id']}{rest}")


def listed(world: World, query: str = "") -> Seen:
    return looked_at(browser(world.cast.coach).get(page(world.cast, f"write{query}")))


def published(world: World, template: dict[str, Any]) -> str:
    path = url(world, f"templates/{template['id']}/revisions")
    made = ApiClient(world.cast.coach.token).post(path, {"version": template["version"]})
    assert made.status_code == 201, made.content
    return str(made.json()["id"])


def test_a_copy_begins_as_the_draft_is(world: World) -> None:
    """Under another name; what it was made from stays as it is."""
    template = template_of(world)
    client = browser(world.cast.coach)
    assert here(world, template, "/copy") in looked_at(client.get(here(world, template))).links
    form = looked_at(client.get(here(world, template, "/copy"))).text
    assert "Copy “Harbour rows”" in form and "the draft, as it is now" in form
    made = client.post(here(world, template, "/copy"), {"name": "Rows, easier", "revision": ""})
    assert made.status_code == 302
    copy = stored(world, {"id": made.url.rpartition("/")[2]})
    assert (copy["name"], copy["draft"], copy["copied_from"]) == ("Rows, easier", SESSION, template["id"])
    assert stored(world, template) == template
    assert "Rows, easier" in listed(world).text


def test_a_copy_may_begin_as_a_revision_was(world: World) -> None:
    """The draft has gone on since; the copy has not."""
    template = template_of(world)
    revision = published(world, template)
    coach = ApiClient(world.cast.coach.token)
    later = {"draft": {**SESSION, "title": "Something else by now"}}
    path = url(world, f"templates/{template['id']}")
    tag = coach.get(path).headers["ETag"]
    assert coach.patch(path, later, headers={"If-Match": tag}).status_code == 200
    client = browser(world.cast.coach)
    assert "revision 1, " in looked_at(client.get(here(world, template, "/copy"))).text
    made = client.post(here(world, template, "/copy"), {"name": "As it was", "revision": revision})
    copy = stored(world, {"id": made.url.rpartition("/")[2]})
    assert copy["draft"]["title"] == SESSION["title"]


@pytest.mark.parametrize(
    ("told", "complaint"),
    [
        ({"name": "", "revision": ""}, "This field is required."),
        ({"name": "x" * 121, "revision": ""}, "at most 120 characters"),
        ({"name": "As before", "revision": "4c1de2a5-5d0c-4f0e-9c57-0d4c8d0f7a11"}, "Select a valid choice."),
    ],
)
def test_what_cannot_be_copied_is_said_beside_the_field(
    world: World, told: dict[str, str], complaint: str
) -> None:
    """And nothing is made."""
    template = template_of(world)
    refused = browser(world.cast.coach).post(here(world, template, "/copy"), told)
    assert refused.status_code == 400
    assert complaint in looked_at(refused).text
    assert listed(world).text.count("Harbour rows") == 1


def test_it_is_put_aside_and_taken_up_again(world: World) -> None:
    """After a question; it leaves the list, stands in the other, is written no more, and comes back."""
    template = template_of(world)
    client = browser(world.cast.coach)
    assert here(world, template, "/aside") in looked_at(client.get(here(world, template))).links
    assert "It leaves the list" in looked_at(client.get(here(world, template, "/aside"))).text
    assert stored(world, template)["archived_at"] is None
    done = client.post(here(world, template, "/aside"))
    assert (done.status_code, done.url) == (302, page(world.cast, "write"))
    assert stored(world, template)["archived_at"] is not None
    assert "Harbour rows" not in listed(world).text
    assert "Harbour rows" in listed(world, "?aside").text
    assert "put aside already" in looked_at(client.get(here(world, template, "/aside"))).text
    aside = looked_at(client.get(here(world, template)))
    assert "This session was put aside" in aside.text
    assert here(world, template, "/taken-up") in aside.links
    assert "It comes back to the list" in looked_at(client.get(here(world, template, "/taken-up"))).text
    back = client.post(here(world, template, "/taken-up"))
    assert (back.status_code, back.url) == (302, here(world, template))
    assert stored(world, template)["archived_at"] is None
    assert "Harbour rows" in listed(world).text
    assert "Nothing is put aside." in listed(world, "?aside").text


def test_staff_of_a_location_change_nothing(world: World) -> None:
    """They see no way to it, and what they send is refused."""
    template = template_of(world)
    staff = browser(world.cast.staff)
    links = looked_at(staff.get(here(world, template))).links
    for name in ("/copy", "/aside", "/taken-up"):
        assert here(world, template, name) not in links
        asked = looked_at(staff.get(here(world, template, name)))
        assert "Owners and coaches" in asked.text or "It is in the list" in asked.text
        assert staff.post(here(world, template, name), {"name": "Mine"}).status_code == 403
    assert stored(world, template) == template
