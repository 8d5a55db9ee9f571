"""Whether the weight of a logged set can have been held, or lifted by anybody at all (athletes.heaviest)."""

from __future__ import annotations

from collections.abc import Sequence

from athletes.heaviest import beyond_hands, beyond_the_world
from programming.calc.load import load_said
from programming.calc.variation import REPETITIONS
from scoring.calc.finding import IMPLAUSIBLE, Finding
from scoring.observed import Logged
from scoring.words import whole


def held_surprises(logged: Sequence[Logged]) -> tuple[Finding, ...]:
    """A finding for the first set of each variation whose weight nobody holds, or has ever lifted (no query)."""
    found: dict[str, Finding] = {}
    for item in logged:
        variation, entry = item.done.variation, item.entry
        if not entry.amount > 0.0:
            continue
        repetitions = entry.amount if entry.unit == REPETITIONS else 1.0
        held = beyond_hands(variation, entry.load_kg, repetitions)
        if held or beyond_the_world(variation, entry.load_kg, repetitions, "", None):
            found.setdefault(variation.key, _finding(item))
    return tuple(found.values())


def _finding(item: Logged) -> Finding:
    variation, entry = item.done.variation, item.entry
    said = load_said(entry.load_kg or 0.0, variation.implements)
    times = whole(entry.amount, REPETITIONS) if entry.unit == REPETITIONS else "any distance or time"
    return Finding(
        IMPLAUSIBLE,
        f"{said} is more than anybody is likely to hold or lift for {times} of {item.done.name}: "
        "ask about load and unit.",
    )
