"""Which fields the page for writing has, and which part of the revision document each of them is.

A Slot is one value at one place below its part (the whole, a block, a work item, a condition). Words are those of a
coach; the keys of the document stand in the interface's own description.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.difference_words import plain
from programming.calc.document import QUALITIES, TEXT_KEYS
from programming.calc.document_rules import SCORED, TIE_BREAKS
from programming.calc.document_work import STOPPERS, WINDOW_LIMITS
from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS
from programming.calc.rule_codes import BREAK_COUNTS, ENDS, ORDERS, PENALTIES

Choices = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Slot:
    """kind: text, letter, long, number, timing (minutes and seconds), flag, choice, numbers (a list), movement,
    variation or variations (by name, from the catalogue). rare: asked further down.
    """

    name: str
    path: tuple[str, ...]
    label: str
    kind: str = "text"
    choices: Choices = ()
    rare: bool = False


def _choices(keys: Sequence[str] | frozenset[str] | Mapping[str, int], words: Mapping[str, str]) -> Choices:
    """All that the document knows, those with words of their own first and in their order."""
    known = [key for key in words if key in keys]
    return [(key, words[key]) for key in known] + [(key, plain(key)) for key in sorted({*keys} - {*known})]


QUALITY: Final = _choices(QUALITIES, {})
ORDER: Final = _choices(
    ORDERS,
    {
        "in_sequence": "one work after the other",
        "rounds": "in rounds",
        "swap_on_break": "turn about: the other work after each break",
        "intervals": "by the clock, in intervals",
        "ladder": "a ladder of amounts",
        "attempts": "attempts at a load",
    },
)
SCORE: Final = _choices(
    SCORED,
    {
        "time": "the time",
        "repetitions": "repetitions",
        "rounds": "rounds and what is done of the next",
        "none": "nothing",
        "load": "the heaviest load",
        "volume_load": "all kilograms lifted",
        "held_time": "seconds held",
        "intervals": "intervals completed",
        "smallest_interval": "the smallest interval",
    },
)
END: Final = _choices(
    ENDS,
    {
        "work_done": "when all is done",
        "fixed_time": "after a fixed time",
        "first_miss": "at the first miss",
    },
)
BREAKS: Final = _choices(
    BREAK_COUNTS,
    {
        "none": "nothing",
        "set_ended_early": "a set that ends before its work is done",
        "rest_longer_than": "a pause longer than",
        "missed_interval": "an interval that is not completed",
        "no_rep": "a repetition that does not count",
    },
)
PENALTY: Final = _choices(
    PENALTIES,
    {
        "added": "is added to the score",
        "served_rest": "is served as rest",
        "served_work": "is served as work",
    },
)
TIES: Final = _choices(TIE_BREAKS, {"none": "nothing"})
UNIT: Final[Choices] = [
    (REPETITIONS, "repetitions"),
    (HOLD, "seconds held"),
    (DISTANCE, "metres"),
    (ENERGY, "kilocalories"),
]
CONDITION: Final = _choices(
    list(WINDOW_LIMITS),
    {
        "first_set": "possible in one go, rested",
        "later_sets": "each later set",
        "time": "the time",
        "score": "the score",
        "share_of_available": "share of what is possible at each set, in percent",
        "effort": "how hard it feels, 0 to 10",
        "stopped_by": "what stops the athlete",
    },
)
STOPPED: Final = _choices(
    STOPPERS,
    {"local_muscle": "the muscles", "breathing": "the breath", "strength": "strength", "skill": "skill"},
)
NOTHING: Final = ("", "–")
TEXTS: Final = {
    "why": "Why we do this",
    "benefits": "What it is good for",
    "how": "How to do it",
    "effort": "How hard it should feel",
    "easier": "If it is too hard today",
    "cautions": "Cautions",
}

WHOLE: Final = (
    Slot("title", ("title",), "Title"),
    Slot("quality", ("quality",), "Meant to train", "choice", [NOTHING, *QUALITY]),
    *(Slot(key, ("texts", key), TEXTS[key], "long", rare=key != "why") for key in TEXT_KEYS),
)
BLOCK: Final = (
    Slot("key", ("key",), "Short name of the block (small letters)"),
    Slot("order", ("rules", "order"), "Order", "choice", [NOTHING, *ORDER]),
    Slot("rounds", ("rules", "rounds"), "Rounds (empty: until the end)", "number"),
    Slot("rest", ("rules", "rest_between_s"), "Rest between rounds", "timing"),
    Slot("end", ("rules", "end", "kind"), "It ends", "choice", [NOTHING, *END]),
    Slot("cap", ("rules", "end", "cap_s"), "At the latest after", "timing"),
    Slot("fixed", ("rules", "end", "time_s"), "Fixed time", "timing"),
    Slot("scored", ("rules", "scored"), "What is scored", "choice", [NOTHING, *SCORE]),
    Slot("breaks", ("rules", "break", "counts"), "What counts as a break", "choice", [NOTHING, *BREAKS]),
    Slot("penalty_s", ("rules", "break", "penalty_s"), "A break costs", "timing"),
    Slot("penalty", ("rules", "break", "penalty"), "The cost", "choice", [NOTHING, *PENALTY]),
    Slot("ties", ("rules", "tie_break"), "What decides between equals", "choice", [NOTHING, *TIES]),
    Slot("every", ("rules", "intervals", "every_s"), "An interval begins every", "timing", rare=True),
    Slot("count", ("rules", "intervals", "count"), "Number of intervals", "number", rare=True),
    Slot("work_time", ("rules", "intervals", "work_s"), "Work in the first part of it", "timing", rare=True),
    Slot(
        "in_turn", ("rules", "intervals", "in_turn"), "One work in each interval, by turns", "flag", rare=True
    ),
    Slot(
        "rungs",
        ("rules", "ladder", "amounts"),
        "Rungs of the ladder, times the amounts",
        "numbers",
        rare=True,
    ),
    Slot("step", ("rules", "ladder", "then_step"), "What each further rung adds", "number", rare=True),
    Slot("attempts", ("rules", "attempts"), "Number of attempts", "number", rare=True),
    Slot(
        "fewer",
        ("rules", "break", "penalty_repetitions"),
        "Repetitions that a break costs",
        "number",
        rare=True,
    ),
    Slot("pause", ("rules", "break", "rest_over_s"), "A pause counts from", "timing", rare=True),
    Slot("split", ("rules", "split"), "Work at which equal times are split", rare=True),
)
WORK: Final = (
    Slot("key", ("key",), "Letter", "letter"),
    Slot("movement", ("movement",), "Movement", "movement"),
    Slot("variation", ("as_written", "variation"), "As written", "variation"),
    Slot("load", ("as_written", "load_kg"), "Load, kg", "number"),
    Slot("assistance", ("as_written", "assistance_kg"), "Assistance, kg", "number"),
    Slot("height", ("as_written", "height_cm"), "Height, cm", "number"),
    Slot("variations", ("variations",), "Versions to choose from (empty: all)", "variations"),
)
"""Of a work item beside its amount, which stands under the name of its unit."""
AIM: Final = (
    Slot("kind", ("kind",), "What", "choice", [NOTHING, *CONDITION]),
    Slot("work", ("work",), "Of the work (letter)", "letter"),
    Slot("lower", ("lower",), "At least", "bound"),
    Slot("upper", ("upper",), "At most", "bound"),
    Slot("by", ("by",), "By", "choice", [NOTHING, *STOPPED]),
)
"""A bound is minutes and seconds where the condition is on the time."""
