"""Whether a weight that is held in the hands can have been held, whatever the legs or the back could lift.

What is true of a movement says nothing here: the body mass is most of the load of a squat with a weight at the chest,
so that four spreads up lie weights which nobody can hold there. What is held is bounded by what such weights are made
in, and for long sets by what is held for so long.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.load import load_said
from programming.calc.variation import REPETITIONS
from scoring.calc.finding import Finding
from scoring.observed import Logged
from scoring.plausible import CODE


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
FALL_OFF: Final = 0.02
"""Each repetition costs a fiftieth of what can be held, the fall-off of movements in general (estimate)."""


def held_surprises(logged: Sequence[Logged]) -> tuple[Finding, ...]:
    """A finding for the first set of each variation whose weight is beyond what is held (no query)."""
    found: dict[str, Finding] = {}
    for item in logged:
        variation, entry = item.done.variation, item.entry
        held = HELD.get(variation.load_item or "")
        if held is None or entry.load_kg is None or not entry.amount > 0.0:
            continue
        repetitions = entry.amount if entry.unit == REPETITIONS else 1.0
        if entry.load_kg / variation.implements > held.after(repetitions) + 1e-9:
            found.setdefault(variation.key, _finding(item))
    return tuple(found.values())


def _finding(item: Logged) -> Finding:
    variation, entry = item.done.variation, item.entry
    said = load_said(entry.load_kg or 0.0, variation.implements)
    times = f"{entry.amount:g} repetitions" if entry.unit == REPETITIONS else "any distance or time"
    return Finding(
        CODE,
        f"{said} is more than anybody is likely to hold for {times} of {variation.key}: ask about load and unit.",
    )
