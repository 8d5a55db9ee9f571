"""What a check set asks for at once, by what the prescription itself said about it.

The recompute follows with the whole plan; nobody waits for it with a bar in the hands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal, get_args
from uuid import UUID

from athletes.emergency import effective_settings
from athletes.safeties import safeties
from athletes.safety import Hold
from scoring.models import Prescription
from scoring.words import HOLDS

Step = Literal["keep", "take_easier", "take_harder", "unclear", "stop", "not_asked"]
STEPS: Final[tuple[Step, ...]] = get_args(Step)

_TEXTS: dict[Step, str] = {
    "keep": "The version fits: rest, then begin. The prescription is worked out again from this set.",
    "take_easier": "That was harder than the aim wants: about the easier version named here, or ask for one.",
    "take_harder": "That was easier than the aim wants: about the harder version named here, or ask for one.",
    "unclear": "Without a failure or the repetitions left this does not settle the version: say how many were left.",
    "stop": "Stop this work and tell a coach; report the pain. Do not try the next harder or easier version alone.",
    "not_asked": "Nothing had to be settled here; the set is learned from, and the prescription worked out again.",
}

# So short a set cannot show that a version is too easy: that it fits would say more than is known.
_NOT_TOO_HARD: Final = (
    "Not too hard: rest, then begin. The prescription is worked out again from this set, and may ask for more."
)
# What is left is told the worse the more it is, so the version is said as about right, and what decides is named.
_DECIDES: Final = (
    "The prescription that is worked out again from this set decides: follow it as soon as it is there."
)
_NONE: dict[Step, str] = {
    "take_easier": "That was harder than the aim wants, and no easier version can be set up here: ask a coach.",
    "take_harder": "That was easier than the aim wants, and no harder version is named: begin with this one.",
}


@dataclass(frozen=True)
class Advice:
    """What to do now; option: the version to take, None to stay or where there is none."""

    step: Step
    text: str
    option: Mapping[str, Any] | None
    rest_s: int | None


def advice_on(prescription: Prescription, work: str, amount: float, rir: int | None, ended_by: str) -> Advice:
    """What to do after a set of a prescription; nobody who is held by now is sent on, whatever the set says.

    The prescription may have been made before what holds the athlete. Two queries, one more of who is held by a
    warning sign; read under the athlete's lock, it knows every report that was stored before the set.
    """
    athlete = prescription.athlete
    hold = safeties([athlete.id], prescription.session.local_date)[athlete.id].hold
    if hold is not None:
        return _held(hold, athlete.location_id, ended_by)
    return advice(prescription.content, work, amount, rir, ended_by)


def _held(hold: Hold, location_id: UUID, ended_by: str) -> Advice:
    if hold.code == "red_flag":
        return Advice(
            "stop", f"{effective_settings(location_id).emergency.text} {hold.safe_alternative}", None, None
        )
    said = (
        f"You are held: {HOLDS[hold.code]}. {hold.safe_alternative} The hold is ended by {hold.released_by}."
    )
    return Advice("stop", f"{_TEXTS['stop']} {said}" if ended_by == "pain" else said, None, None)


def advice(content: Mapping[str, Any], work: str, amount: float, rir: int | None, ended_by: str) -> Advice:
    """content: of the prescription that the set belongs to; amount and rir: of the set that was done."""
    if ended_by == "pain":
        return _advice("stop", None, None)
    asked = next((check for check in content["check_sets"] if check["work"] == work), None)
    if asked is None:
        return _advice("not_asked", None, None)
    rest = asked["rest_after_s"]
    # To failure nothing is left; a set that ended for another reason tells nothing without what was left.
    left = 0 if ended_by == "failure" else rir
    if left is None:
        return _advice("unclear", None, rest)
    able, (least, most) = amount + left, wanted(asked)
    if able < least:
        return _advice("take_easier", asked["if_easier_needed"], rest)
    if most is not None and able > most:
        return _advice("take_harder", asked["if_harder_possible"], rest)
    return Advice("keep", _NOT_TOO_HARD, None, rest) if most is None else _advice("keep", None, rest)


def wanted(asked: Mapping[str, Any]) -> tuple[int, int | None]:
    """What must and may be available in all; of an older prescription by what was to be left at the stop."""
    if "able_at_least" in asked:
        return asked["able_at_least"], asked["able_at_most"]
    most = asked["reserve_at_most"]
    return asked["stop_at"] + asked["reserve_at_least"], None if most is None else asked["stop_at"] + most


def _advice(step: Step, option: Mapping[str, Any] | None, rest_s: int | None) -> Advice:
    text = _TEXTS[step]
    if step in _NONE:
        text = f"{_NONE[step] if option is None else text} {_DECIDES}"
    return Advice(step, text, option, rest_s)
