"""Six weeks beside the sessions, through the interface: training of one's own, days of rest, answers of how people
are, a group, the shares that the coach wants, heart rates."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from services.demo.client import Api, at_once
from services.demo.errors import expect
from services.demo.felt import WORN, WORN_DAYS, says_rest, trained_beside
from services.demo.founding import author
from services.demo.people import ATHLETES, MEMBERS, DemoAthlete
from services.demo.scene import SEED, Scene
from services.demo.tests_taken import RECORD

FIRST_DAYS_AGO: Final = 41
COLUMNS: Final = (
    "client_id",
    "athlete",
    "modality",
    "effort",
    "minutes",
    "started_at",
    "distance",
    "mean_heart_rate",
    "highest_heart_rate",
)

FORM: Final[dict[str, Any]] = {
    "key": "breakfast",
    "name": "At breakfast",
    "items": [
        {
            "key": "slept",
            "text": "How well did you sleep?",
            "least": 1,
            "most": 5,
            "step": 1,
            "better": "high",
        },
        {
            "key": "legs",
            "text": "How heavy are your legs?",
            "least": 0,
            "most": 10,
            "step": 1,
            "better": "low",
        },
        {
            "key": "keen",
            "text": "How much do you look forward to training?",
            "least": 1,
            "most": 5,
            "step": 1,
            "better": "high",
        },
    ],
}
USUAL: Final = {"slept": 3.6, "legs": 3.0, "keen": 3.8}
SPREAD: Final = {"slept": 0.7, "legs": 1.1, "keen": 0.6}
WHEN_WORN: Final = {"slept": -1.2, "legs": 4.0, "keen": -1.2}


@dataclass(frozen=True)
class Answering:
    """Who answers at breakfast: from so many days ago until so many, and which share of the days."""

    first: int = FIRST_DAYS_AGO
    until: int = 0
    share: float = 1.0


ANSWERING: Final = {
    "Abena Quartey": Answering(),
    WORN: Answering(),
    "Kalinda Perera": Answering(share=0.9),
    "Tama Whetu": Answering(),
    "Hinewai Parata": Answering(first=11),
    "Xenia Dragan": Answering(first=33, until=9, share=0.8),
}
"""Everybody else refuses, which nobody has to explain."""

GROUP: Final = "Spring crew"
MEMBERS_OF_GROUP: Final = (
    "Abena Quartey",
    RECORD,
    WORN,
    "Farrukh Amirov",
    "Kalinda Perera",
    "Rukmini Iyer",
    "Tama Whetu",
)
JOINED_LATER, JOINED_DAYS_AGO = "Lorcan Devane", 19
SHARES: Final[dict[str, Any]] = {
    "sets_by_quality": [
        {"name": "local_muscular_endurance", "share": 0.6},
        {"name": "strength_and_growth", "share": 0.4},
    ],
    "sets_by_pattern": [
        {"name": "horizontal_push", "share": 0.25},
        {"name": "vertical_push", "share": 0.15},
        {"name": "squat", "share": 0.3},
        {"name": "hinge", "share": 0.2},
        {"name": "trunk", "share": 0.1},
    ],
    "cyclical_by_quality": [
        {"name": "aerobic_power", "share": 0.3},
        {"name": "aerobic_endurance", "share": 0.7},
    ],
}
GROUP_SHARES: Final[dict[str, Any]] = {
    **SHARES,
    "sets_by_quality": [
        {"name": "local_muscular_endurance", "share": 0.5},
        {"name": "strength_and_growth", "share": 0.4},
        {"name": "maximal_strength", "share": 0.1},
    ],
}
STRAPPED: Final = "Tama Whetu"
RATES: Final = {
    "resting_bpm": 54,
    "resting_source": "measured",
    "maximal_bpm": 187,
    "maximal_source": "measured",
    "coefficients": "banister_1991_men",
}
HIGHEST_ABOVE_MEAN: Final = 18


@dataclass(frozen=True)
class Weeks:
    """How much was said beside results."""

    trained: int
    rested: int
    answered: int


def write_weeks(scene: Scene, trained_on: dict[str, set[int]]) -> Weeks:
    """All of it. trained_on: by athlete how many days ago the results are that were sent."""
    scene.coach.post("/wellness-forms", FORM)
    _group(scene)
    rates = {**RATES, "from_date": _day(scene, FIRST_DAYS_AGO).isoformat()}
    _own_or(scene.coach, scene, STRAPPED).post(f"/athletes/{scene.athletes[STRAPPED]}/heart-rates", rates)
    rows = list(trained(scene.now))
    table = scene.coach.post("/imports", {"kind": "training", "csv": _csv(rows)}).body
    rested = at_once(lambda one: _rest(scene, *one), list(rests(trained_on)))
    answered = at_once(lambda one: _answer(scene, *one), list(answers()))
    scene.settle()
    told = scene.coach.get(f"/imports/{table['id']}").body
    expect(
        (told["state"], told["created_rows"]) == ("done", len(rows)),
        f"{len(rows)} rows of training come in, not {told['created_rows']} ({told['state']})",
    )
    return Weeks(len(rows), rested, answered)


def _own_or(other: Api, scene: Scene, name: str) -> Api:
    """Who has a sign-in speaks for themselves. What is health goes through no staff of a location."""
    key = next((one.key for one in MEMBERS if one.name == name), None)
    return scene.apis[key] if key else other


def _day(scene: Scene, days_ago: int) -> dt.date:
    return (scene.now - dt.timedelta(days=days_ago)).date()


def _group(scene: Scene) -> None:
    """A group with members, one of whom came later, and the shares that are wanted of it and of everybody."""
    group = scene.coach.post("/groups", {"name": GROUP}).body["id"]
    for names, days_ago in ((MEMBERS_OF_GROUP, FIRST_DAYS_AGO), ((JOINED_LATER,), JOINED_DAYS_AGO)):
        ids = [scene.athletes[name] for name in names]
        body = {"athletes": ids, "from_date": _day(scene, days_ago).isoformat()}
        scene.coach.post(f"/groups/{group}/members", body)
    scene.coach.put_first("/balance-target", SHARES)
    scene.coach.put_first(f"/groups/{group}/balance-target", GROUP_SHARES)


def trained(now: dt.datetime) -> Iterator[dict[str, Any]]:
    """What they did beside the programme, as rows of a table; at noon, whatever the zone."""
    noon = now.replace(hour=12, minute=0, second=0, microsecond=0)
    for number, person in enumerate(ATHLETES):
        rng = np.random.default_rng([SEED, 10, number])
        for days_ago in range(FIRST_DAYS_AGO, 0, -1):
            for one in trained_beside(person.name, days_ago):
                minutes = round(one.minutes * rng.uniform(0.85, 1.15))
                pace = one.metres_a_minute
                rate = None if one.rate is None else round(one.rate + rng.normal(0.0, 4.0))
                yield {
                    "client_id": f"beside-{number}-{days_ago}-{one.modality}",
                    "athlete": person.name,
                    "modality": one.modality,
                    "effort": float(np.clip(round(one.effort + rng.normal(0.0, 0.7)), 1, 10)),
                    "minutes": minutes,
                    "started_at": (noon - dt.timedelta(days=days_ago)).isoformat(),
                    "distance": None if pace is None else round(minutes * pace * rng.uniform(0.95, 1.05)),
                    "mean_heart_rate": rate,
                    "highest_heart_rate": None if rate is None else rate + HIGHEST_ABOVE_MEAN,
                }


def _csv(rows: list[dict[str, Any]]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def rests(trained_on: dict[str, set[int]]) -> Iterator[tuple[DemoAthlete, int]]:
    for person in ATHLETES:
        for days_ago in range(FIRST_DAYS_AGO, 0, -1):
            idle = days_ago not in trained_on.get(person.name, set())
            if idle and not trained_beside(person.name, days_ago) and says_rest(person, days_ago):
                yield person, days_ago


def _rest(scene: Scene, person: DemoAthlete, days_ago: int) -> None:
    body = {"local_date": _day(scene, days_ago).isoformat()}
    by = _own_or(author(scene, person), scene, person.name)
    by.post(f"/athletes/{scene.athletes[person.name]}/rest-days", body)


def answers() -> Iterator[tuple[str, int, dict[str, float]]]:
    """(name, days ago, answers); whoever is worn says so for the last days."""
    for number, (name, how) in enumerate(ANSWERING.items()):
        rng = np.random.default_rng([SEED, 11, number])
        for days_ago in range(how.first, how.until - 1, -1):
            worn = name == WORN and days_ago <= WORN_DAYS
            told = {item["key"]: _on_scale(item, rng.normal(0.0, 1.0), worn=worn) for item in FORM["items"]}
            if rng.random() < how.share:
                yield name, days_ago, told


def _on_scale(item: dict[str, Any], chance: float, *, worn: bool) -> float:
    key = item["key"]
    value = USUAL[key] + SPREAD[key] * chance + (WHEN_WORN[key] if worn else 0.0)
    return float(min(max(round(value), item["least"]), item["most"]))


def _answer(scene: Scene, name: str, days_ago: int, told: dict[str, float]) -> None:
    body = {"form": FORM["key"], "local_date": _day(scene, days_ago).isoformat(), "answers": told}
    _own_or(scene.coach, scene, name).post(f"/athletes/{scene.athletes[name]}/wellness-answers", body)
