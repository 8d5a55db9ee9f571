"""Athletes who do not follow the model: other curves, other noise, another law of fatigue. Seeded.

Curve: each man's maximum follows from his own count by one of six published equations, drawn for him; the
model's curve (an exponential) is none of them, and one curve for everybody is none either. The seventh that
is common, Lombardi's, is left out: its own inverse says 1024 repetitions at half the maximum.

Noise: what he really can do differs from his count on the day of the test, and from day to day, by a standard
error of 1.1 repetitions at 70 % and 0.7 at 90 % of the maximum (Mitter et al. 2022, bench press), linear in
between and beyond, at least 0.5.

Fatigue: what a set took comes back with one half-time, 56.6 s with an SD of 7.3 s between people
(phosphocreatine after a sprint, Bogdanis et al. 1995), but for 3 % of the fresh repetitions for each set done
(ours).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np

from tests.main_job.linnerud import Man
from tests.references.strength import ONE_RM_EQUATIONS

Equation = Callable[[float], float]

EQUATIONS: Final = {name: of for name, of in ONE_RM_EQUATIONS.items() if not name.startswith("Lombardi")}
# Beyond this the equations of Brzycki and Lander have their poles, at 37 and 37.92 repetitions.
MOST_REPETITIONS: Final = 36.9

HALF_TIME_S: Final = (56.6, 7.3)
LOST_PER_SET: Final = 0.03
PACED_SHARE: Final = 0.8  # of what is there, in every set but the first (ours)
CHANGE_OVER_S: Final = 8.0
FEWEST: Final = 3  # nobody goes back to the bar for less, unless less is left

SIT_UP_NOISE: Final = 0.08  # of the count, ours: no reliability of long sets of sit-ups was found
SECONDS: Final = {"chins": 2.6, "situps": 1.5}  # of one repetition, times the man's own pace (ours)
PACE_SD: Final = 0.1


def repetitions(equation: Equation, percent: float) -> float:
    """The repetitions n with 1RM = load x equation(n), 0 to MOST_REPETITIONS, by bisection."""
    low, high = 0.0, MOST_REPETITIONS
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if equation(middle) < 100.0 / percent else (low, middle)
    return 0.5 * (low + high)


def standard_error(percent: float) -> float:
    return max(0.5, 0.7 + (90.0 - percent) * (1.1 - 0.7) / (90.0 - 70.0))


@dataclass(frozen=True)
class Athlete:
    """A man on one day: his equation, his maximum in kg, how good the day is in standard errors, his fresh
    sit-ups, seconds of a repetition against the usual, the half-time of his recovery."""

    man: Man
    equation: str
    one_rm_kg: float
    form: float
    sit_ups: int
    pace: float
    half_time_s: float

    def chin_ups(self, effective_kg: float) -> int:
        """Whole fresh repetitions at a load in kg, body weight included."""
        percent = 100.0 * effective_kg / self.one_rm_kg
        n = repetitions(EQUATIONS[self.equation], percent) + self.form * standard_error(percent)
        return max(0, math.floor(n))


def draw(man: Man, random: np.random.Generator, equation: str | None = None) -> Athlete:
    """One of the athletes that the man may be; the equation is drawn too, unless it is named."""
    name = equation or str(random.choice(sorted(EQUATIONS)))
    of = EQUATIONS[name]
    counted = man.chin_ups + random.uniform()  # a count of r stands for r to r + 1
    really = counted + random.standard_normal() * standard_error(100.0 / of(counted))
    return Athlete(
        man=man,
        equation=name,
        one_rm_kg=man.body_mass_kg * of(min(max(really, 0.0), MOST_REPETITIONS - 1.0)),
        form=float(random.standard_normal()),
        sit_ups=round(man.sit_ups * (1.0 + SIT_UP_NOISE * random.standard_normal())),
        pace=math.exp(PACE_SD * random.standard_normal()),
        half_time_s=max(30.0, random.normal(*HALF_TIME_S)),
    )


@dataclass
class _Item:
    """One movement in the course of the session: what a set took decays, the fresh level sinks."""

    key: str
    left: int
    fresh: int
    settings: Mapping[str, Any]
    seconds: float
    half_time_s: float
    taken: float = 0.0
    ended: float = 0.0
    sets: int = 0

    def _still_taken(self, clock: float) -> float:
        return self.taken * 0.5 ** ((clock - self.ended) / self.half_time_s)

    def available(self, clock: float) -> int:
        level = self.fresh * (1.0 - LOST_PER_SET * self.sets)
        return max(0, math.floor(level - self._still_taken(clock)))

    def start(self, clock: float, latest: float) -> float:
        """The first moment, by seconds, when a set is worth while, at once if fresh; at most `latest`."""
        if self.sets == 0:
            return clock
        while clock < latest and self.available(clock) < min(FEWEST, self.left):
            clock += 1.0
        return min(clock, latest)

    def work(self, start: float, done: int) -> float:
        self.taken = self._still_taken(start) + done
        self.ended = start + done * self.seconds
        self.left, self.sets = self.left - done, self.sets + 1
        return self.ended


@dataclass
class Session:
    """The set log of one athlete under swap on break, until all is done or the cap is reached."""

    items: Sequence[_Item]
    cap_s: float
    sets: list[dict[str, Any]] = field(default_factory=list)
    clock: float = 0.0

    def play(self) -> dict[str, Any]:
        current = 0
        while any(item.left for item in self.items):
            if not self._set(self.items[current]):
                break
            other = 1 - current
            current = other if self.items[other].left else current
        return {"sets": self.sets, "elapsed_s": round(self.clock, 1)}

    def _set(self, item: _Item) -> bool:
        """One set; False when the clock ended it."""
        start = item.start(self.clock + (CHANGE_OVER_S if self.sets else 0.0), self.cap_s)
        there = item.available(start)
        size = min(item.left, there if item.sets == 0 else max(FEWEST, math.floor(PACED_SHARE * there)))
        fits = max(0, math.floor((self.cap_s - start) / item.seconds))
        if size == 0 or fits == 0:  # too hard to begin, or no time left
            self.clock = self.cap_s
            return False
        done, rest = min(size, fits), start - self.clock
        ended_by = "clock" if done < size else "planned"
        if done == size == there and done < item.left:
            ended_by = "failure"
        self.clock = item.work(start, done) if done == size else self.cap_s
        entry = {"work": item.key, "repetitions": done, "ended_by": ended_by, **item.settings}
        self.sets.append({**entry, "rest_before_s": round(rest, 1)})
        return done == size


def play(
    athlete: Athlete, work: Mapping[str, int], chosen: Mapping[str, Mapping[str, Any]], cap_s: float
) -> dict[str, Any]:
    """A set log as an attempt sends it. chosen: by work, the options with their effective load in kg."""
    fresh = {"chins": athlete.chin_ups(chosen["chins"]["effective_kg"]), "situps": athlete.sit_ups}
    names = ("variation", "load_kg", "assistance_kg", "height_cm")
    items = [
        _Item(
            key=key,
            left=count,
            fresh=fresh[key],
            settings={name: chosen[key][name] for name in names},
            seconds=SECONDS[key] * athlete.pace,
            half_time_s=athlete.half_time_s,
        )
        for key, count in work.items()
    ]
    return Session(items, cap_s).play()
