"""Whether a prescription inside the freeze still holds after what people have changed since.

Held against what it says, not against a list of changes: a change that touches nothing of it opens nothing, and
learning alone never does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from athletes.day import AS_USUAL, Day
from athletes.queries import AthleteInputs
from athletes.safety import NO_CONCERN
from programming.plans import SessionPlan
from scoring.cautions import ALONE
from scoring.content import safety_told
from scoring.loadable import BY_PEOPLE, EQUIPMENT_MISSING, loadable


def still_holds(
    content: Mapping[str, Any], plan: SessionPlan, inputs: AthleteInputs, day: Day = AS_USUAL
) -> bool:
    """Whether people left alone what the standing prescription rests on.

    False when by a limit, a kit, a move, a first weighing or the catalogue other variations are ruled out, when
    something told cannot be set up or is another version by now, when a hold or a return after absence began or
    ended, when the athlete began or ceased to train alone, and when something else is different for the day. A kit
    that merely offers more loads of what was possible before waits for the next session.
    """
    if content.get("day", AS_USUAL.told()) != day.told():
        return False
    if content.get("safety", safety_told(NO_CONCERN)) != safety_told(inputs.safety):
        return False
    if content.get("hold") is not None:
        return True
    able = loadable(plan, inputs, day)
    left_out = {(one.work, one.variation, _why(one.reason)) for one in able.ruled_out}
    told = {(one["work"], one["variation"], _why(one["reason"])) for one in content["ruled_out"]}
    if left_out != {one for one in told if one[2].partition(":")[0] in BY_PEOPLE}:
        return False
    # What a coach prescribes against a limit is not loadable here; `why_fallen` says whether it still stands.
    possible = {
        (work, entry.variation.key, entry.number, option.load_kg, option.assistance_kg, option.height_cm)
        for work, listed in able.options.items()
        for entry, option in listed
    }
    if content.get("overridden_by") is None and not set(_told(content)) <= possible:
        return False
    alone = {one["code"] for one in content.get("caution_details", [])} >= {ALONE}
    return inputs.trains_alone == alone


def is_checked(content: Mapping[str, Any], seen_then: Mapping[str, int], seen_now: Mapping[str, int]) -> bool:
    """Whether something was seen of a movement since its check set was asked for.

    seen_then, seen_now: observations by work key, when the prescription was issued and today.
    """
    asked = {check["work"] for check in content["check_sets"]}
    return any(seen_now[work] > seen_then.get(work, 0) for work in asked)


def _told(content: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """Every option that the athlete was told to use, or is allowed to fall back on."""
    named = [(one["work"], one) for one in (*content["work"], *content["closest"], *content["check_sets"])]
    for check in content["check_sets"]:
        named += [(check["work"], check[name]) for name in ("if_easier_needed", "if_harder_possible")]
    for work, option in named:
        if option is not None:
            yield (
                work,
                option["variation"],
                option["variation_version"],
                option["load_kg"],
                option["assistance_kg"],
                option["height_cm"],
            )


def _why(reason: str) -> str:
    """A reason as it is compared: which part of the equipment is missing makes no difference to what can be done."""
    code = reason.partition(":")[0]
    return code if code == EQUIPMENT_MISSING else reason
