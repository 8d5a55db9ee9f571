"""The demo's day through the interface: write, place, prescribe, collect, rank, learn."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from uuid import uuid4

import numpy as np

from services.demo.client import Reply, at_once
from services.demo.documents import CAP_S, NEW_SESSION, contradictory_draft
from services.demo.errors import expect
from services.demo.founding import author, weigh
from services.demo.generator import Done, Task, do_block
from services.demo.history import as_set_log, as_totals, schedule
from services.demo.people import ATHLETES, MEMBERS, DemoAthlete
from services.demo.scene import SEED, Scene

HANDFUL: Final = (
    "Abena Quartey",
    "Jin Aratani",
    "Kalinda Perera",
    "Lorcan Devane",
    "Paloma Serrano",
    "Tama Whetu",
)
LATE, TWICE, UNLIKELY, CORRECTED = "Wanjiru Mbeki", "Tama Whetu", "Dmitar Vasilev", "Bjarne Tveit"
TOTALS: Final = ("Hinewai Parata", "Quentin Marais")
# The versions in which capacities are shown: as the coach wrote them.
WRITTEN: Final[dict[str, tuple[str, dict[str, Any]]]] = {
    "push-ups on the floor": ("push_up_floor", {}),
    "squats, 16 kg kettlebell": ("goblet_squat", {"load_kg": 16}),
}
Figures = dict[tuple[str, str], Mapping[str, Any]]
Sheet = dict[str, Mapping[str, Any]]


@dataclass
class Day:
    """Sessions by place: of the day, and of three days later."""

    problems: list[Mapping[str, str]] = field(default_factory=list)
    sessions: dict[str, str] = field(default_factory=dict)
    later: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Collected:
    """What came of the results that were out of the ordinary."""

    sent: int
    first: Reply
    again: Reply
    attempts: Mapping[str, str]


def write_and_place(scene: Scene) -> Day:
    """A draft with a contradiction, put right, published, placed tomorrow and three days later."""
    day = Day()
    coach = scene.coach
    template = coach.post("/templates", {"name": NEW_SESSION["title"], "draft": contradictory_draft()}).body
    day.problems = template["problems"]
    refused = coach.send(
        "POST",
        f"/templates/{template['id']}/revisions",
        body={"version": template["version"]},
        headers={"Idempotency-Key": str(uuid4())},
    )
    expect(refused.status == 400, f"a draft with a contradiction is refused, not answered {refused.status}")
    mended = coach.change(f"/templates/{template['id']}", {"draft": copy.deepcopy(NEW_SESSION)}).body
    expect(mended["problems"] == [], f"the mended draft has no problems, not {mended['problems']}")
    revision = coach.post(f"/templates/{template['id']}/revisions", {"version": mended["version"]}).body["id"]
    tomorrow = (scene.now + dt.timedelta(days=1)).replace(hour=17, minute=0, second=0, microsecond=0)
    for place, location in scene.locations.items():
        day.sessions[place] = schedule(coach, revision, location, tomorrow)
        day.later[place] = schedule(coach, revision, location, tomorrow + dt.timedelta(days=3))
    return day


def read_sheet(scene: Scene, sessions: Mapping[str, str]) -> Sheet:
    """The prescriptions that hold now, by the athlete's name."""
    names = {athlete: name for name, athlete in scene.athletes.items()}
    return {
        names[row["athlete"]]: row
        for session in sessions.values()
        for row in scene.coach.every("/prescriptions", session=session, current="true")
    }


def weigh_in(scene: Scene) -> str:
    """The athlete without a body mass steps on the scale; who it was."""
    person = next(one for one in ATHLETES if one.unweighed)
    weigh(author(scene, person), scene.athletes[person.name], person.mass_kg, dt.datetime.now(dt.UTC))
    return person.name


def begin(scene: Scene, day: Day) -> None:
    """The coach moves the sessions to this minute: the demo does not wait until tomorrow."""
    for session in day.sessions.values():
        at = dt.datetime.now(dt.UTC).isoformat()
        scene.coach.change(f"/scheduled-sessions/{session}", {"starts_at": at})


