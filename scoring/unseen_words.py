"""Why somebody who was not seen in a movement, or not in so much of it, begins so, in sentences of what is stored."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from scoring.names import Names

BEGINS: Final[Mapping[str, str]] = {
    "begins_light": (
        "too little is known yet of what the athlete can do in this movement, so the load is one that nine in ten"
        " such people manage, or most where none is so light, and at most a step above what was done; a check set,"
        " told with the repetitions left, leads up from it"
    ),
    "begins_easier": (
        "the athlete is not known to have done it in the version written, and nothing tells how it would go, so it"
        " begins with an easier one; a coach who knows better prescribes the version written"
    ),
    "between_options": (
        "what can be loaded here lies on either side of the share that is asked for, so it is the lighter load"
    ),
    "aim_given_up_for_whole_sets": (
        "with the next heavier load sets that are meant to be done in one go would probably have to be broken, so it"
        " is the lighter one, though the share that is asked for is hardly met with it"
    ),
    "sets_may_break": (
        "a set that is meant to be done in one go will probably have to be broken with this load; who would rather"
        " have it whole takes a lighter one or rests longer"
    ),
    "checked_with_other_work": (
        "one check set of the movement is enough for the session; what follows from it is worked out for this work"
        " too"
    ),
}
AFTER_CHECK_SET: Final = (
    "A part of the aim is hardly met with what is known now; the check set tells the version that meets it."
)


def unseen_told(content: Mapping[str, Any], names: Names) -> Iterator[str]:
    """By work what its beginning rests on, and once what the check set has to settle."""
    if not content["feasible"]:
        return
    codes = [(one["code"], one["work"]) for one in content["reasons"]]
    for code, work in codes:
        if code in BEGINS:
            about = "The session's work" if work is None else names.work(work)
            yield f"{about}: {BEGINS[code]}."
    if any(code == "aim_after_check_set" for code, _ in codes):
        yield AFTER_CHECK_SET
