"""What in the report of an attempt does not add up: each finding is a code and what the reviewer may ask.

A finding never changes what was stored. ``scoring.calc.score`` decides what can be scored nevertheless.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.contradiction import MAX_REPETITIONS_PER_SECOND
from programming.calc.revision import Block
from scoring.calc.attempt import SetEntry, SetLog

# Times are noted to whole seconds, by people: each set may be off by a second at either end.
ROUNDING_S: Final = 1.0


@dataclass(frozen=True)
class Finding:
    """One thing that does not add up."""

    code: str
    detail: str


def repetition_findings(
    block: Block, reported: Sequence[tuple[str, int]], counted: Sequence[int]
) -> list[Finding]:
    """Work that the block does not have, and more repetitions than it has."""
    found = []
    unknown = sorted({work for work, _ in reported if block.index_of(work) is None})
    if unknown:
        found.append(
            Finding("unknown_work", f"The block has no work {', '.join(unknown)}: ask what was meant.")
        )
    for item, count in zip(block.work, counted, strict=True):
        total = sum(repetitions for work, repetitions in reported if work == item.key)
        if total > count:
            detail = f"{total} repetitions of {item.key} are reported, {item.repetitions} were written."
            found.append(Finding("too_many_repetitions", detail))
    return found


def order_findings(
    block: Block, items: Sequence[int], asked: Sequence[int], broke: Sequence[bool]
) -> list[Finding]:
    """Sets on another item than the rules asked for.

    items: the item of each set; asked: the item that the rules ask for before each set (and after the last);
    broke: whether each set was a break. Work on an item already completed is a matter of repetitions, not of
    order.
    """
    found = []
    for number, (item, wanted) in enumerate(zip(items, asked, strict=False)):
        if wanted < 0 or item == wanted:
            continue
        key = block.work[wanted].key
        if number == 0:
            found.append(Finding("wrong_start", f"The first set should be on {key}: ask for the order."))
        elif broke[number - 1] and items[number - 1] == item:
            stayed = block.work[item].key
            detail = f"Set {number + 1} stays on {stayed} after a break although {key} was unfinished."
            found.append(Finding("no_swap", detail))
    return found


def clock_findings(log: SetLog) -> list[Finding]:
    """Rests and working times that do not fit into the elapsed time."""
    if log.elapsed_s is None:
        return []
    rests = sum(entry.rest_before_s or 0.0 for entry in log.sets)
    works = sum(entry.duration_s or 0.0 for entry in log.sets)
    if rests > log.elapsed_s or rests + works > log.elapsed_s + ROUNDING_S * (len(log.sets) + 1):
        detail = f"Rests of {rests:g} s and sets of {works:g} s do not fit into {log.elapsed_s:g} s."
        return [Finding("rests_exceed_elapsed", detail)]
    return []


def speed_findings(sets: Sequence[SetEntry], elapsed_s: float | None, counted: int) -> list[Finding]:
    """More repetitions in the working time than anyone can do; one finding for the whole attempt."""
    for number, entry in enumerate(sets, start=1):
        if entry.duration_s is not None and _too_fast(entry.repetitions, entry.duration_s):
            detail = (
                f"Set {number}: {entry.repetitions} repetitions in {entry.duration_s:g} s; ask for the count."
            )
            return [Finding("impossible_speed", detail)]
    if elapsed_s is None:
        return []
    working = elapsed_s - sum(entry.rest_before_s or 0.0 for entry in sets)
    if working >= 0 and _too_fast(counted, working):
        detail = f"{counted} repetitions in {working:g} s of work; ask for the time and the count."
        return [Finding("impossible_speed", detail)]
    return []


def _too_fast(repetitions: int, seconds: float) -> bool:
    return repetitions > MAX_REPETITIONS_PER_SECOND * (seconds + ROUNDING_S)


def breaks_findings(block: Block, breaks: int | None, counted: Sequence[int]) -> list[Finding]:
    """A number of breaks that cannot belong to these repetitions.

    A set does at least one repetition, and the set that completes an item is no break: at most
    (repetitions - completed items) breaks. Two items begun and unfinished need at least one break, for the
    athlete has left one of them.
    """
    if breaks is None:
        return [Finding("breaks_missing", "Ask for the number of breaks: the score needs it.")]
    completed = sum(count == item.repetitions for item, count in zip(block.work, counted, strict=True))
    begun = sum(0 < count < item.repetitions for item, count in zip(block.work, counted, strict=True))
    most, least = sum(counted) - completed, max(0, begun - 1)
    if not least <= breaks <= most:
        detail = (
            f"{breaks} breaks do not fit {sum(counted)} repetitions ({least} to {most} would): ask again."
        )
        return [Finding("breaks_inconsistent", detail)]
    return []


def pain_findings(sets: Sequence[SetEntry]) -> tuple[Finding, ...]:
    """Pain is nobody's typing error, but somebody has to ask about it before the next session."""
    hurt = [str(number) for number, entry in enumerate(sets, start=1) if entry.ended_by == "pain"]
    if not hurt:
        return ()
    detail = (
        f"Pain ended set {', '.join(hurt)}: talk to the athlete, set a limit where one is needed, and send the "
        "athlete to a physician when in doubt."
    )
    return (Finding("ended_by_pain", detail),)
