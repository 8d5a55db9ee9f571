"""How much of a work the prescription that follows asks for, where that is another amount than stands now.

Contents of every version: what an earlier one did not say of amounts was as written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from programming.calc.revision import UNITS
from scoring.words import whole

Content = Mapping[str, Any]
CAPPED: Final = frozenset({"capped_volume", "far_more_than_of_late"})


def amount_changed(
    standing: Content, following: Content, given: Mapping[str, Any], comes_again: Callable[[], bool]
) -> str:
    """A sentence to put behind what is said of the version, "" where the amount stays.

    given: the work's entry in `following`; comes_again: whether its amount is asked for more than once, as in rounds.
    Where `standing` gives nothing of it, what is written was expected.
    """
    before = next((one for one in standing["work"] if one["work"] == given["work"]), None)
    said = [
        *_each(before, given, comes_again, capped=_is_capped(following, given["work"])),
        *_rounds(standing, following, given.get("block")),
    ]
    return f" {' '.join(said)}" if said else ""


def _is_capped(following: Content, work: str) -> bool:
    """Whether there is a most of it in the session, of which a check set takes its part."""
    return any(one["work"] == work and one["code"] in CAPPED for one in following.get("reasons", []))


def _each(
    before: Mapping[str, Any] | None,
    given: Mapping[str, Any],
    comes_again: Callable[[], bool],
    *,
    capped: bool,
) -> list[str]:
    (unit, now) = next(((unit, given[unit]) for unit in UNITS if given.get(unit) is not None), ("", None))
    if now is None or (before is None and given.get("amount_as_written", True)):
        return []
    much = whole(now, unit)
    was = None if before is None else before.get(unit)
    if was is None:
        return [f"Its amount is the athlete's own: {much}{' each time' if comes_again() else ''}."]
    if now == was:
        return []
    why = ", since the check set counts in the most of it" if capped and now < was else ""
    much += " each time" if comes_again() else ""
    return [f"And {'less' if now < was else 'more'} of it: {much}, not {whole(was, unit).split()[0]}{why}."]


def _rounds(standing: Content, following: Content, block: str | None) -> list[str]:
    """Where a cap ends a block, or does so earlier or later than before."""
    now, was = _rounds_of(following, block), _rounds_of(standing, block)
    if now is None or now == was:
        return []
    return [f"The block ends after {now} {'round' if now == 1 else 'rounds'} at the latest."]


def _rounds_of(content: Content, block: str | None) -> int | None:
    found = next((one for one in content.get("blocks", []) if one["block"] == block), None)
    rounds: int | None = None if found is None else found.get("rounds")
    return rounds
