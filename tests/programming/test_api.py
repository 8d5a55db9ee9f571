"""The programme over HTTP: from a draft to the calendar, and everything that is refused on the way."""

from __future__ import annotations

import datetime as dt
from typing import Any
from uuid import uuid4

import pytest

from programming.models import LocationKit, Movement, Revision, ScheduledSession, Template, Variation
from tests.programming.support import (
    DOCUMENT,
    KIT,
    base,
    body,
    client,
    draft,
    placed,
    published,
    stocked,
    with_kit,
)
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast

FLOOR_PRESS = {
    "key": "floor_press",
    "name": "Floor press",
    "pattern": "horizontal_push",
    "capacity_kind": "load_repetition",
    "prior": {"l10_kg": 30, "l10_sd": 0.4, "k": 0.024, "k_cv": 0.2, "source": "estimate"},
}


@pytest.fixture
def gym(cast: Cast) -> Cast:
    """The cast with the shipped catalogue."""
    return stocked(cast)


def test_from_a_draft_to_the_calendar(gym: Cast) -> None:
    """A coach writes, publishes, places, moves and cancels; an athlete reads what was published."""
    coach, athlete, root = client(gym.coach), client(gym.athlete), base(gym)
    with gym.inside():
        with_kit(gym, gym.harbour)
    template = body(coach.post(f"{root}/templates", {"name": "Sixty", "draft": {"title": "Sixty"}}), 201)
    assert {problem["pointer"] for problem in template["problems"]} == {"#/draft/quality", "#/draft/blocks"}
    address = f"{root}/templates/{template['id']}"
    written = coach.patch(address, {"draft": draft()}, if_match=coach.get(address).headers["ETag"])
    assert body(written)["problems"] == []
    revision = body(coach.post(f"{address}/revisions", {"version": 2}), 201)
    again = body(coach.post(f"{address}/revisions", {"version": 2}), 200)
    assert again == revision
    assert body(athlete.get(f"{root}/revisions/{revision['id']}"))["document"] == draft()
    order = {"revision": revision["id"], "location": str(gym.harbour.id), "starts_at": "2030-07-07T23:30:00Z"}
    made = coach.post(f"{root}/scheduled-sessions", order)
    session = body(made, 201)
    assert (session["local_date"], session["zone"]) == ("2030-07-08", "Europe/Lisbon")
    place = made.headers["Location"]
    assert body(athlete.get(place))["title"] == "Harbour sixty"
    moved = coach.patch(place, {"starts_at": "2030-07-09T18:00:00+01:00"}, if_match=made.headers["ETag"])
    assert body(moved)["local_date"] == "2030-07-09"
    assert_problem(
        coach.patch(place, {"starts_at": "2030-07-10T18:00:00Z"}, if_match=made.headers["ETag"]),
        "precondition_failed",
        412,
    )
    assert body(coach.post(f"{place}/cancel"))["cancelled_at"] is not None
    assert body(coach.post(f"{place}/cancel"))["version"] == 3
    late = coach.patch(place, {"starts_at": "2030-07-10T18:00:00Z"}, if_match="*")
    assert_problem(late, "session_cancelled", 409)


def test_a_draft_that_contradicts_itself_is_not_published(gym: Cast) -> None:
    """The problem's pointers lead into the template; the draft itself can be stored."""
    document = draft()
    document["blocks"][0]["aim"]["conditions"][0]["lower"] = 61
    document["blocks"][0]["aim"]["conditions"][0]["upper"] = None
    document["blocks"][0]["work"][1]["movement"] = "moonwalk"
    coach, root = client(gym.coach), base(gym)
    template = body(coach.post(f"{root}/templates", {"name": "Sixty", "draft": document}), 201)
    refused = coach.post(f"{root}/templates/{template['id']}/revisions", {"version": 1})
    at = "#/draft/blocks/0/aim/conditions/0/lower"
    problem = assert_problem(refused, "draft_not_publishable", 400, at=at)
    assert {error["code"] for error in problem["errors"]} == {"window_above_work", "unknown_movement"}
    stale = coach.post(f"{root}/templates/{template['id']}/revisions", {"version": 2})
    assert_problem(stale, "draft_changed", 409)
    with gym.inside():
        assert not Revision.objects.exists()


