"""What is said after a check set: the steps and their sentences."""

from __future__ import annotations

from typing import Final, Literal, get_args

Step = Literal["keep", "take_easier", "take_harder", "ask_coach", "unclear", "stop", "not_asked"]
STEPS: Final[tuple[Step, ...]] = get_args(Step)
TEXTS: dict[Step, str] = {
    "keep": "The version fits: rest, then begin. The prescription is worked out again from this set.",
    "take_easier": "That was harder than the aim wants.",
    "take_harder": "That was easier than the aim wants.",
    "unclear": "Without a failure or the repetitions left this does not settle the version: say how many were left.",
    "stop": "Stop this work and tell a coach; report the pain. Do not try the next harder or easier version alone.",
    "not_asked": (
        "No check set was asked for here; this one is learned from, and the prescription worked out again from it:"
        " follow it as soon as it is there."
    ),
}

# So short a set cannot show that a version is too easy: that it fits would say more than is known.
NOT_TOO_HARD: Final = (
    "Not too hard: rest, then begin. The prescription is worked out again from this set, and may ask for"
    " more."
)
# The aim is one thing that decides on a version, a reserve, whole sets and what else is known of the athlete are
# others. So the version is the one of the prescription that follows, or there is none.
AGAIN: Final = "Worked out again from this set, the prescription"
BEGIN: Final = "rest, then begin with it."
TAKES: Final[dict[Step, str]] = {
    "take_easier": f"{AGAIN} is for an easier version, {{named}}: {BEGIN}",
    "take_harder": f"{AGAIN} is for a harder version, {{named}}: {BEGIN}",
}
TAKES_FROM_ANOTHER: Final[dict[Step, str]] = {
    "take_easier": f"{AGAIN} is for {{named}}, easier than what was done: {BEGIN}",
    "take_harder": f"{AGAIN} is for {{named}}, harder than what was done: {BEGIN}",
}
STAYS: Final[dict[Step, str]] = {
    "take_easier": f"{AGAIN} stays with this version all the same: ask a coach before you begin.",
    "take_harder": f"{AGAIN} stays with this version all the same: rest, then begin.",
}
AS_DONE: Final = f"{AGAIN} is for the version that was done, though another was asked for: rest, then begin."
DECIDES: Final = "The prescription is worked out again from this set: follow it as soon as it is there."
FITS: Final = "By the aim the version fits."
NOT_HARD: Final = "By the aim the version is not too hard."
ANOTHER: Final = (
    "Another version was asked for, and what fits has to be worked out from the one that was done."
)
NOTHING: Final = "Worked out again from this set, no version of this work can be given: ask a coach."
PRESCRIBED: Final = (
    "A coach prescribed this version: it stays, whatever a set shows, until it is withdrawn or what it rests on"
    " changes, as by pain or a hold. Before you go on, tell the coach how the set went."
)
REPLACED: Final = (
    "This set has been corrected since, and counts no more: go by what was said of the correction, and by the"
    " prescription that stands."
)
