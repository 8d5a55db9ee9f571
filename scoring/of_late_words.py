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
            yield f"{names.movement(movement)}: {_of_late(known)}, so {_cut(known)}."


def _of_late(known: Mapping[str, Any]) -> str:
    usual, bout = known["usual"], known["since_the_day_before"]
    if not usual:
        since = f" but {whole(bout, REPETITIONS)} since the day before" if bout else ""
        return f"it was not done in the last four weeks{since}"
    since = f", and {bout} since the day before" if bout else ""
    return f"at most {whole(usual, REPETITIONS)} at once were done in the last four weeks{since}"


def _cut(known: Mapping[str, Any]) -> str:
    most = known["most_repetitions"]
    by_age = ", less at this age than of others" if known["by_age"] else ""
    if most is None:
        return f"it is cut by what the check set takes{by_age}"
    beginning = "" if known["usual"] or known["since_the_day_before"] else ", an ordinary beginning"
    return f"it is cut to {most} in all, the check set included{beginning}{by_age}"
