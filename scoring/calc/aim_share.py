"""The share of what was available that the sets of a log took, by the rule of the forecast.

What was available before a set is told by ``athletes.calc.available`` with what was known when the result was scored:
it looks back, and judges no forecast. As in ``scoring.calc.simulation`` the mean of an item's sets counts, a set to
failure having taken all of it; not counted are sets that complete what others left over, and sets that the clock cut.
Where rounds are parted by a rest, an interval or an attempt, a set is meant to be done in one go: its share is that
of all that is asked, and what is done of it after a pause has none.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from math import inf

from programming.calc.revision import Block, Condition
from programming.calc.rule_codes import ATTEMPTS, INTERVALS, rule_codes, work_of
from programming.calc.stepper import portion
from scoring.calc.books import MOST_ASKED
from scoring.calc.played import PlayedSet

# Of the planned amount: what is further off than this was another set than planned (ours).
AS_PLANNED = 0.1


def share_range(
    block: Block, condition: Condition, played: Sequence[PlayedSet], available: Mapping[int, float] | None
) -> tuple[float, float, str]:
    """(least and greatest mean share [%] of the items that the condition speaks about, why it may be unknown).

    available: units before each set of the log, by its place in `played`; where one of an item's sets lacks it, that
    item is not known, and an aim for all work speaks of the items that are.
    """
    by_item = _shares(block, played, available or {})
    means = [
        sum(shares) / len(shares)
        for key, shares in by_item.items()
        if condition.work in (None, key) and shares
    ]
    return (min(means), max(means), "share_not_known") if means else (0.0, inf, "share_not_known")


def _shares(
    block: Block, played: Sequence[PlayedSet], available: Mapping[int, float]
) -> dict[str, list[float]]:
    """By work the share [%] of each set that counts; those of an item with an unknown set are left out whole."""
    codes, work = rule_codes(block), work_of(block)
    parted = codes.rest_between_s > 0.0 or codes.order in (INTERVALS, ATTEMPTS)
    found: dict[str, list[float]] = defaultdict(list)
    unknown, seen = set(), set()
    for place, one in enumerate(played):
        if not one.main or one.item < 0:
            continue
        asked = portion(codes, work, one.round, one.item)
        begins, straight = (one.round, one.item) not in seen, parted and asked < inf
        seen.add((one.round, one.item))
        if one.entry.ended_by == "clock" or not (begins or not (one.completed or straight)):
            continue
        if place not in available:
            unknown.add(one.entry.work)
            continue
        there, failed = available[place], one.entry.ended_by == "failure" and not one.completed
        wanted = asked if straight and begins else there if failed else float(one.entry.amount)
        found[one.entry.work].append(min(100.0 * wanted / there, MOST_ASKED) if there > 0.0 else MOST_ASKED)
    return {key: shares for key, shares in found.items() if key not in unknown}


def share_cause(missed_by: float, work: str | None, done: Sequence[float], planned: Sequence[float]) -> str:
    """The likely cause: other sets than planned, else the version; done, planned: mean amounts of each set of `work`,
    without any where nothing was planned.
    """
    if work is not None and done and planned:
        ratio = (sum(done) / len(done)) / (sum(planned) / len(planned))
        if missed_by > 0.0 and ratio > 1.0 + AS_PLANNED:
            return "sets_too_long"
        if missed_by < 0.0 and ratio < 1.0 - AS_PLANNED:
            return "sets_stopped_early"
    return "too_hard_version" if missed_by > 0.0 else "too_easy_version"
