"""Tests before the demo's day: repetitions to failure, and trials on the bike."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any, Final

import numpy as np

from programming.calc.kit import options, parse_kit
from programming.calc.variation import Option
from services.demo.client import at_once
from services.demo.documents import KITS
from services.demo.founding import author
from services.demo.generator import repetitions_in_test
from services.demo.people import ATHLETES, MILL, QUAY, DemoAthlete
from services.demo.scene import SEED, Scene

TEST_DAYS_AGO: Final = (28, 12)
# What a coach looks for by eye when there is nothing else to go by.
GOOD_FIRST_SET: Final = 15.0
GOOD_HEAVY_SET: Final = 6.0
TESTED: Final = ("push_up", "squat")
RECORD: Final = "Bjarne Tveit"
RECORD_DAYS_AGO: Final = (40, 4)
"""One is tested twice in the same version, five weeks apart."""
# Lifts of the place's next session, tested once.
LIFTS_OF: Final = {MILL: ("back_squat", "bench_press"), QUAY: ("dumbbell_press",)}
HEAVY: Final = frozenset(LIFTS_OF[MILL])
BIKE: Final = "fan_bike"
# A short trial and a long one tell power that lasts from reserve.
TRIALS_S: Final = (180.0, 600.0)
TRIAL_NOISE: Final = 0.02

Job = tuple[int, DemoAthlete, str, int]


def take_tests(scene: Scene) -> int:
    """Everybody who is not new at the start, every other one once more in between; how many tests."""
    old_hands = [person for person in ATHLETES if not person.newcomer]
    jobs = [
        (number, person, movement, days_ago)
        for number, person in enumerate(old_hands)
        for movement in TESTED
        for days_ago in TEST_DAYS_AGO[: 1 if person.away else 1 + number % 2]
    ]
    jobs += [
        (number, person, movement, TEST_DAYS_AGO[1])
        for number, person in enumerate(old_hands)
        for movement in LIFTS_OF.get(person.place, ())
    ]
    rides = [(number, person) for number, person in enumerate(old_hands) if person.place == QUAY]
    lifted = at_once(lambda job: _test(scene, job), jobs) + _test_twice(scene)
    return lifted + at_once(lambda job: _ride(scene, *job), [(*one, s) for one in rides for s in TRIALS_S])


def _test(scene: Scene, job: Job) -> None:
    number, person, movement, days_ago = job
    rng = np.random.default_rng([SEED, 1, number, days_ago, _place_of(movement)])
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
    _send(scene, person, told)


def _test_twice(scene: Scene) -> int:
    """As many push-ups as there are, in one version then and now."""
    person = next(one for one in ATHLETES if one.name == RECORD)
    body, then = scene.bodies[RECORD], RECORD_DAYS_AGO[0] / 7.0
    option = by_eye(scene, person, TESTED[0], then, np.random.default_rng([SEED, 12]))
    for days_ago in RECORD_DAYS_AGO:
        fresh = body.fresh(TESTED[0], option.effective_kg, weeks_ago=days_ago / 7.0)
        told = {
            "variation": scene.variation_ids[option.variation_key],
            "kind": "to_failure",
            "repetitions": math.floor(fresh),
            "performed_at": (scene.now - dt.timedelta(days=days_ago)).isoformat(),
            **settings_of(option),
        }
        _send(scene, person, told)
    return len(RECORD_DAYS_AGO)


def _ride(scene: Scene, number: int, person: DemoAthlete, about_s: float) -> None:
    """As many kilocalories as make about this long, as fast as possible."""
    rng = np.random.default_rng([SEED, 4, number, round(about_s)])
    body, per_kcal = scene.bodies[person.name], scene.variations[BIKE].work_j_per_kcal
    assert per_kcal is not None
    energy = round((body.critical_w * about_s + body.reserve_j) / per_kcal)
    seconds = body.trial_s(energy * per_kcal) * math.exp(rng.normal(0.0, TRIAL_NOISE))
    told = {
        "variation": scene.variation_ids[BIKE],
        "kind": "time_trial",
        "energy_kcal": energy,
        "elapsed_s": round(seconds, 1),
        "performed_at": (scene.now - dt.timedelta(days=TEST_DAYS_AGO[1], hours=about_s / 100)).isoformat(),
    }
    _send(scene, person, told)


def _send(scene: Scene, person: DemoAthlete, told: dict[str, Any]) -> None:
    author(scene, person).post(f"/athletes/{scene.athletes[person.name]}/assessments", told)


def _place_of(movement: str) -> int:
    return [*TESTED, *sorted({lift for lifts in LIFTS_OF.values() for lift in lifts})].index(movement)


def by_eye(
    scene: Scene, person: DemoAthlete, movement: str, weeks_ago: float, rng: np.random.Generator
) -> Option:
    """A version that a coach hands out without numbers: roughly one with a good first set."""
    kit = parse_kit({"items": KITS[person.place] if person.kit is None else person.kit})
    body = scene.bodies[person.name]
    good = GOOD_HEAVY_SET if movement in HEAVY else GOOD_FIRST_SET
    found = [
        option
        for variation in scene.variations.values()
        if variation.movement == movement
        for option in options(variation, kit, person.mass_kg)
    ]

    def off(option: Option) -> float:
        fresh = body.fresh(movement, option.effective_kg, weeks_ago=weeks_ago)
        return abs(math.log(max(fresh, 0.5) / good) + rng.normal(0.0, 0.25))

    return min(found, key=off)


def settings_of(option: Option) -> dict[str, float]:
    """Only what is set."""
    named = {
        "load_kg": option.load_kg,
        "assistance_kg": option.assistance_kg,
        "height_cm": option.height_cm,
    }
    return {name: value for name, value in named.items() if value is not None}