@pytest.mark.parametrize(
    ("route", "sent", "pointer"),
    [
        ("templates", {"name": "x", "draft": []}, "#/draft"),
        ("templates", {"name": "x", "draft": {}, "colour": 1}, "#/colour"),
        ("templates", {"name": "x" * 121, "draft": {}}, "#/name"),
        ("movements", {**FLOOR_PRESS, "key": "Floor Press"}, "#/key"),
        ("movements", {**FLOOR_PRESS, "key": "x" * 61}, "#/key"),
        ("movements", {**FLOOR_PRESS, "pattern": "sideways"}, "#/pattern"),
        ("movements", {**FLOOR_PRESS, "prior": {"k": 1}}, "#/prior/l10_sd"),
        ("movements", {**FLOOR_PRESS, "capacity_kind": "sometimes"}, "#/capacity_kind"),
        ("variations", {"movement": str(uuid4()), "key": "x", "name": "x", "document": {}}, "#/movement"),
        ("scheduled-sessions", {"revision": "1", "location": "2", "starts_at": "now"}, "#/revision"),
    ],
)
def test_a_body_that_cannot_be_meant(gym: Cast, route: str, sent: dict[str, Any], pointer: str) -> None:
    """400 with the place of the fault."""
    response = client(gym.coach).post(f"{base(gym)}/{route}", sent)
    assert_problem(response, "invalid_input", 400, at=pointer)


@pytest.mark.parametrize("literal", ["NaN", "Infinity", "1e999"])
def test_what_json_does_not_have_is_refused(gym: Cast, literal: str) -> None:
    """No such number reaches a draft or a kit."""
    coach, root = client(gym.coach), base(gym)
    sent = f'{{"name": "x", "draft": {{"cap": {literal}}}}}'.encode()
    assert_problem(coach.post(f"{root}/templates", body=sent), "bad_request", 400)
    kit = f'{{"items": {{"box": {{"heights_cm": [{literal}]}}}}}}'.encode()
    answer = coach.put(f"{root}/locations/{gym.harbour.id}/kit", body=kit, headers={"If-None-Match": "*"})
    assert_problem(answer, "bad_request", 400)
    with gym.inside():
        assert not Template.objects.exists()
        assert not LocationKit.objects.exists()


def test_what_belongs_to_another_organisation_does_not_exist_here(gym: Cast) -> None:
    """In the path 404, in the body a fault; nothing tells it from an invented identifier."""
    other = stocked(make_cast("Hillside Strength"))
    with other.inside():
        foreign = published(other)
        session = placed(other, foreign, other.harbour, dt.datetime(2030, 3, 7, 18, tzinfo=dt.UTC))
        movement, variation = Movement.objects.first(), Variation.objects.first()
    assert movement is not None
    assert variation is not None
    coach, root = client(gym.coach), base(gym)
    for path in (
        f"templates/{foreign.template_id}",
        f"templates/{foreign.template_id}/revisions",
        f"revisions/{foreign.id}",
        f"scheduled-sessions/{session.id}",
        f"movements/{movement.id}",
        f"variations/{variation.id}",
        f"variations/{variation.id}/versions",
        f"locations/{other.harbour.id}/kit",
    ):
        assert_problem(coach.get(f"{root}/{path}"), "not_found", 404)
        assert_problem(coach.get(f"{base(other)}/{path}"), "not_found", 404)
    with gym.inside():
        own = published(gym)
    for revision, location, at in (
        (foreign.id, gym.harbour.id, "#/revision"),
        (own.id, other.harbour.id, "#/location"),
        (uuid4(), gym.harbour.id, "#/revision"),
    ):
        order = {"revision": str(revision), "location": str(location), "starts_at": "2030-03-07T18:00:00Z"}
        refused = coach.post(f"{root}/scheduled-sessions", order)
        assert_problem(refused, "invalid_input", 400, at=at)
    taken = {"movement": str(movement.id), "key": "x", "name": "x", "document": DOCUMENT}
    assert_problem(coach.post(f"{root}/variations", taken), "invalid_input", 400, at="#/movement")
    with gym.inside():
        assert not ScheduledSession.objects.exists()


def test_a_repeated_creation_is_one_creation(gym: Cast) -> None:
    """The same Idempotency-Key gets the first answer."""
    coach, key, sent = client(gym.coach), str(uuid4()), {"name": "Sixty", "draft": draft()}
    first = coach.post(f"{base(gym)}/templates", sent, idempotency_key=key)
    again = coach.post(f"{base(gym)}/templates", sent, idempotency_key=key)
    assert body(first, 201) == body(again, 201)
    assert again.headers["Idempotency-Replayed"] == "true"
    with gym.inside():
        assert Template.objects.count() == 1


