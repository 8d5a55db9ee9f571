"""How a block runs, in a line that can be read aloud before it; by the athlete's own amounts and rounds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from programming.calc.revision import Block, BreakRule
from scoring.brief_words import clock
from scoring.names import ROUNDS

SCORED: Final = {
    "time": "for time",
    "none": "not scored",
    "repetitions": "as many repetitions as possible",
    "rounds": "as many rounds as possible",
    "load": "the heaviest load counts",
}
COUNTS: Final = {
    "set_ended_early": "a set that ends before its work is done",
    "rest_longer_than": "a pause longer than {pause}",
    "missed_interval": "an interval whose work is not done",
    "no_rep": "a repetition that does not count",
}


def run_line(block: Block, where: str) -> str:
    """Order, breaks, end and score; where: which block, "" where there is one alone."""
    said = "; ".join(part for part in (_order(block), *_breaks(block.rules.break_rule), *_end(block)) if part)
    line = f"{said}; {SCORED.get(block.rules.scored, f'scored by {block.rules.scored.replace(chr(95), chr(32))}')}."
    return f"In {where}: {line}" if where else line[0].upper() + line[1:]


def _order(block: Block) -> str:
    rules = block.rules
    if rules.order == "swap_on_break":
        return "change over to the other work at each break"
    if rules.intervals is not None:
        many = "" if rules.repeats is None else f", {rules.repeats} of them"
        work = (
            ""
            if rules.intervals.work_s is None
            else f", the first {clock(rules.intervals.work_s)} of it for work"
        )
        turn = ", one work in each by turns" if rules.intervals.in_turn else ""
        return f"a new interval every {clock(rules.intervals.every_s)}{many}{work}{turn}"
    if rules.ladder is not None:
        rungs = ", ".join(f"{factor:g}" for factor in rules.ladder.amounts)
        more = "" if rules.ladder.then_step is None else f", then {rules.ladder.then_step:g} more each time"
        return f"rungs of {rungs}{more}"
    noun = ROUNDS.get(rules.order, "round") + "s"
    if rules.repeats == 1:
        return "one work after the other" if len(block.work) > 1 else ""
    rounds = "round after round until the end" if rules.repeats is None else f"{rules.repeats} {noun}"
    return f"{rounds}, {clock(rules.rest_between_s)} of rest between two" if rules.rest_between_s else rounds


def _breaks(rule: BreakRule) -> Iterator[str]:
    counted = COUNTS.get(rule.counts)
    if counted is None:
        return
    said = counted.format(pause=clock(rule.rest_over_s or 0.0))
    if rule.penalty_work is not None:
        yield f"{said} costs work before you go on"
    elif rule.penalty_s:
        yield f"{said} costs {clock(rule.penalty_s)}" + (" of rest" if rule.penalty == "served_rest" else "")
    elif rule.penalty_repetitions:
        yield f"{said} costs {rule.penalty_repetitions} of the score"


def _end(block: Block) -> Iterator[str]:
    end = block.rules.end
    if end.time_s is not None:
        yield f"{clock(end.time_s)} in all"
    elif end.cap_s is not None:
        yield f"it ends at {clock(end.cap_s)} at the latest"
    if end.kind == "first_miss":
        yield "it ends with the first miss"
