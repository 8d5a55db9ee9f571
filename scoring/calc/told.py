"""What a report tells of a block, whether sets or totals: the figures that score, tie-break and findings need."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from programming.calc.revision import REPETITIONS, Block
from programming.calc.stepper import EPSILON
from scoring.calc.attempt import SetEntry, SetLog, Totals
from scoring.calc.finding import (
    Finding,
    breaks_findings,
    clock_findings,
    excess_findings,
    speed_findings,
    unknown_findings,
)
from scoring.calc.replay import Replay, play_log
from scoring.calc.rounds import portions, progress_of, rounds_in, written_amounts
from scoring.calc.totals_check import served_s, totals_findings


@dataclass(frozen=True)
class Told:
    """The figures of a report; None is unknown.

    counted (M,): amounts by item that count, penalty work last; done: all the work; rounds_done: rounds or
    intervals completed; load_unknown, rests_unknown, split_done: why a figure that is None matters.
    """

    counted: tuple[float, ...]
    breaks: int | None
    misses: int | None
    elapsed_s: float | None
    done: bool
    stopped_by_clock: bool = False
    rounds_done: int | None = None
    smallest_interval: float | None = None
    heaviest_kg: float | None = None
    load_unknown: bool = False
    volume_load: float | None = None
    split_s: float | None = None
    split_done: bool = False
    rests_unknown: bool = False
    findings: list[Finding] = field(default_factory=list)


def told_by_log(block: Block, log: SetLog, *, clock_breaks: bool = False) -> Told:
    """The figures of a set log."""
    played = play_log(block, log, clock_breaks=clock_breaks)
    known = [one.entry for one in played.sets]
    written = [*written_amounts(block), *(played.counted[len(block.work) :])]
    findings = [
        *unknown_findings(block, [entry.work for entry in log.sets]),
        *([] if played.intervals_unknown else excess_findings(block, played.counted, played.excess, written)),
        *played.findings,
        *clock_findings(log),
        *speed_findings(log.sets, log.elapsed_s, _by_unit(block, played.counted)),
    ]
    split_s, split_done = _split(block, log, played)
    return Told(
        counted=tuple(played.counted),
        breaks=None if played.rests_unknown else played.breaks,
        misses=_misses(block, played),
        elapsed_s=log.elapsed_s,
        done=played.done,
        stopped_by_clock=bool(known) and known[-1].ended_by == "clock",
        rounds_done=None if played.intervals_unknown else played.rounds_done,
        smallest_interval=_smallest(block, played),
        heaviest_kg=max(
            (external_kg(one.entry) for one in played.sets if one.main and one.succeeded), default=None
        ),
        volume_load=sum(
            (one.entry.load_kg or 0.0) * one.counted
            for one in played.sets
            if one.main and one.entry.unit == REPETITIONS
        ),
        split_s=split_s,
        split_done=split_done,
        rests_unknown=played.rests_unknown,
        findings=findings,
    )


def external_kg(entry: SetEntry) -> float:
    """What is lifted beside the body: the load, less the assistance."""
    return (entry.load_kg or 0.0) - (entry.assistance_kg or 0.0)


def _by_unit(block: Block, counted: Sequence[float]) -> list[tuple[str, float]]:
    found: dict[str, float] = {}
    for item, done in zip(block.items, counted, strict=True):
        found[item.unit] = found.get(item.unit, 0.0) + done
    return list(found.items())


def _misses(block: Block, played: Replay) -> int | None:
    if block.rules.order == "attempts":
        return played.failed_attempts
    return None if block.rules.intervals is None or played.intervals_unknown else len(played.missed)


def _smallest(block: Block, played: Replay) -> float | None:
    """Of the intervals that are over; None without any."""
    if block.rules.intervals is None or played.intervals_unknown:
        return None
    over = played.rounds_done + len(played.missed)
    return min((played.by_round.get(number, 0.0) for number in range(over)), default=None)


def _split(block: Block, log: SetLog, played: Replay) -> tuple[float | None, bool]:
    """(clock when the item was completed, the last time of several; whether it was)."""
    index = None if block.rules.split is None else block.index_of(block.rules.split)
    ends = [one for one in played.sets if one.item == index and one.completed]
    if index is None or not ends:
        return None, False
    last = ends[-1]
    at_end = log.elapsed_s if last is played.sets[-1] else None
    return next((clock for clock in (log.split_s, last.clock_s, at_end) if clock is not None), None), True


def told_by_totals(block: Block, totals: Totals) -> Told:
    """The figures of totals; of what they do not tell, that which follows."""
    reported, written = dict(totals.amounts), written_amounts(block)
    counted = [min(reported.get(item.key, 0.0), most) for item, most in zip(block.work, written, strict=True)]
    excess = [reported.get(item.key, 0.0) - done for item, done in zip(block.work, counted, strict=True)]
    served = [reported.get(item.key, 0.0) for item in block.items[len(block.work) :]]
    no_breaks = block.rules.break_rule.counts == "none"
    breaks = 0 if totals.breaks is None and no_breaks else totals.breaks
    done = block.total is not None and sum(counted) >= block.total - EPSILON
    misses = 0 if totals.misses is None and block.rules.intervals is not None and done else totals.misses
    split_index = None if block.rules.split is None else block.index_of(block.rules.split)
    elapsed = totals.elapsed_s
    at_work_s = None if elapsed is None else max(elapsed - served_s(block, breaks), 0.0)
    findings = [
        *unknown_findings(block, list(reported)),
        *excess_findings(block, counted, excess, written),
        *breaks_findings(block, breaks, counted, written),
        *_unserved(block, breaks, served),
        *speed_findings((), at_work_s, _by_unit(block, [*counted, *served])),
        *totals_findings(block, totals, counted),
    ]
    if any(found.code == "misses_inconsistent" for found in findings):
        misses = None
    return Told(
        counted=(*counted, *served),
        breaks=breaks,
        misses=misses,
        elapsed_s=totals.elapsed_s,
        done=done and block.rules.order not in {"intervals", "attempts"},
        rounds_done=_rounds_of_totals(block, counted, misses),
        smallest_interval=_smallest_of_totals(block, totals, done),
        heaviest_kg=totals.heaviest_kg,
        load_unknown=totals.heaviest_kg is None,
        split_s=totals.split_s,
        split_done=split_index is not None and counted[split_index] > 0,
        findings=findings,
    )


def _unserved(block: Block, breaks: int | None, served: Sequence[float]) -> list[Finding]:
    """Penalty work that is less than the breaks demand."""
    work = block.rules.break_rule.penalty_work
    if work is None or work.amount is None or not breaks or served[0] >= breaks * work.amount - EPSILON:
        return []
    detail = f"{breaks} breaks demand {breaks * work.amount:g} of {{0}}; {served[0]:g} are reported."
    return [Finding("penalty_not_served", detail, (work.key,))]


def _rounds_of_totals(block: Block, counted: Sequence[float], misses: int | None) -> int | None:
    rules, done = block.rules, sum(counted)
    if block.by_progress:
        return progress_of(block, counted).rounds
    if rules.intervals is None:
        return rounds_in(block, done)[0]
    if rules.repeats is not None and misses is not None and rules.end.kind != "first_miss":
        return max(0, rules.repeats - misses)
    # Until the first miss, everything before it was done.
    fixed = all(item.amount is not None for item in block.work)
    return rounds_in(block, done)[0] if rules.end.kind == "first_miss" and fixed else None


def _smallest_of_totals(block: Block, totals: Totals, done: bool) -> float | None:
    if totals.smallest_interval is not None or not done or block.rules.repeats is None:
        return totals.smallest_interval
    return min(sum(portions(block, number)) for number in range(block.rules.repeats))
