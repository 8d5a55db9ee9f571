"""The main job once from end to end; what the tests look at is plain data read back from the API."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from django.utils import timezone

from tests.main_job.generator import Athlete, draw, play
from tests.main_job.gym import CAP_S, KIT, WORK, Gym
from tests.main_job.linnerud import men
from tests.support.cast import make_cast

SEED: Final = 1934
# Everybody can do this rung of the ladder, at one share of the own body mass, and nobody is at the floor of
# no repetitions there: the option at which people are compared.
REFERENCE: Final = "chin_up_feet_supported"
P10_TO_P90: Final = 2.563  # standard deviations of a normal between these points


@dataclass(frozen=True)
class Foreseen:
    """Repetitions foreseen at the reference option."""

    mean: float
    sd: float


@dataclass(frozen=True)
class Played:
    """Everything by the name of the man; `first` before any result, `then` after all, `again` after a repeat."""

    imported: dict[str, Any]
    prescriptions: dict[str, dict[str, Any]]
    foreseen: dict[str, Foreseen]
    athletes: dict[str, Athlete]
    sent: dict[str, dict[str, Any]]
    names: dict[str, str]
    then: dict[str, Any]
    imported_again: dict[str, Any]
    recomputed_again: int
    again: dict[str, Any]


def day_of_the_tests() -> dt.date:
    """A week ago."""
    return timezone.localdate() - dt.timedelta(days=7)


def run_main_job() -> Played:
    """Kit, session, CSV; capacities and prescriptions; results; scores and ranking; and all of it again."""
    gym = Gym(make_cast("Linnerud's club"))
    gym.open(KIT)
    gym.place()
    imported = gym.take_in(day_of_the_tests())
    gym.work_off()
    names = {key: name for name, key in (gym.athletes or {}).items()}
    prescriptions = _prescriptions(gym, names)
    foreseen = _foreseen(gym)
    random = np.random.default_rng(SEED)
    athletes = {man.name: draw(man, random) for man in men()}
    sent = {
        name: log
        for name, prescription in sorted(prescriptions.items())
        if prescription["feasible"] and (log := _send(gym, athletes[name], prescription)) is not None
    }
    gym.work_off()
    then = gym.readings()
    imported_again = gym.take_in(day_of_the_tests())
    gym.ask_for_everything()
    recomputed = gym.work_off()
    return Played(
        imported, prescriptions, foreseen, athletes, sent, names, then, imported_again, recomputed,
        gym.readings(),
    )  # fmt: skip


def _prescriptions(gym: Gym, names: dict[str, str]) -> dict[str, dict[str, Any]]:
    rows = gym.every("prescriptions", session=gym.session, current="true")
    return {names[row["athlete"]]: row for row in rows}


def _foreseen(gym: Gym) -> dict[str, Foreseen]:
    reference = gym.variation(REFERENCE)
    found = {}
    for name, key in (gym.athletes or {}).items():
        told = gym.get(f"athletes/{key}/capacities/{reference}")["repetitions"]
        found[name] = Foreseen(told["mean"], (told["p90"] - told["p10"]) / P10_TO_P90)
    return found


def _send(gym: Gym, athlete: Athlete, prescription: dict[str, Any]) -> dict[str, Any] | None:
    """Do what is prescribed and send the set log; None when not one repetition was possible."""
    chosen = {one["work"]: one for one in prescription["content"]["work"]}
    log = play(athlete, WORK, chosen, CAP_S)
    if not log["sets"]:
        return None
    attempt = {
        "session": gym.session,
        "athlete": prescription["athlete"],
        "prescription": prescription["id"],
        "performed_at": timezone.now().isoformat(),
        "client_id": f"log of {athlete.man.name}",
        "set_log": log,
    }
    gym.post("attempts", attempt)
    return log
