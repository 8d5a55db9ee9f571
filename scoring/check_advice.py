"""What a check set asks for at once: what it shows, by what the prescription itself said about it, and the version of
the prescription that follows.

The recompute follows with the whole plan; nobody waits for it with a bar in the hands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final
from uuid import UUID

from athletes.emergency import effective_settings
from athletes.performed import Settings, effective_kg
from athletes.queries import mass_histories
from athletes.safeties import safeties
from athletes.safety import Hold
from programming.plans import session_plan, variation_entries
from scoring.amount_changed import amount_changed
from scoring.blocks import find_item
from scoring.calc.volume import turns
from scoring.check_beside import beside_told
from scoring.check_words import (
    ANOTHER,
    AS_DONE,
    DECIDES,
    FITS,
    NOT_HARD,
    NOT_TOO_HARD,
    NOTHING,
    PRESCRIBED,
    REPLACED,
    STAYS,
    TAKES,
    TAKES_FROM_ANOTHER,
    TEXTS,
    Step,
)
from scoring.ground import standing_overrides
from scoring.models import CheckSet, Prescription
from scoring.names import Names
from scoring.substitutes import set_up_said
from scoring.words import HOLDS

_SETTLED: Final[frozenset[Step]] = frozenset({"keep", "take_easier", "take_harder"})
VERSION: Final = ("variation", "load_kg", "assistance_kg", "height_cm")


@dataclass(frozen=True)
class Advice:
    """What to do now; option: the version to take, None to stay, or where none can be named. one_sided: the set could
    show no more than that the version is not too hard.
    """

    step: Step
    text: str
    option: Mapping[str, Any] | None
    rest_s: int | None
    one_sided: bool = False


def advice_on(prescription: Prescription, row: CheckSet, following: Mapping[str, Any] | None) -> Advice:
    """What to do after a set of a prescription; nobody who is held by now is sent on, whatever the set says.

    The prescription may have been made before what holds the athlete, and before a coach prescribed something else.
    Three queries, one more of who is held by a warning sign, and few more where another version was done than was
    asked for; read under the athlete's lock, it knows every report that was stored before the set. following: the
    content of the prescription that will follow, None where nobody can tell yet.
    """
    first = of_the_moment(prescription, row.ended_by)
    if first is not None:
        return first
    content = asking_content(prescription, row.replaces_id)
    shown = advice(content, row.work, row.amount, row.rir, row.ended_by)
    asked = _named(content["check_sets"], row.work)
    if shown.step not in _SETTLED or asked is None:
        return shown
    done = {"variation": row.variation_version.variation.key} | {
        key: getattr(row, key) for key in VERSION[1:]
    }
    as_asked = _is_same(asked, done)
    if following is None:
        return _undecided(shown, as_asked)
    given = _named(following["work"], row.work)
    if given is None:
        return replace(shown, step="ask_coach", text=NOTHING, option=None)
    if _is_same(given, done):
        told = _stays(shown, as_asked)
    else:
        kg = asked["effective_kg"] if as_asked else _kg_done(prescription, row)
        # Of who was never weighed the version that was asked for is the nearest that something is known of.
        told = _takes(shown, given, kg if kg is not None else asked["effective_kg"], as_asked)
    much = amount_changed(prescription.content, following, given, _comes_again(prescription, row.work))
    beside = beside_told(prescription.content, following, row.work)
    return replace(told, text=f"{told.text}{much}{beside}")


def _comes_again(prescription: Prescription, work: str) -> Callable[[], bool]:
    """Whether its amount is asked for more than once (three queries, when it is asked)."""

    def several() -> bool:
        found = find_item(session_plan(prescription.session_id), work)
        return found is not None and turns(found[0], found[0].index_of(work) or 0) != 1.0

    return several


def of_the_moment(prescription: Prescription, ended_by: str) -> Advice | None:
    """What decides whatever the set shows: that somebody holds the athlete by now, or that a coach's override stands;
    None: neither (three queries).
    """
    held = held_now(prescription, ended_by)
    if held is not None:
        return held
    athlete = prescription.athlete
    mine = standing_overrides().filter(athlete=athlete, session=prescription.session_id)
    if ended_by == "pain" or not mine.exists():
        return None
    return Advice("ask_coach", PRESCRIBED, None, None)


def held_now(prescription: Prescription, ended_by: str) -> Advice | None:
    """What somebody is told who is held by now, None: nobody holds the athlete (two queries)."""
    athlete = prescription.athlete
    hold = safeties([athlete.id], prescription.session.local_date)[athlete.id].hold
    return None if hold is None else _held(hold, athlete.location_id, ended_by)


def of_what_was_sent_before(prescription: Prescription, ended_by: str, row_id: UUID) -> Advice | None:
    """The same of a set that is sent again, which another one may have replaced since (one query more)."""
    first = of_the_moment(prescription, ended_by)
    if first is None and CheckSet.objects.filter(replaces=row_id).exists():
        return Advice("unclear", REPLACED, None, None)
    return first


def asking_content(prescription: Prescription, replaces: UUID | None) -> Mapping[str, Any]:
    """The content that asked for a set: of a corrected one that of the prescription with which the first was done,
    since a later one asks for it no more (one query a correction).
    """
    content: Mapping[str, Any] = prescription.content
    mine = CheckSet.objects.filter(athlete=prescription.athlete_id, session=prescription.session_id)
    while replaces is not None:
        found = mine.filter(id=replaces).values_list("replaces_id", "prescription__content").first()
        if found is None:  # refused when it is to be stored
            break
        replaces, content = found
    return content


def settles(content: Mapping[str, Any], work: str, amount: float, rir: int | None, ended_by: str) -> bool:
    """Whether a version follows from such a set, so that it is worth working out which."""
    return advice(content, work, amount, rir, ended_by).step in _SETTLED


def _undecided(shown: Advice, as_asked: bool) -> Advice:
    """What the set shows by itself, where nobody can tell yet what follows: of another version nothing at all, and
    never that it may be begun with.
    """
    if not as_asked:
        return replace(shown, step="unclear", text=f"{ANOTHER} {DECIDES}", option=None)
    if shown.step != "keep":
        return shown
    fits = NOT_HARD if shown.one_sided else FITS
    return replace(shown, step="unclear", text=f"{fits} {DECIDES}")


def _stays(shown: Advice, as_asked: bool) -> Advice:
    """What was done is given. Where it was too hard nothing easier can be, and somebody has to look."""
    if not as_asked:
        return replace(shown, step="keep", text=AS_DONE)
    if shown.step not in STAYS:
        return shown
    step: Step = "ask_coach" if shown.step == "take_easier" else "keep"
    return replace(shown, step=step, text=f"{TEXTS[shown.step]} {STAYS[shown.step]}")


def _takes(shown: Advice, given: Mapping[str, Any], kg: float | None, as_asked: bool) -> Advice:
    """Another version than was done; kg: of the one that was done. What was to be shown of the version that was asked
    for says nothing of how hard another one is.
    """
    step: Step = "take_harder" if (given["effective_kg"] or 0.0) > (kg or 0.0) else "take_easier"
    named = _version_said(given)
    if not as_asked:
        return replace(shown, step=step, text=TAKES_FROM_ANOTHER[step].format(named=named), option=given)
    takes = TAKES[step].format(named=named)
    return replace(
        shown, step=step, text=f"{TEXTS[step]} {takes}" if step == shown.step else takes, option=given
    )


def _version_said(given: Mapping[str, Any]) -> str:
    """By its name and settings; of a pair each weight, as it is taken in the hands."""
    key = given["variation"]
    worn = frozenset({key} if given.get("worn") else ())
    return set_up_said(given, key, Names(implements={key: given.get("implements", 1)}, worn=worn))


def _kg_done(prescription: Prescription, row: CheckSet) -> float | None:
    """The effective load of a set on the session's day, as a prescription tells it (two queries)."""
    variation = variation_entries({row.variation_version_id})[row.variation_version_id].variation
    mass = mass_histories([row.athlete_id])[row.athlete_id].on(prescription.session.local_date)
    kg = effective_kg(variation, Settings(row.load_kg, row.assistance_kg, row.height_cm), mass)
    return None if kg is None else round(kg, 1)


def _is_same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    return all(one[name] == other[name] for name in VERSION)


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
    return Advice("stop", f"{TEXTS['stop']} {said}" if ended_by == "pain" else said, None, None)


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
    if most is None:
        return Advice("keep", NOT_TOO_HARD, None, rest, one_sided=True)
    return _advice("keep", rest)


def wanted(asked: Mapping[str, Any]) -> tuple[int, int | None]:
    """What must and may be available in all; of an older prescription by what was to be left at the stop."""
    if "able_at_least" in asked:
        return asked["able_at_least"], asked["able_at_most"]
    most = asked["reserve_at_most"]
    return asked["stop_at"] + asked["reserve_at_least"], None if most is None else asked["stop_at"] + most


def _advice(step: Step, rest_s: int | None) -> Advice:
    text = f"{TEXTS[step]} {DECIDES}" if step in TAKES else TEXTS[step]
    return Advice(step, text, None, rest_s)
