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
    """Told is what is read: amounts that are the same once they are rounded for people have not changed."""
    if before is None and given.get("amount_as_written", True):
        return []
    (now, much), (was, stood) = _amount(given), _amount(before or {})
    if much == stood:
        return []
    each = " each time" if comes_again() else ""
    if now is None:
        return [f"And more of it: as much as possible{each}, not {stood}."]
    if was is None:
        return [f"Its amount is the athlete's own: {much}{each}."]
    why = ", since the check set counts in the most of it" if capped and now < was else ""
    return [f"And {'less' if now < was else 'more'} of it: {much}{each}, not {stood.split()[0]}{why}."]


def _amount(work: Mapping[str, Any]) -> tuple[float | None, str]:
    """The amount, and as it is read; (None, ""): as much as possible."""
    for unit in UNITS:
        amount: float | None = work.get(unit)
        if amount is not None:
            return amount, whole(amount, unit)
    return None, ""


def _rounds(standing: Content, following: Content, block: str | None) -> list[str]:
    """Where a cap ends a block, or does so earlier or later than before, or no more."""
    now, was = _rounds_of(following, block), _rounds_of(standing, block)
    if now == was:
        return []
    if now is None:
        return [f"The block does not end after {_counted(was)} any more."]
    return [f"The block ends after {_counted(now)} at the latest."]


def _counted(rounds: int | None) -> str:
    return f"{rounds} {'round' if rounds == 1 else 'rounds'}"


def _rounds_of(content: Content, block: str | None) -> int | None:
    found = next((one for one in content.get("blocks", []) if one["block"] == block), None)
    rounds: int | None = None if found is None else found.get("rounds")
    return rounds
