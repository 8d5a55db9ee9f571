"""Four weeks of training before the demo's day: tests, and two sessions a week, some of them missed."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from programming.calc.kit import options, parse_kit
from programming.calc.variation import Option
from services.demo.client import Api, at_once
from services.demo.documents import CAP_S, KITS, PUSH_AND_BRIDGE, SQUAT_AND_SIT_UP
from services.demo.founding import author
from services.demo.generator import Done, Task, do_block, repetitions_in_test
from services.demo.people import ATHLETES, DemoAthlete
from services.demo.scene import SEED, Scene

SESSION_DAYS_AGO: Final = (27, 24, 20, 17, 13, 10, 6, 3)
TEST_DAYS_AGO: Final = (28, 12)
MISSED: Final = 0.12
AS_TOTALS: Final = 0.2
# What a coach looks for by eye when there is nothing else to go by.
GOOD_FIRST_SET: Final = 15.0
TESTED: Final = ("push_up", "squat")


@dataclass(frozen=True)
class Past:
    """A session that took place: its id, its document, when, and how long ago."""

    session: str
    place: str
    document: Mapping[str, Any]
    at: dt.datetime
    weeks_ago: float


@dataclass(frozen=True)
class Written:
    """How much was written down."""

    tests: int
    results: int


def write_history(scene: Scene) -> Written:
    """Tests and logged sessions of everybody who is not new, each as it happened, through the interface."""
    old_hands = [person for person in ATHLETES if not person.newcomer]
    placed = _place(scene)
    tests = at_once(lambda job: _test(scene, *job), _tests(old_hands))
    attended = [
        (number, person, past)
        for number, person in enumerate(old_hands)
        for turn, past in enumerate(one for one in placed if one.place == person.place)
        if np.random.default_rng([SEED, 7, number, turn]).random() > MISSED
    ]
    results = at_once(lambda job: _attend(scene, *job), attended)
    return Written(tests, results)


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
            past.append(Past(session, place, documents[turn % 2], at, days_ago / 7.0))
    return past


def _tests(people: list[DemoAthlete]) -> list[tuple[int, DemoAthlete, str, int]]:
    """Everybody at the start; every other athlete once more in between."""
    return [
        (number, person, movement, days_ago)
        for number, person in enumerate(people)
        for movement in TESTED
        for days_ago in TEST_DAYS_AGO[: 1 + number % 2]
    ]


def _test(scene: Scene, number: int, person: DemoAthlete, movement: str, days_ago: int) -> None:
    rng = np.random.default_rng([SEED, 1, number, days_ago, TESTED.index(movement)])
    body = scene.bodies[person.name]
    weeks_ago = days_ago / 7.0
    option = by_eye(scene, person, movement, weeks_ago, rng)
    repetitions = repetitions_in_test(body.fresh(movement, option.effective_kg, weeks_ago=weeks_ago), rng)
    told: dict[str, Any] = {
        "variation": scene.variation_ids[option.variation_key],
        "kind": "to_failure",
        "repetitions": repetitions,
        "performed_at": (scene.now - dt.timedelta(days=days_ago)).isoformat(),
        **settings_of(option),
    }
    if repetitions > 4 and rng.random() < 0.25:
        told |= {"kind": "with_rir", "repetitions": repetitions - 2, "rir": 2}
    athlete = scene.athletes[person.name]
    author(scene, person).post(f"/athletes/{athlete}/assessments", told)


def by_eye(
    scene: Scene, person: DemoAthlete, movement: str, weeks_ago: float, rng: np.random.Generator
) -> Option:
    """A version that a coach hands out without numbers: roughly one with a good first set."""
    kit = parse_kit({"items": KITS[person.place] if person.kit is None else person.kit})
    body = scene.bodies[person.name]
    found = [
        option
        for variation in scene.variations.values()
        if variation.movement == movement
        for option in options(variation, kit, person.mass_kg)
    ]

    def off(option: Option) -> float:
        fresh = body.fresh(movement, option.effective_kg, weeks_ago=weeks_ago)
        return abs(math.log(max(fresh, 0.5) / GOOD_FIRST_SET) + rng.normal(0.0, 0.25))

    return min(found, key=off)


def settings_of(option: Option) -> dict[str, float]:
    """Only what is set."""
    named = {
        "load_kg": option.load_kg,
        "assistance_kg": option.assistance_kg,
        "height_cm": option.height_cm,
    }
    return {name: value for name, value in named.items() if value is not None}


def _attend(scene: Scene, number: int, person: DemoAthlete, past: Past) -> None:
    rng = np.random.default_rng([SEED, 2, number, round(past.weeks_ago * 7)])
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
