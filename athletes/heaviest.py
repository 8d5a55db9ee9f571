"""Loads beyond which nothing is believed: what is held in the hands, and what the strongest of the world lift.

What is true of a movement says nothing of the hands: the body mass is most of the load of a squat with a weight at
the chest, so that four spreads up lie weights which nobody can hold there. What is held is bounded by what such
weights are made in, and for long sets by what is held for so long.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from programming.calc.variation import Variation

FALL_OFF: Final = 0.02
"""Each repetition costs a fiftieth of the heaviest, the fall-off of movements in general (estimate)."""
MOST_COUNTED: Final = 20.0
"""Repetitions: of more the count says little about the heaviest single."""
FEMALE: Final = "female"


@dataclass(frozen=True)
class Held:
    """The most of one implement [kg]: most of a single repetition, and long of however many."""

    most: float
    long: float

    def after(self, repetitions: float) -> float:
        """The most with which so many are believed at once."""
        return max(self.long, self.most * math.exp(-FALL_OFF * max(repetitions - 1.0, 0.0)))


# By kit item. Estimates: 92 kg is about the heaviest kettlebell that is sold, 48 kg the heaviest of the usual series;
# dumbbells of more than 100 kg are made to order (from memory). Who lifts one all the same is believed by a person.
HELD: Final = {"kettlebell": Held(92.0, 48.0), "dumbbell": Held(100.0, 50.0)}


@dataclass(frozen=True)
class Best:
    """The heaviest single of the world: kg of anybody, and by body mass, which the lightest lifters lift most of."""

    kg: float
    per_body_mass: float


# By variation; (of women, of anybody). From memory of the records without supporting suits, rounded up: men squat
# about 490 to 525 kg, press 355 kg on the bench, lift 510 kg from the floor and 230 kg overhead; women about 310,
# 210, 325 and 150 kg. The lightest lift most of their body mass: men 4.5, 3.3, 5 and 2 times, women 4, 2.6, 4.5, 1.6.
BEST: Final[Mapping[str, tuple[Best, Best]]] = {
    "back_squat_barbell": (Best(320.0, 4.2), Best(530.0, 5.0)),
    "front_squat_barbell": (Best(250.0, 3.5), Best(420.0, 4.2)),
    "bench_press_barbell": (Best(215.0, 2.8), Best(360.0, 3.6)),
    "deadlift_barbell": (Best(330.0, 4.7), Best(515.0, 5.4)),
    "overhead_press_barbell": (Best(155.0, 1.8), Best(235.0, 2.3)),
}


def beyond_hands(variation: Variation, load_kg: float | None, repetitions: float) -> bool:
    """Whether more is held in the hands than anybody holds for so many; of any other work 1 is one spell of it."""
    held = HELD.get(variation.load_item or "")
    if held is None or load_kg is None:
        return False
    return load_kg / variation.implements > held.after(repetitions) + 1e-9


def beyond_the_world(
    variation: Variation, load_kg: float | None, repetitions: float, sex: str, body_mass_kg: float | None
) -> bool:
    """Whether the set is above the best of the world in the lift; not where none is known, or nothing was lifted."""
    known = BEST.get(variation.key)
    if known is None or load_kg is None or not repetitions > 0.0:
        return False
    best = known[0] if sex == FEMALE else known[1]
    most = best.kg if body_mass_kg is None else min(best.kg, best.per_body_mass * body_mass_kg)
    return load_kg * math.exp(FALL_OFF * (min(repetitions, MOST_COUNTED) - 1.0)) > most
