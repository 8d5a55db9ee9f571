"""What a session is for an athlete, in one sentence that can be read aloud."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from programming.calc.difference_words import plain
from scoring.calc.profile import Profile

TRAINED: Final[Mapping[str, str]] = {
    "maximal_strength": "strength",
    "strength_and_growth": "strength and muscle growth",
    "local_muscular_endurance": "local muscular endurance",
    "anaerobic_capacity": "anaerobic capacity",
    "aerobic_power": "aerobic power",
    "aerobic_endurance": "aerobic endurance",
}
SETS: Final[Mapping[str, str]] = {
    "maximal_strength": "in sets of six and fewer",
    "strength_and_growth": "in sets of seven to eleven, or after such a first set",
    "local_muscular_endurance": "in sets of twelve and more, or after such a first set",
}
NOTHING: Final[Mapping[str, str]] = {
    "no_sets": "There are no sets that could tell what is trained.",
    "durations_not_known": "How long the cyclical work took is not known, so it cannot be told what is trained.",
    "no_sets_that_tell": "Its sets do not tell which quality is trained.",
    "sets_stopped_early": "Its sets stop far short of what was possible: short for endurance, easy for strength.",
    "sets_of_every_length": "It has sets of every length, and no more than half of it trains any one quality.",
}
SECONDS_UP_TO: Final = 100.0
ENERGY_NOTE: Final = (
    "Rough: published averages of whole activities by body mass; people differ by far more than this range."
)


def sentence_of(profile: Profile, label: str, differs: bool | None) -> str:
    """What is trained and why, and where that is not what the session is for."""
    if profile.trains is None:
        return NOTHING[profile.trains_reason or "no_sets"]
    trained = TRAINED[profile.trains]
    if profile.trains in SETS and profile.share is not None:
        said = f"{100.0 * profile.share:.0f} % of the repetitions are {SETS[profile.trains]}: this trains {trained}"
    else:
        what = "Mostly breathing" if profile.share is None else "Mostly work on a machine or on the move"
        said = f"{what}, for about {_lasting(profile.stretch_s or 0.0)} at a stretch: this trains {trained}"
    return f"{said}, not {plain(label)} as the session is meant to." if differs else f"{said}."


def _lasting(seconds: float) -> str:
    return f"{round(seconds)} s" if seconds < SECONDS_UP_TO else f"{round(seconds / 60.0)} min"
