"""What the coach does before a week: write, check against people, publish, place, copy."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final
from uuid import uuid4

from services.demo.documents import (
    BALLAST,
    HEADWIND,
    NEW_SESSION,
    contradictory_draft,
    narrow_draft,
    of_the_mill,
)
from services.demo.errors import expect
from services.demo.history import publish
from services.demo.people import MILL, QUAY, REMOTE
from services.demo.scene import Scene

# What everybody does first; Old Mill lifts on the day after as well.
MAIN: Final[Mapping[str, dict[str, Any]]] = {MILL: NEW_SESSION, QUAY: HEADWIND, REMOTE: NEW_SESSION}
AFTER: Final = dt.timedelta(days=3)
MILL_REASON: Final = "The class is over at a quarter to: fewer squats, twenty minutes."


@dataclass
class Day:
    """Sessions by place: of the day, and of three days later; the lifting at Old Mill; the documents by session."""

    sessions: dict[str, str] = field(default_factory=dict)
    later: dict[str, str] = field(default_factory=dict)
    lifting: str = ""


@dataclass(frozen=True)
class Drafted:
    """What was answered to drafts: contradictions, and who reaches the aim of a narrow and of the mended draft."""

    template: str
    version: int
    problems: Sequence[Mapping[str, str]]
    narrow: Sequence[str]
    mended: Sequence[str]


@dataclass(frozen=True)
class Copied:
    """What became of a week that was copied, and of the same copy once more."""

    to_week: str
    outcomes: Sequence[str]
    again: Sequence[str]


def draft(scene: Scene) -> Drafted:
    """A draft with a contradiction, one that many do not reach, and one that serves."""
    coach = scene.coach
    row = coach.post("/templates", {"name": NEW_SESSION["title"], "draft": contradictory_draft()}).body
    problems = row["problems"]
    expect(bool(problems), "the contradiction in the draft is found")
    refused = coach.send(
        "POST",
        f"/templates/{row['id']}/revisions",
        body={"version": row["version"]},
        headers={"Idempotency-Key": str(uuid4())},
    )
    expect(refused.status == 400, f"a draft with a contradiction is refused, not answered {refused.status}")
    narrow = reach(scene, narrow_draft(), MILL)
    expect(
        any("Nobody" in line for line in narrow), f"the narrow draft is out of reach for some, not {narrow}"
    )
    mended = coach.change(f"/templates/{row['id']}", {"draft": copy.deepcopy(NEW_SESSION)}).body
    expect(mended["problems"] == [], f"the mended draft has no problems, not {mended['problems']}")
    return Drafted(row["id"], mended["version"], problems, narrow, reach(scene, NEW_SESSION, MILL))


def reach(scene: Scene, document: Mapping[str, Any], place: str) -> list[str]:
    """Who reaches the aim there, in sentences; nothing is stored."""
    asked = {"document": document, "location": scene.locations[place], "with_athletes": True}
    told: list[str] = scene.coach.post("/reach-checks", asked).body["sentences"]
    return told


def own_version_of_the_mill(scene: Scene, origin: str) -> list[str]:
    """The staff of Old Mill make their own version; what it changes, in sentences."""
    made = {
        "location": scene.locations[MILL],
        "origin": origin,
        "document": of_the_mill(),
        "reason": MILL_REASON,
    }
    row = scene.apis["mill_staff"].post("/local-versions", made).body
    return [one["sentence"] for one in row["own_changes"]]


def place_all(scene: Scene, swap: str) -> Day:
    """Everything on the calendar: tomorrow, three days later, and the lifting in between."""
    day = Day()
    tomorrow = (scene.now + dt.timedelta(days=1)).replace(hour=17, minute=0, second=0, microsecond=0)
    rounds, lifting = publish(scene.coach, HEADWIND), publish(scene.coach, BALLAST)
    for sessions, at in ((day.sessions, tomorrow), (day.later, tomorrow + AFTER)):
        sessions |= _place(scene, swap, (MILL, REMOTE), at)
        sessions |= _place(scene, rounds, (QUAY,), at)
    day.lifting = _place(scene, lifting, (MILL,), tomorrow + dt.timedelta(days=1))[MILL]
    return day


def _place(scene: Scene, revision: str, places: Sequence[str], at: dt.datetime) -> dict[str, str]:
    """One revision at several places in one request; where there is an own version, that."""
    where = [{"location": scene.locations[place], "starts_at": at.isoformat()} for place in places]
    body = {"revision": revision, "places": where, "use_local_versions": True}
    items = scene.coach.post("/placements", body).body["items"]
    return {place: item["session"]["id"] for place, item in zip(places, items, strict=True)}


def copy_forward(scene: Scene, day: Day) -> Copied:
    """Old Mill's sessions of tomorrow's week once more in the week after; twice is once."""
    rows = [
        scene.coach.get(f"/scheduled-sessions/{session}").body
        for session in (day.sessions[MILL], day.lifting, day.later[MILL])
    ]
    first = dt.date.fromisoformat(rows[0]["local_date"])
    same = [row["id"] for row in rows if _week(row["local_date"]) == _week(rows[0]["local_date"])]
    asked = {
        "from_week": first.isoformat(),
        "to_week": (first + dt.timedelta(days=7)).isoformat(),
        "location": scene.locations[MILL],
        "sessions": same,
    }
    made, again = (scene.coach.post("/week-copies", asked).body for _ in range(2))
    outcomes = [[item["outcome"] for item in one["items"]] for one in (made, again)]
    expect(set(outcomes[0]) == {"made"}, f"the week is copied, not {outcomes[0]}")
    expect(set(outcomes[1]) == {"there_already"}, f"a second copy makes nothing, not {outcomes[1]}")
    return Copied(made["to_week"], *outcomes)


def _week(date: str) -> tuple[int, int]:
    return dt.date.fromisoformat(date).isocalendar()[:2]


def document_of(scene: Scene, session: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """(the scheduled session, the document that it uses) as the service has them."""
    row = scene.coach.get(f"/scheduled-sessions/{session}").body
    return row, scene.coach.get(f"/revisions/{row['revision']}").body["document"]
