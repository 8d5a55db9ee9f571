"""Check sets: one set, stopped early, that settles which version is right; the light start of who was never seen.

A check set is asked for where a first-set window is doubtful, and of whoever was never seen in a movement, or never
in a version of which little is known, whatever the aim is. Where no window is written the work itself says what a set
must give: the share of what is available that is asked for, else a set in one go with a reserve. What to take instead
is what serves best if the set shows it: of the common scenarios those in which it would.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor
from typing import Final

import numpy as np
from numpy.typing import NDArray

from programming.calc.revision import HOLD, REPETITIONS, Aim, Block, Condition, WorkItem
from programming.calc.variation import Option
from scoring.calc.first_set import (
    LIGHT_ENOUGH,
    Judged,
    first_windows,
    ladder,
    light_enough,
)
from scoring.calc.items import LEAST, MARGIN
from scoring.calc.loss import Window, window_loss
from scoring.calc.prescription import CheckSet

CHECK_RESERVE: Final = {REPETITIONS: 2, HOLD: 10}
# Statements of repetitions in reserve are good up to sets of about twelve (Halperin et al. 2022); of seconds nothing
# is known: half a minute is ours. Only windows of endurance ask for longer sets, see MOST_TOLD.
CHECK_LONGEST: Final = {REPETITIONS: 12, HOLD: 30}
# As much as an athlete can tell to be left (ten means ten or more), so the set goes on until the window's ends are
# within that: to 21 for 20 to 30, far beyond twelve. A version is asked about that cannot be told from the next one
# otherwise, and with a reserve of ten even so long a set is submaximal.
MOST_TOLD: Final = 10
CHECK_REST_S: Final = 600  # most of the slow part of a short set is gone after ten minutes
# Without a window: half as much again as is needed is plainly too easy (ours).
PLAINLY_TOO_EASY: Final = 1.5
# Work without an amount: ten repetitions, half a minute of a hold (ours).
OPEN_SET: Final = {REPETITIONS: 10.0, HOLD: 30.0}
# Nobody unseen, or who is not to go to failure, does more to find a version than nine in ten can, nor more than this
# (ours): what cannot be told from so short a set is told by the first one of the work.
LIGHT_LONGEST: Final = {REPETITIONS: 15, HOLD: 30}
# One repetition, or five seconds, of work that was cut short tells nothing that its first set does not (ours).
TELLING_SETS: Final = 2.0
# Scenarios from which a better version can be told.
FEW: Final = 20

Bools = NDArray[np.bool_]


def asked_windows(block: Block, item: WorkItem) -> list[Window]:
    """What must be available fresh of a main item that is lifted or held: its first-set windows, or one that follows
    from the aim and the amount. [] for penalty work and for what is counted otherwise.
    """
    written = first_windows(block, item.key)
    if written or item not in block.work or item.unit not in CHECK_RESERVE:
        return written
    longest, reserve = CHECK_LONGEST[item.unit], CHECK_RESERVE[item.unit]
    amount = OPEN_SET[item.unit] if item.amount is None else item.amount * largest_rung(block)
    shares = [
        one for one in block.aim.conditions if one.kind == "share_of_available" and one.work == item.key
    ]
    if shares and amount <= longest and shares[0].upper and shares[0].lower:
        return [Window(100.0 * amount / shares[0].upper, 100.0 * amount / shares[0].lower, low_is_hard=True)]
    least = min(amount, longest) + reserve
    return [Window(least, float(floor(PLAINLY_TOO_EASY * least)), low_is_hard=True)]


def largest_rung(block: Block) -> float:
    """How many times the amounts of the work the largest set of it is: of a ladder its largest written rung."""
    ladder = block.rules.ladder
    return 1.0 if ladder is None else max(ladder.amounts)


def least_to_begin(block: Block, item: WorkItem) -> float:
    """What must nearly surely be available fresh of a load that somebody unseen begins with.

    The lower bound of the first-set windows. Where none is written the set asked for and the margin that no set goes
    beyond, however heavy the aim wants the work: a share of 90 % of what nobody knows is no load to begin with.
    """
    lowers = [one.lower for one in asked_windows(block, item) if one.lower is not None]
    least = max(lowers, default=1.0)
    if first_windows(block, item.key) or item.unit not in CHECK_RESERVE or item not in block.work:
        return least
    return max(least, set_to_begin(block, item) + MARGIN[item.unit])


def set_to_begin(block: Block, item: WorkItem) -> float:
    """What a set of the item is that somebody who did it under a load may begin with again: the lower bound of the
    first-set windows, else the set asked for, no longer than what is checked.
    """
    lowers = [one.lower for one in first_windows(block, item.key) if one.lower is not None]
    if lowers:
        return max(lowers)
    if item.amount is None:
        return OPEN_SET.get(item.unit, 1.0)
    return min(item.amount * largest_rung(block), CHECK_LONGEST.get(item.unit, item.amount))


def light_start(block: Block, item: WorkItem, options: Sequence[Judged]) -> list[Judged]:
    """The options that somebody unseen may begin with, by their load, where no first set is aimed at; all of them for
    anybody else.
    """
    return ladder(light_enough(options, least_to_begin(block, item)))


def heaviest_start(options: Sequence[Judged]) -> Judged:
    """The version as written where it is among them, else the hardest."""
    written = [one for one in options if one.candidate.is_as_written]
    return written[0] if written else max(options, key=lambda one: one.candidate.option.effective_kg)


def without_easy_sides(block: Block) -> Block:
    """The block without what a light start misses on purpose: bounds that ask for harder work than that."""
    kept = [_hard_side(one) for one in block.aim.conditions if one.kind != "stopped_by"]
    return replace(block, aim=Aim(tuple(one for one in kept if one is not None)))


def _hard_side(condition: Condition) -> Condition | None:
    if condition.kind in ("time", "share_of_available"):
        return None if condition.upper is None else replace(condition, lower=None)
    if condition.kind in ("score", "later_sets"):
        return None if condition.lower is None else replace(condition, upper=None)
    return condition


def check_set(
    item: WorkItem,
    chosen: Judged,
    judged: Sequence[Judged],
    windows: Sequence[Window],
    *,
    is_aimed_at: bool = True,
    to_failure: bool = True,
) -> CheckSet | None:
    """The set that settles a choice; None when it is settled, or no window asks.

    windows: of `asked_windows`; is_aimed_at: whether they are the aim's. Where they are not, only who was never or
    hardly seen, or never in this version of which little is known, is asked. to_failure False: no set at all may go
    to failure. Whole repetitions meet at least one answer: of a window between two counts the upper one, which is
    the easier.
    """
    unseen = chosen.candidate.is_unbounded or chosen.is_new_and_unsure
    if not windows or not chosen.candidate.is_limited or not (unseen or (is_aimed_at and chosen.unsettled)):
        return None
    reserve, longest = CHECK_RESERVE[item.unit], CHECK_LONGEST[item.unit]
    lower = max((window.lower for window in windows if window.lower is not None), default=reserve + 1.0)
    uppers = [window.upper for window in windows if window.upper is not None]
    highest = max(floor(min(uppers)), ceil(lower)) if uppers else None
    tellable = max(lower, 0.0 if highest is None else highest + 1.0) - MOST_TOLD
    stop_at = ceil(max(min(lower - reserve, longest), tellable, 1.0))
    window = Window(lower, None if highest is None else float(highest), low_is_hard=True)
    most_left = None if highest is None else max(highest - stop_at, 0)
    least_left = max(reserve if most_left is None else min(reserve, most_left), ceil(lower) - stop_at)
    asked = CheckSet(
        work=item.key,
        unit=item.unit,
        option=chosen.candidate.option,
        stop_at=stop_at,
        reserve_at_least=least_left,
        reserve_at_most=most_left,
        able_at_least=ceil(lower),
        able_at_most=highest,
        rest_after_s=CHECK_REST_S,
        easier=easier_than(chosen, judged, window),
        harder=None if highest is None else harder_than(chosen, judged, window),
    )
    if not (unseen or chosen.candidate.below_failure or not to_failure):
        return asked
    possible = max(floor(chosen.spread.p10), LEAST[item.unit])
    return stopped_by(asked, int(min(possible, LIGHT_LONGEST[item.unit])))


def stopped_by(check: CheckSet, most: int) -> CheckSet | None:
    """The check set that stops at `most` at the latest, most >= 1; None where that is a single repetition, or five
    seconds, and the window begins beyond what is told of so little.

    What cannot be told from so short a set, since nobody tells more than ten left, is not asked. Whoever stops as
    asked is not told that it was too hard: what is done and what is left make what must be available.
    """
    if check.stop_at <= most:
        return check
    tellable = most + MOST_TOLD
    least = min(check.able_at_least, tellable)
    if least < check.able_at_least and most < TELLING_SETS * LEAST[check.unit]:
        return None
    highest = check.able_at_most
    if highest is not None and highest + 1 > tellable:
        highest = None
    return replace(
        check,
        stop_at=most,
        able_at_least=least,
        reserve_at_least=max(least - most, check.reserve_at_least),
        able_at_most=highest,
        reserve_at_most=None if highest is None else highest - most,
        harder=None if highest is None else check.harder,
    )


def easier_than(chosen: Judged, judged: Sequence[Judged], window: Window) -> Option | None:
    """The easier option that serves best where the chosen one proves too hard; None without an easier one."""
    options = [one for one in _by_load(judged) if _kg(one) < _kg(chosen)]
    shown = chosen.candidate.fresh < ceil(window.lower or 0.0)
    return _best(options[::-1], shown, window)


def harder_than(chosen: Judged, judged: Sequence[Judged], window: Window) -> Option | None:
    """The harder option that serves best where the chosen one proves too easy; None without a harder one.

    Of who was never seen under a load, of those with which nine in ten then reach the window; else the next one.
    """
    options = [one for one in _by_load(judged) if _kg(one) > _kg(chosen)]
    shown = chosen.candidate.fresh >= (window.upper or 0.0) + 1.0
    safe = [
        one for one in options if not one.candidate.starts_light or _reach(one, shown, window) >= LIGHT_ENOUGH
    ]
    return _best(safe or options[:1], shown, window)


def _by_load(judged: Sequence[Judged]) -> list[Judged]:
    return sorted((one for one in judged if one.candidate.is_limited), key=_kg)


def _kg(one: Judged) -> float:
    return one.candidate.option.effective_kg


def _reach(one: Judged, shown: Bools, window: Window) -> float:
    """The part of the shown scenarios (N,) in which the option gives the window's lower bound; 0 of none."""
    fresh = one.candidate.fresh[shown]
    return float((fresh >= (window.lower or 0.0)).mean()) if len(fresh) else 0.0


def _best(options: Sequence[Judged], shown: Bools, window: Window) -> Option | None:
    """Of options, nearest first, the one with the least loss in the shown scenarios (N,); the nearest where these are
    few.
    """
    if not options:
        return None
    if int(shown.sum()) < FEW:
        return options[0].candidate.option

    def loss(one: Judged) -> float:
        whole = np.floor(one.candidate.fresh[shown])
        return float(window_loss(whole, whole, window).mean())

    return min(options, key=loss).candidate.option
