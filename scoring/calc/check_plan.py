"""The check sets of a block: one for a movement in the whole session, within the caps of its work and part of it.

Who returns from an absence, or does much that is new, may do only so much of a movement; what is done to find the
right version of it is done with the same muscles, and counts. A check set takes no more than half of a cap, so that
there is work left to do it for, and where the set must stop earlier than it should, it asks only what it can tell.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import floor
from typing import Final

from programming.calc.revision import Block
from programming.calc.stepper import EPSILON
from scoring.calc.check_sets import TELLING_SETS, asked_windows, check_set, stopped_by
from scoring.calc.choice import Choice
from scoring.calc.first_set import Judged
from scoring.calc.items import LEAST
from scoring.calc.prescription import CheckSet, Reason
from scoring.calc.volume import capped

# The most of a cap that a check set takes (ours).
CHECK_SHARE: Final = 0.5


@dataclass(frozen=True)
class Checks:
    """sets: the check sets of a block; settled_by_others: work whose movement is checked with other work."""

    sets: tuple[CheckSet, ...] = ()
    settled_by_others: tuple[str, ...] = ()

    def reasons(self) -> Iterator[Reason]:
        """Why there are check sets, and why there is none where one could be expected."""
        for one in self.sets:
            yield Reason("uncertain_capacity", one.work)
        for work in self.settled_by_others:
            yield Reason("checked_with_other_work", work)


def checks_of(
    block: Block,
    choice: Choice,
    options: Sequence[Judged],
    caps: Mapping[str, float],
    checked: Collection[str],
    done: Collection[str] = (),
    *,
    to_failure: bool = True,
) -> Checks:
    """The check sets of the chosen options (M), each within the cap of its work, one for a movement.

    checked: the movements that an earlier block of the session has a check set of; done: those of which one was done
    for this session, so that none is asked again. Of several places of a movement the first one whose first set the
    aim is about, else the first, is checked. to_failure False: no set at all may go to failure.
    """
    asked = {
        item.key: (item, check)
        for item, one, judged, wanted in zip(block.items, options, choice.judged, choice.windows, strict=True)
        if item.movement not in done
        and (
            check := check_set(
                item,
                one,
                judged,
                asked_windows(block, item),
                is_aimed_at=bool(wanted),
                to_failure=to_failure,
            )
        )
    }
    aimed_at = {item.key for item, wanted in zip(block.items, choice.windows, strict=True) if wanted}
    found: dict[str, CheckSet] = {}
    for key in sorted(asked, key=lambda key: key not in aimed_at):  # stable: else in the order of the block
        item, check = asked[key]
        within = within_cap(check, caps.get(key))
        if within is not None and item.movement not in checked:
            found.setdefault(item.movement, within)
    kept = {one.work: one for one in found.values()}
    return Checks(
        tuple(kept[key] for key in asked if key in kept),
        tuple(
            key
            for key, (item, _) in asked.items()
            if key not in kept and (item.movement in found or item.movement in checked)
        ),
    )


def begins_light(block: Block, options: Sequence[Judged]) -> Iterator[Reason]:
    """Why the load, or the version, is not the one written: the chosen options (M) of who was never seen with it, or
    hardly.
    """
    for item, one in zip(block.items, options, strict=True):
        if one.candidate.is_eased:
            yield Reason("begins_easier", item.key)
        repeats = one.candidate.is_hardly_seen and one.candidate.option.load_kg is not None
        if (one.candidate.starts_light or repeats) and not one.candidate.is_as_written:
            yield Reason("begins_light", item.key)


def within_cap(check: CheckSet, cap: float | None) -> CheckSet | None:
    """The check set that stops within its part of a cap; None where so short a set would tell nothing."""
    if cap is None:
        return check
    most = floor(CHECK_SHARE * cap + EPSILON)
    if most < TELLING_SETS * LEAST[check.unit]:
        return None
    return stopped_by(check, min(check.stop_at, most))


def counting_checks(
    block: Block, caps: Mapping[str, float], hard: Collection[str], checks: Checks
) -> tuple[Block, Checks]:
    """The block with what its check sets leave of the caps of their work, and the check sets.

    Where not even the smallest first set is left, as of a ladder that begins high, the work stays as capped, and a
    check set that a hard cap has no room for is not asked; then none settles the other work of its movement.
    """
    kept = []
    movements = {item.key: item.movement for item in block.items}
    for one in checks.sets:
        left = {} if one.work not in caps else {one.work: caps[one.work] - one.stop_at}
        block, too_much = capped(block, left)
        if too_much is None or one.work not in hard:
            kept.append(one)
    gone = {movements[one.work] for one in checks.sets if one not in kept}
    settled = tuple(work for work in checks.settled_by_others if movements[work] not in gone)
    return block, replace(checks, sets=tuple(kept), settled_by_others=settled)
