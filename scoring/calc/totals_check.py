"""What in totals cannot have been, whoever the athlete is: numbers that contradict one another or the block.

Totals tell less than sets do, so only what no order of events explains is a finding.
"""

from collections.abc import Sequence
from math import inf
from typing import Final

from programming.calc.revision import REPETITIONS, Block
from programming.calc.stepper import EPSILON
from programming.calc.units import NAMES
from scoring.calc.attempt import Totals
from scoring.calc.finding import ROUNDING_S, Finding
from scoring.calc.rounds import MOST_ROUNDS, portions

IN_ORDER: Final = frozenset({"in_sequence", "rounds", "ladder"})
"""Orders in which an item is begun when the one before it is done."""


def totals_findings(block: Block, totals: Totals, counted: Sequence[float]) -> list[Finding]:
    """The contradictions of totals; counted (M,): of the main items, at most what is written."""
    return [
        *_misses(block, totals, counted),
        *_smallest(block, totals, counted),
        *_load(block, totals),
        *_clock(block, totals),
        *_order(block, counted),
    ]


def _misses(block: Block, totals: Totals, counted: Sequence[float]) -> list[Finding]:
    misses, rules = totals.misses, block.rules
    if misses is None:
        return []
    if rules.order not in {"intervals", "attempts"}:
        return (
            _inconsistent(f"{misses} misses are reported, and there is nothing to miss here.")
            if misses
            else []
        )
    name = rules.order
    if rules.end.kind == "first_miss" and misses > 1:
        return _inconsistent(f"{misses} missed {name} are reported, and the first one ends the block.")
    if rules.repeats is None:
        return []
    if misses > rules.repeats:
        return _inconsistent(f"{misses} missed {name} are reported, and there are {rules.repeats}.")
    if rules.break_rule.counts == "missed_interval" and totals.breaks not in (None, misses):
        detail = f"{totals.breaks} breaks are reported and {misses} missed intervals: ask again, they are the same."
        return [Finding("breaks_inconsistent", detail)]
    least, most = _possible(block, misses)
    done = sum(counted)
    if not totals.amounts or least - EPSILON <= done <= most + EPSILON:
        return []
    unit = NAMES[block.work[0].unit] if len({item.unit for item in block.work}) == 1 else "of all work"
    return _inconsistent(
        f"{misses} missed {name} of {rules.repeats} do not fit {done:g} {unit} ({least:g} to {most:g} would):"
        " ask again."
    )


def _inconsistent(detail: str) -> list[Finding]:
    return [Finding("misses_inconsistent", detail)]


def _possible(block: Block, misses: int) -> tuple[float, float]:
    """(least, most) of all work when so many intervals or attempts were missed, each by a repetition at least.

    Of attempts that were not made nothing is known; nor of intervals after the first miss, where that is the end.
    """
    rules, count = block.rules, block.rules.repeats or 0
    if any(item.amount is None for item in block.work):
        return 0.0, inf
    each = sorted(sum(portions(block, number)) for number in range(count))
    lacks = 1.0 if all(item.unit == REPETITIONS for item in block.work) else 0.0
    surely = (
        0.0 if rules.order == "attempts" or rules.end.kind == "first_miss" else sum(each[: count - misses])
    )
    return surely, sum(each) - lacks * misses


def _smallest(block: Block, totals: Totals, counted: Sequence[float]) -> list[Finding]:
    smallest, repeats = totals.smallest_interval, block.rules.repeats
    if smallest is None or block.rules.intervals is None or repeats is None:
        return []
    most = min(sum(portions(block, number)) for number in range(repeats))
    if totals.amounts:
        most = min(most, sum(counted) / repeats)
    if smallest <= most + EPSILON:
        return []
    detail = f"The smallest interval cannot be {smallest:g} where {most:g} is the most it can be: ask again."
    return [Finding("smallest_interval_inconsistent", detail)]


def _load(block: Block, totals: Totals) -> list[Finding]:
    """A load that succeeded although every attempt is said to have failed."""
    all_failed = block.rules.order == "attempts" and totals.misses == block.rules.repeats
    if not all_failed or totals.heaviest_kg is None:
        return []
    detail = f"{totals.heaviest_kg:g} kg are said to have succeeded, and all {totals.misses} attempts to have failed."
    return [Finding("load_inconsistent", detail)]


def _clock(block: Block, totals: Totals) -> list[Finding]:
    """Against the split, and against intervals, which begin by the clock."""
    elapsed, rules, found = totals.elapsed_s, block.rules, []
    if elapsed is None:
        return []
    if rules.split is not None and totals.split_s is not None and totals.split_s > elapsed:
        detail = f"{{0}} is said to be done at {totals.split_s:g} s, and all of the work at {elapsed:g} s."
        found.append(Finding("split_after_end", detail, (rules.split,)))
    if rules.intervals is None or rules.repeats is None or totals.misses is None:
        return found
    last = max(rules.repeats - totals.misses - 1, 0) * rules.intervals.every_s
    if rules.end.kind != "first_miss" and elapsed < last - ROUNDING_S:
        detail = (
            f"{rules.repeats - totals.misses} intervals are not done before {last:g} s: ask for the time."
        )
        found.append(Finding("impossible_speed", detail))
    return found


def served_s(block: Block, breaks: int | None) -> float:
    """Seconds of rest that breaks have cost, where the penalty is served by resting."""
    rule = block.rules.break_rule
    return rule.penalty_s * (breaks or 0) if rule.penalty == "served_rest" else 0.0


def _order(block: Block, counted: Sequence[float]) -> list[Finding]:
    """Amounts that the order of the work does not lead to."""
    if block.rules.order not in IN_ORDER or any(item.amount is None for item in block.work):
        return []
    left = [float(done) for done in counted]
    for number in range(min(block.rules.repeats or MOST_ROUNDS, MOST_ROUNDS)):
        asked = portions(block, number)
        if all(done >= wanted - EPSILON for done, wanted in zip(left, asked, strict=True)):
            left = [done - wanted for done, wanted in zip(left, asked, strict=True)]
            continue
        return _of_round(block, number, left, asked)
    return []


def _of_round(block: Block, number: int, left: Sequence[float], asked: Sequence[float]) -> list[Finding]:
    """In the round that was not finished: up to one item all that is asked, after it nothing."""
    open_ = next(index for index, done in enumerate(left) if done < asked[index] - EPSILON)
    ahead = [index for index in range(len(left)) if index < open_ and left[index] > asked[index] + EPSILON]
    ahead += [index for index in range(open_ + 1, len(left)) if left[index] > EPSILON]
    if not ahead:
        return []
    further, behind = block.work[ahead[0]].key, block.work[open_].key
    detail = f"{{0}} is further than {{1}} allows in round {number + 1}: ask for the order or the amounts."
    return [Finding("wrong_order", detail, (further, behind))]