def test_an_own_movement_with_its_variation_and_versions(gym: Cast) -> None:
    """Created, found by filter, changed by a new version that an old reader cannot overwrite."""
    coach, root = client(gym.coach), base(gym)
    movement = body(coach.post(f"{root}/movements", FLOOR_PRESS), 201)
    assert_problem(coach.post(f"{root}/movements", FLOOR_PRESS), "key_taken", 409)
    new = {"movement": movement["id"], "key": "floor_press", "name": "Floor press", "document": DOCUMENT}
    made = coach.post(f"{root}/variations", new)
    address = f"{root}/variations/{body(made, 201)['id']}"
    found = body(coach.get(f"{root}/variations", query={"movement": movement["id"]}))["items"]
    assert [row["key"] for row in found] == ["floor_press"]
    tag = coach.get(address).headers["ETag"]
    better = {"document": {**DOCUMENT, "hazards": ["shoulder"]}}
    assert_problem(coach.post(f"{address}/versions", better), "precondition_required", 428)
    changed = body(coach.post(f"{address}/versions", better, if_match=tag), 201)
    assert (changed["version"], changed["present"]["number"]) == (2, 2)
    assert_problem(coach.post(f"{address}/versions", better, if_match=tag), "precondition_failed", 412)
    same = coach.post(f"{address}/versions", better, if_match=coach.get(address).headers["ETag"])
    assert body(same, 200)["present"]["number"] == 2
    wrong = {"document": {**DOCUMENT, "hazards": ["sharks"]}}
    refused = coach.post(f"{address}/versions", wrong, if_match="*")
    assert_problem(refused, "invalid_input", 400, at="#/document/hazards/0")
    numbers = [row["number"] for row in body(coach.get(f"{address}/versions"))["items"]]
    assert numbers == [2, 1]


def test_a_kit_is_written_with_the_version_that_was_read(gym: Cast) -> None:
    """First with If-None-Match: *, then with If-Match; never blindly."""
    coach, address = client(gym.coach), f"{base(gym)}/locations/{gym.harbour.id}/kit"
    assert_problem(coach.get(address), "not_found", 404)
    assert_problem(coach.put(address, KIT), "precondition_required", 428)
    assert_problem(coach.put(address, KIT, if_match='"x-1"'), "precondition_failed", 412)
    first = coach.put(address, KIT, headers={"If-None-Match": "*"})
    assert body(first, 201)["items"] == KIT["items"]
    assert_problem(coach.put(address, KIT), "precondition_required", 428)
    assert_problem(coach.put(address, KIT, headers={"If-None-Match": "*"}), "precondition_failed", 412)
    second = coach.put(address, {"items": {}}, if_match=first.headers["ETag"])
    assert (body(second, 200)["version"], second.headers["ETag"]) == (2, coach.get(address).headers["ETag"])
    assert_problem(coach.put(address, KIT, if_match=first.headers["ETag"]), "precondition_failed", 412)
    wrong = {"items": {"vest": {"loads_kg": [10, 5]}}}
    refused = coach.put(address, wrong, if_match="*")
    assert_problem(refused, "invalid_input", 400, at="#/items/vest/loads_kg/1")


def test_who_may_do_what(gym: Cast) -> None:
    """Coaches write; location staff read; athletes read what was published, no drafts."""
    root, sent = base(gym), {"name": "Sixty", "draft": draft()}
    for member in (gym.staff, gym.athlete):
        for route in ("templates", "movements", "variations", "scheduled-sessions"):
            assert_problem(client(member).post(f"{root}/{route}", sent), "forbidden", 403)
        kit = client(member).put(
            f"{root}/locations/{gym.harbour.id}/kit", KIT, headers={"If-None-Match": "*"}
        )
        assert_problem(kit, "forbidden", 403)
    body(client(gym.staff).get(f"{root}/templates"))
    assert_problem(client(gym.athlete).get(f"{root}/templates"), "forbidden", 403)
    for route in ("movements", "variations", "scheduled-sessions"):
        body(client(gym.athlete).get(f"{root}/{route}"))
    assert gym.outsider is not None
    assert_problem(client(gym.outsider).get(f"{root}/movements"), "not_found", 404)
    with gym.inside():
        assert not Template.objects.exists()
