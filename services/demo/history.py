"""Six weeks of training before the demo's day: tests, and sessions once or twice a week, some of them missed."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from services.demo.client import Api, at_once
from services.demo.documents import CAP_S, PUSH_AND_BRIDGE, SQUAT_AND_SIT_UP
from services.demo.felt import DILIGENT, felt
from services.demo.founding import author
from services.demo.generator import Done, Task, do_block
from services.demo.people import ATHLETES, DemoAthlete
from services.demo.scene import SEED, Scene
from services.demo.tests_taken import by_eye, settings_of, take_tests

SESSION_DAYS_AGO: Final = (38, 31, 27, 24, 20, 17, 13, 10, 6, 3)
MISSED: Final = 0.12
AS_TOTALS: Final = 0.2
# Who is away was last seen so many days ago; two weeks of silence before a session are asked about.
LAST_SEEN_DAYS_AGO: Final = 17


@dataclass(frozen=True)
class Past:
    """A session that took place: its id, its document, when, and how long ago."""

    session: str
    place: str
    document: Mapping[str, Any]
    at: dt.datetime
    days_ago: int

    @property
    def weeks_ago(self) -> float:
        return self.days_ago / 7.0


@dataclass(frozen=True)
class Written:
    """How much was written down, and by athlete how many days ago the results are."""

    tests: int
    results: int
    days: dict[str, set[int]]


def write_history(scene: Scene) -> Written:
    """Tests and logged sessions of everybody who is not new, each as it happened, through the interface."""
    old_hands = [person for person in ATHLETES if not person.newcomer]
    placed = _place(scene)
    tests = take_tests(scene)
    attended = [
        (number, person, past)
        for number, person in enumerate(old_hands)
        for past in placed
        if past.place == person.place
        and _comes(number, person, past.days_ago)
        and not (person.away and past.days_ago < LAST_SEEN_DAYS_AGO)
    ]
    results = at_once(lambda job: _attend(scene, *job), attended)
    days: dict[str, set[int]] = defaultdict(set)
    for _, person, past in attended:
        days[person.name].add(past.days_ago)
    return Written(tests, results, days)


def publish(coach: Api, document: Mapping[str, Any]) -> str:
    """A template, published as it is; the revision."""
    template = coach.post("/templates", {"name": document["title"], "draft": document}).body
    revision = coach.post(f"/templates/{template['id']}/revisions", {"version": template["version"]})
    published: str = revision.body["id"]
    return published


def schedule(coach: Api, revision: str, location: str, at: dt.datetime) -> str:
    body = {"revision": revision, "location": location, "starts_at": at.isoformat()}
    placed: str = coach.post("/scheduled-sessions", body).body["id"]
    return placed


def _place(scene: Scene) -> list[Past]:
    documents = (PUSH_AND_BRIDGE, SQUAT_AND_SIT_UP)
    revisions = [publish(scene.coach, document) for document in documents]
    evening = scene.now.replace(hour=17, minute=30, second=0, microsecond=0)
    past = []
    for turn, days_ago in enumerate(SESSION_DAYS_AGO):
        at = evening - dt.timedelta(days=days_ago)
        for place, location in scene.locations.items():
            session = schedule(scene.coach, revisions[turn % 2], location, at)
            past.append(Past(session, place, documents[turn % 2], at, days_ago))
    return past


def _comes(number: int, person: DemoAthlete, days_ago: int) -> bool:
    chance = np.random.default_rng([SEED, 7, number, days_ago]).random()
    return person.name in DILIGENT or chance > MISSED


def _attend(scene: Scene, number: int, person: DemoAthlete, past: Past) -> None:
    rng = np.random.default_rng([SEED, 2, number, past.days_ago])
    body = scene.bodies[person.name]
    work = past.document["blocks"][0]["work"]
    chosen = {item["key"]: by_eye(scene, person, item["movement"], past.weeks_ago, rng) for item in work}
    tasks = [
        Task(
            item["key"],
            item["repetitions"],
            body.fresh(item["movement"], chosen[item["key"]].effective_kg, weeks_ago=past.weeks_ago),
        )
        for item in work
    ]
    done = do_block(body, tasks, cap_s=CAP_S, rng=rng)
    told = {
        name: {"variation": option.variation_key, **settings_of(option)} for name, option in chosen.items()
    }
    report = as_totals(done) if rng.random() < AS_TOTALS else as_set_log(done, told)
    report |= {
        "session": past.session,
        "athlete": scene.athletes[person.name],
        "performed_at": (past.at + dt.timedelta(seconds=done.elapsed_s)).isoformat(),
        **felt(person, past.days_ago, done.elapsed_s),
    }
    author(scene, person).post("/attempts", report)


def as_set_log(done: Done, versions: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """Set by set, each on the version of its work item."""
    sets = [
        {
            "work": one.work,
            **versions[one.work],
            "repetitions": one.repetitions,
            "rest_before_s": one.rest_before_s,
            "rir": one.rir,
            "ended_by": one.ended_by,
        }
        for one in done.sets
    ]
    return {"set_log": {"sets": sets, "elapsed_s": done.elapsed_s}}


def as_totals(done: Done) -> dict[str, Any]:
    """The clock, the breaks and the repetitions: what many athletes can tell."""
    works = sorted({one.work for one in done.sets})
    totals = [{"work": work, "repetitions": done.total(work)} for work in works]
    return {"totals": {"elapsed_s": done.elapsed_s, "breaks": done.breaks, "work": totals}}
