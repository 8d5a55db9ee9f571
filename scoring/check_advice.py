"""What a check set asks for at once: what it shows, by what the prescription itself said about it, and the version of
the prescription that follows.

The recompute follows with the whole plan; nobody waits for it with a bar in the hands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, get_args
from uuid import UUID

from athletes.emergency import effective_settings
from athletes.safeties import safeties
from athletes.safety import Hold
from scoring.models import Prescription
from scoring.words import HOLDS

Step = Literal["keep", "take_easier", "take_harder", "unclear", "stop", "not_asked"]
STEPS: Final[tuple[Step, ...]] = get_args(Step)
_SETTLED: Final[frozenset[Step]] = frozenset({"keep", "take_easier", "take_harder"})
VERSION: Final = ("variation", "load_kg", "assistance_kg", "height_cm")

_TEXTS: dict[Step, str] = {
    "keep": "The version fits: rest, then begin. The prescription is worked out again from this set.",
    "take_easier": "That was harder than the aim wants.",
    "take_harder": "That was easier than the aim wants.",
    "unclear": "Without a failure or the repetitions left this does not settle the version: say how many were left.",
    "stop": "Stop this work and tell a coach; report the pain. Do not try the next harder or easier version alone.",
    "not_asked": "Nothing had to be settled here; the set is learned from, and the prescription worked out again.",
}

# So short a set cannot show that a version is too easy: that it fits would say more than is known.
_NOT_TOO_HARD: Final = (
    "Not too hard: rest, then begin. The prescription is worked out again from this set, and may ask for"
    " more."
)
# The aim is one thing that decides on a version, a reserve, whole sets and what else is known of the athlete are
# others. So the version is the one of the prescription that follows, or there is none.
_TAKES: Final[dict[Step, str]] = {
    "take_easier": "Worked out again from this set, it is the easier version named here: rest, then begin with it.",
    "take_harder": "Worked out again from this set, it is the harder version named here: rest, then begin with it.",
}
_STAYS: Final[dict[Step, str]] = {
    "take_easier": (
        "Worked out again from this set, it stays with this version all the same: ask a coach before you begin."
    ),
    "take_harder": "Worked out again from this set, it stays with this version all the same: rest, then begin.",
}
_DECIDES: Final = "The prescription is worked out again from this set: follow it as soon as it is there."
_NOTHING: Final = "Worked out again from this set, no version of this work can be given: ask a coach."


@dataclass(frozen=True)
class Advice:
    """What to do now; option: the version to take, None to stay, or where none can be named."""

    step: Step
    text: str
    option: Mapping[str, Any] | None
    rest_s: int | None


def advice_on(
    prescription: Prescription,
    work: str,
    amount: float,
    rir: int | None,
    ended_by: str,
    following: Callable[[], Mapping[str, Any] | None],
) -> Advice:
    """What to do after a set of a prescription; nobody who is held by now is sent on, whatever the set says.

    The prescription may have been made before what holds the athlete. Two queries, one more of who is held by a
    warning sign; read under the athlete's lock, it knows every report that was stored before the set. following:
    tells the content of the prescription that will follow, asked where a set settles something.
    """
    athlete = prescription.athlete
    hold = safeties([athlete.id], prescription.session.local_date)[athlete.id].hold
    if hold is not None:
        return _held(hold, athlete.location_id, ended_by)
    shown = advice(prescription.content, work, amount, rir, ended_by)
    if shown.step not in _SETTLED:
        return shown
    content = following()
    return shown if content is None else _by_what_follows(shown, prescription.content, content, work)


def _by_what_follows(
    shown: Advice, content: Mapping[str, Any], following: Mapping[str, Any], work: str
) -> Advice:
    """The advice with the version of the prescription that follows."""
    asked = _named(content["check_sets"], work)
    given = _named(following["work"], work)
    if given is None or asked is None:
        return replace(shown, step="take_easier", text=_NOTHING, option=None)
    if all(given[name] == asked[name] for name in VERSION):
        return (
            replace(shown, text=f"{_TEXTS[shown.step]} {_STAYS[shown.step]}")
            if shown.step in _STAYS
            else shown
        )
    step: Step = (
        "take_harder" if (given["effective_kg"] or 0.0) > (asked["effective_kg"] or 0.0) else "take_easier"
    )
    said = f"{_TEXTS[step]} {_TAKES[step]}" if step == shown.step else _TAKES[step]
    return replace(shown, step=step, text=said, option=given)


def _named(entries: Sequence[Mapping[str, Any]], work: str) -> Mapping[str, Any] | None:
    return next((one for one in entries if one["work"] == work), None)


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
    """What the set itself shows, without a version: content is of the prescription that it belongs to; amount and rir
    are of the set that was done.
    """
    if ended_by == "pain":
        return _advice("stop", None)
    asked = _named(content["check_sets"], work)
    if asked is None:
        return _advice("not_asked", None)
    rest = asked["rest_after_s"]
    # To failure nothing is left; a set that ended for another reason tells nothing without what was left.
    left = 0 if ended_by == "failure" else rir
    if left is None:
        return _advice("unclear", rest)
    able, (least, most) = amount + left, wanted(asked)
    if able < least:
        return _advice("take_easier", rest)
    if most is not None and able > most:
        return _advice("take_harder", rest)
    return Advice("keep", _NOT_TOO_HARD, None, rest) if most is None else _advice("keep", rest)


def wanted(asked: Mapping[str, Any]) -> tuple[int, int | None]:
    """What must and may be available in all; of an older prescription by what was to be left at the stop."""
    if "able_at_least" in asked:
        return asked["able_at_least"], asked["able_at_most"]
    most = asked["reserve_at_most"]
    return asked["stop_at"] + asked["reserve_at_least"], None if most is None else asked["stop_at"] + most


def _advice(step: Step, rest_s: int | None) -> Advice:
    text = f"{_TEXTS[step]} {_DECIDES}" if step in _TAKES else _TEXTS[step]
    return Advice(step, text, None, rest_s)
