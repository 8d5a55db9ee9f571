"""Why work is cut that is far more than was done of late, in the numbers of the athlete."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from scoring.names import Names
from scoring.words import whole

FAR_MORE: Final = "far_more_than_of_late"
REPETITIONS: Final = "repetitions"


def of_late_told(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> Iterator[str]:
    """By movement once: what was done of it in four weeks, and how much of it there is now."""
    if not content["feasible"]:
        return
    movements = {one["work"]: one.get("movement", "") for one in content["work"]}
    asked = {movements.get(one["work"]) for one in content.get("check_sets", [])}
    told: set[str] = set()
    for one in content["reasons"]:
        if one["code"] != FAR_MORE:
            continue
        movement = movements.get(one["work"], "")
        known = basis.get("unaccustomed", {}).get(movement, {})
        if "usual" not in known:  # as it was stored before
            yield f"{names.work(one['work'])}: far more is written than was done of late, so it is cut."
        elif movement not in told:
            told.add(movement)
            counted = movement in asked or bool(known.get("checked"))
            yield f"{names.movement(movement)}: {_of_late(known)}, so {_cut(known, counted)}."


def _of_late(known: Mapping[str, Any]) -> str:
    usual, bout = known["usual"], known["since_the_day_before"]
    slip = known.get("not_looked_at", 0)
    slips = f"{slip} of them not reviewed yet" if slip else ""
    if not usual:
        if bout:
            much = ", ".join(filter(None, (whole(bout, REPETITIONS), slips)))
            return f"in the last four weeks it was done only since the day before ({much})"
        return f"it was not done in the last four weeks{but_for_the_check_set(known)}"
    since = f", and {bout} since the day before{f' ({slips})' if slips else ''}" if bout else ""
    return f"at most {whole(usual, REPETITIONS)} in two days were done in the last four weeks{since}"


def but_for_the_check_set(known: Mapping[str, Any]) -> str:
    """What keeps "not done" true of whoever has just done a check set, which is no training."""
    return ", but for the check set" if known.get("checked") else ""


def _cut(known: Mapping[str, Any], counted: bool) -> str:
    """counted: a check set of the movement is asked for, or was done."""
    most = known["most_repetitions"]
    by_age = ", less at this age than of others" if known["by_age"] else ""
    if most is None:
        return f"it is cut by what the check set takes{by_age}"
    included = ", the check set included" if counted else ""
    beginning = "" if known["usual"] or known["since_the_day_before"] else ", an ordinary beginning"
    return f"it is cut to {most} in all{included}{beginning}{by_age}"
