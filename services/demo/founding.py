"""Before the first day: an operator founds the organisation, its people move in, through the interface."""

from __future__ import annotations

import datetime as dt
from typing import Any

from programming.calc.catalogue import parse_variation
from services.demo.client import Api, at_once, sign_in
from services.demo.documents import KITS, LOCATIONS
from services.demo.people import ATHLETES, MEMBERS, MILL, QUAY, DemoAthlete, Member
from services.demo.scene import Scene
from services.tenancy.actor import ALL_SCOPES

STAFF_OF = {MILL: "mill_staff", QUAY: "quay_staff"}
# Weighed in before the first test, so that body-weight work has a load from the start.
WEIGHED_DAYS_AGO = 42
LIMITED_DAYS_AGO = 2


def move_in(scene: Scene) -> None:
    """Locations with their equipment, members with their roles, athletes with their weighings and limits."""
    owner = next(member for member in MEMBERS if member.role == "owner")
    scene.apis["owner"] = sign_in(scene.port, owner.email, scene.password, ALL_SCOPES).inside(
        scene.organisation
    )
    for place in LOCATIONS:
        row = scene.owner.post("/locations", place).body
        scene.locations[place["name"]] = row["id"]
        scene.owner.put_first(f"/locations/{row['id']}/kit", {"items": KITS[place["name"]]})
    for member in MEMBERS:
        if member.role != "owner":
            _join(scene, member)
    read_catalogue(scene)
    at_once(lambda person: _take_in(scene, person), ATHLETES)
    for member in MEMBERS:
        if member.role == "athlete":
            _link(scene, member)


def read_catalogue(scene: Scene) -> None:
    """The variations that the demo's people use, by key."""
    for row in scene.coach.every("/variations"):
        scene.variation_ids[row["key"]] = row["id"]
        scene.variations[row["key"]] = parse_variation(row["present"]["document"]).variation


def author(scene: Scene, person: DemoAthlete) -> Api:
    """Who writes for an athlete: the staff of the gym, the coach for remote athletes."""
    return scene.apis[STAFF_OF.get(person.place, "coach")]


def _join(scene: Scene, member: Member) -> None:
    """Invited by the owner; accepts, then signs in."""
    places = [scene.locations[member.place]] if member.place else []
    invitation = scene.owner.post(
        "/invitations", {"email": member.email, "role": member.role, "locations": places}
    ).body
    door = Api(scene.port, "/api/v1")
    door.post(
        "/invitations/accept",
        {"secret": invitation["secret"], "name": member.name, "password": scene.password},
    )
    scene.apis[member.key] = sign_in(scene.port, member.email, scene.password).inside(scene.organisation)


def _take_in(scene: Scene, person: DemoAthlete) -> None:
    by = author(scene, person)
    body: dict[str, Any] = {
        "name": person.name,
        "location": scene.locations[person.place],
        "sex": person.sex,
        "born_on": f"{person.born}-06-15",
        "trains_alone": person.alone,
        "client_id": f"roster-{person.name.lower().replace(' ', '-')}",
    }
    if person.kit is not None:
        body["kit"] = {"items": person.kit}
    athlete = by.post("/athletes", body).body["id"]
    scene.athletes[person.name] = athlete
    if not person.unweighed:
        when = scene.now - dt.timedelta(days=WEIGHED_DAYS_AGO)
        weigh(by, athlete, person.mass_kg, when)
    if person.limit is not None:
        since = (scene.now - dt.timedelta(days=LIMITED_DAYS_AGO)).date()
        limit = {
            "hazard": person.limit,
            "from_date": since.isoformat(),
            "note": "Until the physiotherapist says otherwise.",
        }
        by.post(f"/athletes/{athlete}/limitations", limit)


def weigh(by: Api, athlete: str, mass_kg: float, when: dt.datetime) -> None:
    by.post(f"/athletes/{athlete}/body-mass", {"body_mass_kg": mass_kg, "measured_at": when.isoformat()})


def _link(scene: Scene, member: Member) -> None:
    """From now on this member is that athlete, and sends results of their own."""
    person = Api.send(scene.apis[member.key], "GET", "/api/v1/me", absolute=True).body["id"]
    scene.coach.change(f"/athletes/{scene.athletes[member.name]}", {"person": person})
