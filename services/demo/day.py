"""The demo's day through the interface: begin, collect, correct, rank, learn."""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import uuid4

import numpy as np

from services.demo.client import Reply, at_once
from services.demo.documents import CAP_S, HEADWIND, MILL_CAP_S
from services.demo.felt import felt
from services.demo.founding import author
from services.demo.generator import Done, Task, do_block
from services.demo.history import as_set_log, as_totals
from services.demo.people import ATHLETES, MEMBERS, MILL, DemoAthlete
from services.demo.rounds import RoundWork, do_rounds, seconds_of
from services.demo.scene import SEED, Scene
from services.demo.writing import MAIN, Day

HANDFUL: Final = (
    "Abena Quartey",
    "Catalina Roig",
    "Farrukh Amirov",
    "Jin Aratani",
    "Tama Whetu",
    "Wanjiru Mbeki",
)
LATE, TWICE, UNLIKELY, CORRECTED = "Wanjiru Mbeki", "Tama Whetu", "Dmitar Vasilev", "Bjarne Tveit"
AS_PRESCRIBED: Final = "Abena Quartey"
TOTALS: Final = ("Hinewai Parata", "Xenia Dragan")
# The versions in which capacities are shown: as the coach wrote them.
WRITTEN: Final[dict[str, tuple[str, dict[str, Any]]]] = {
    "push-ups on the floor": ("push_up_floor", {}),
    "squats, 16 kg kettlebell": ("goblet_squat", {"load_kg": 16}),
}
Figures = dict[tuple[str, str], Mapping[str, Any]]
Sheet = dict[str, Mapping[str, Any]]


@dataclass(frozen=True)
class Collected:
    """What came of the results that were out of the ordinary."""

    sent: int
    first: Reply
    again: Reply
    attempts: Mapping[str, str]


def read_sheet(scene: Scene, sessions: Mapping[str, str]) -> Sheet:
    """The prescriptions that hold now, by the athlete's name."""
    return {
        scene.names[row["athlete"]]: row
        for session in sessions.values()
        for row in scene.coach.every("/prescriptions", session=session, current="true")
    }


def begin(scene: Scene, day: Day) -> None:
    """The coach moves the sessions to this minute: the demo does not wait until tomorrow."""
    for session in (*day.sessions.values(), day.lifting):
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
        "effort": stored["effort"],
        "minutes": stored["minutes"],
    }
    scene.coach.post(f"/attempts/{attempt}/corrections", told)
    return log["elapsed_s"] - 60.0, log["elapsed_s"]


def send_as_prescribed(scene: Scene, day: Day, prescription: Mapping[str, Any]) -> Mapping[str, Any]:
    """All as the plan says, in one request without a single set; the result as the service has it."""
    person = next(one for one in ATHLETES if one.name == AS_PRESCRIBED)
    by = author(scene, person)
    told = {
        "session": day.lifting,
        "athlete": scene.athletes[person.name],
        "prescription": prescription["id"],
        "performed_at": dt.datetime.now(dt.UTC).isoformat(),
        "effort": 7,
        "minutes": 55,
        "as_prescribed": {"rir": 2},
    }
    sent: Mapping[str, Any] = by.post("/attempts", told).body
    return sent


def report_of(scene: Scene, day: Day, sheet: Sheet, person: DemoAthlete) -> dict[str, Any]:
    """What the athlete sends after doing the prescribed versions; one of them mistypes the clock."""
    prescription = sheet[person.name]
    told = _told(scene, person, prescription["content"])
    elapsed_s = told["set_log" if "set_log" in told else "totals"]["elapsed_s"]
    return {
        "session": day.sessions[person.place],
        "athlete": scene.athletes[person.name],
        "prescription": prescription["id"],
        "performed_at": dt.datetime.now(dt.UTC).isoformat(),
        "client_id": f"day-{person.name.lower().replace(' ', '-')}",
        **told,
        **felt(person, 0, elapsed_s),
    }


def _told(scene: Scene, person: DemoAthlete, content: Mapping[str, Any]) -> dict[str, Any]:
    if MAIN[person.place] is HEADWIND:
        return ride_and_press(scene, person, content)
    done = perform(scene, person, content)
    if person.name in TOTALS:
        return as_totals(done)
    told = as_set_log(done, {one["work"]: _version(one) for one in content["work"]})
    if person.name == UNLIKELY:
        told["set_log"]["elapsed_s"] = round(done.elapsed_s / 60.0)
        for one in told["set_log"]["sets"]:
            del one["rest_before_s"]
    return told


def ride_and_press(scene: Scene, person: DemoAthlete, content: Mapping[str, Any]) -> dict[str, Any]:
    """All rounds of the prescribed versions, as the invented body does them."""
    body, rng = scene.bodies[person.name], _chance(person)
    ride, lift = content["work"]
    per_kcal = scene.variations[ride["variation"]].work_j_per_kcal
    assert per_kcal is not None
    fresh = body.fresh(lift["movement"], lift["effective_kg"])
    work = RoundWork(ride["energy_kcal"] * per_kcal, lift["repetitions"], fresh)
    done = do_rounds(body, work, HEADWIND["blocks"][0]["rules"]["rounds"], rng=rng)
    sets = [
        {
            **({"work": ride["work"], **_version(ride), "energy_kcal": ride["energy_kcal"]}
               if one.repetitions is None
               else {"work": lift["work"], **_version(lift), "repetitions": one.repetitions}),
            "rest_before_s": one.rest_before_s,
            "duration_s": one.duration_s,
            "ended_by": one.ended_by,
        }
        for one in done
    ]  # fmt: skip
    return {"set_log": {"sets": sets, "elapsed_s": seconds_of(done)}}


def perform(scene: Scene, person: DemoAthlete, content: Mapping[str, Any]) -> Done:
    """Do the prescribed versions by the plan, as far as the invented body goes along.

    Who needs a check set has no plan worth following yet, and goes by feeling.
    """
    body = scene.bodies[person.name]
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
    return do_block(body, tasks, cap_s=cap_of(person.place), rng=_chance(person))


def cap_of(place: str) -> float:
    """Seconds after which the clock stops the swap session there."""
    return MILL_CAP_S if place == MILL else CAP_S


def _chance(person: DemoAthlete) -> np.random.Generator:
    return np.random.default_rng([SEED, 3, [one.name for one in ATHLETES].index(person.name)])


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