def collect(scene: Scene, day: Day, sheet: Sheet) -> Collected:
    """Everybody who has a version does it; all results but the late one arrive."""
    attempts: dict[str, str] = {}

    def send(person: DemoAthlete) -> None:
        reply = author(scene, person).post("/attempts", report_of(scene, day, sheet, person))
        attempts[person.name] = reply.body["id"]

    punctual = [one for one in ATHLETES if sheet[one.name]["feasible"] and one.name not in {LATE, TWICE}]
    sent = at_once(send, punctual)
    member = next(one for one in MEMBERS if one.name == TWICE)
    person = next(one for one in ATHLETES if one.name == TWICE)
    report, key = report_of(scene, day, sheet, person), str(uuid4())
    first = scene.apis[member.key].post("/attempts", report, key=key)
    again = scene.apis[member.key].post("/attempts", report, key=key)
    attempts[TWICE] = first.body["id"]
    return Collected(sent + 1, first, again, attempts)


def send_late(scene: Scene, day: Day, sheet: Sheet) -> str:
    person = next(one for one in ATHLETES if one.name == LATE)
    sent: str = author(scene, person).post("/attempts", report_of(scene, day, sheet, person)).body["id"]
    return sent


def correct(scene: Scene, attempt: str) -> tuple[float, float]:
    """The clock was read a minute too early: a new version, with the reason; (seconds before, after)."""
    stored = scene.coach.get(f"/attempts/{attempt}").body
    log = copy.deepcopy(stored["as_sent"]["set_log"])
    log["elapsed_s"] += 60.0
    told = {
        "performed_at": stored["performed_at"],
        "reason": "The clock was read a minute too early.",
        "set_log": log,
    }
    scene.coach.post(f"/attempts/{attempt}/corrections", told)
    return log["elapsed_s"] - 60.0, log["elapsed_s"]


def report_of(scene: Scene, day: Day, sheet: Sheet, person: DemoAthlete) -> dict[str, Any]:
    """What the athlete sends after doing the prescribed versions; one of them mistypes the clock."""
    prescription = sheet[person.name]
    done = perform(scene, person, prescription["content"])
    if person.name in TOTALS:
        told = as_totals(done)
    else:
        told = as_set_log(done, {one["work"]: _version(one) for one in prescription["content"]["work"]})
    if person.name == UNLIKELY:
        told["set_log"]["elapsed_s"] = round(done.elapsed_s / 60.0)
        for one in told["set_log"]["sets"]:
            del one["rest_before_s"]
    return {
        "session": day.sessions[person.place],
        "athlete": scene.athletes[person.name],
        "prescription": prescription["id"],
        "performed_at": dt.datetime.now(dt.UTC).isoformat(),
        "client_id": f"day-{person.name.lower().replace(' ', '-')}",
        **told,
    }


def perform(scene: Scene, person: DemoAthlete, content: Mapping[str, Any]) -> Done:
    """Do the prescribed versions by the plan, as far as the invented body goes along.

    Who needs a check set has no plan worth following yet, and goes by feeling.
    """
    body = scene.bodies[person.name]
    rng = np.random.default_rng([SEED, 3, [one.name for one in ATHLETES].index(person.name)])
    tasks = [
        Task(
            one["work"],
            one["repetitions"],
            body.fresh(one["movement"], one["effective_kg"]),
            tuple(
                (step["repetitions"], step["rest_before_s"])
                for step in content["plan"]
                if step["work"] == one["work"] and not content["check_sets"]
            ),
        )
        for one in content["work"]
    ]
    return do_block(body, tasks, cap_s=CAP_S, rng=rng)


def _version(one: Mapping[str, Any]) -> dict[str, Any]:
    settings = {
        name: one[name] for name in ("load_kg", "assistance_kg", "height_cm") if one[name] is not None
    }
    return {"variation": one["variation"], **settings}


def read_capacities(scene: Scene) -> Figures:
    """What a handful of athletes can do today in the versions as written."""
    return {
        (name, label): scene.coach.get(
            f"/athletes/{scene.athletes[name]}/capacities/{scene.variation_ids[variation]}", **settings
        ).body
        for name in HANDFUL
        for label, (variation, settings) in WRITTEN.items()
    }


def read_rankings(scene: Scene, day: Day) -> dict[str, Mapping[str, Any]]:
    return {
        place: scene.coach.get(f"/scheduled-sessions/{session}/ranking").body
        for place, session in day.sessions.items()
    }
