"""The official score of an attempt by the rules of its block, and what in the report does not add up.

score = clock + penalty x breaks [s], where a break is a set that did not complete its item; lower is better.
Work not done when the cap is reached gives no score but the repetitions done. A report that does not add up
is scored where that is possible; its findings tell the reviewer what to ask.

States: ``finished`` has a score; ``capped`` has repetitions; ``unscored`` waits for the review.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from programming.calc.revision import Block
from programming.calc.rules import (
    RULES_VERSION,
    first_item,
    official_seconds,
    play,
    rule_codes,
)
from scoring.calc.attempt import SetLog, Totals
from scoring.calc.finding import (
    Finding,
    breaks_findings,
    clock_findings,
    order_findings,
    repetition_findings,
    speed_findings,
)

State = Literal["finished", "capped", "unscored"]


@dataclass(frozen=True)
class Score:
    """The official score with its parts; None is not known.

    repetitions: those that count, at most the work written; breaks: as counted or as reported; findings:
    empty when the report adds up.
    """

    state: State
    score_s: float | None
    elapsed_s: float | None
    breaks: int | None
    penalty_s: float | None
    repetitions: int
    repetitions_by_work: tuple[tuple[str, int], ...]
    findings: tuple[Finding, ...]
    rules_version: int = RULES_VERSION

    @property
    def finished(self) -> bool:
        """Whether all the work was done in time."""
        return self.state == "finished"


KNOWN_RULES: Final = frozenset({1})
"""Versions of the rules that this code scores by; an old one stays for as long as sessions have it."""


def official_score(block: Block, attempt: SetLog | Totals, *, rules_version: int = RULES_VERSION) -> Score:
    """Score a set log or totals by the rules of `block`, as this version of the rules reads them.

    Raises ValueError for a version that this code does not know.
    """
    if rules_version not in KNOWN_RULES:
        raise ValueError(f"no scoring by version {rules_version} of the rules")
    score = _score_log(block, attempt) if isinstance(attempt, SetLog) else _score_totals(block, attempt)
    return replace(score, rules_version=rules_version)


def _score_log(block: Block, log: SetLog) -> Score:
    known = [entry for entry in log.sets if block.index_of(entry.work) is not None]
    sets = [(_index(block, entry.work), entry.repetitions) for entry in known]
    codes = rule_codes(block.rules)
    steps = play(codes, [item.repetitions for item in block.work], sets)
    counted = [0] * len(block.work)
    for (item, _), taken in zip(sets, steps, strict=True):
        counted[item] += taken.counted
    stopped_by_clock = bool(known) and known[-1].ended_by == "clock"
    asked = [first_item(codes)] + [taken.next_item for taken in steps]
    findings = [
        *repetition_findings(block, [(entry.work, entry.repetitions) for entry in log.sets], counted),
        *order_findings(block, [item for item, _ in sets], asked, [taken.broke for taken in steps]),
        *clock_findings(log),
        *speed_findings(log.sets, log.elapsed_s, sum(counted)),
    ]
    breaks = sum(taken.broke for taken in steps)
    return _assemble(block, counted, breaks, log.elapsed_s, stopped_by_clock, findings)


def _index(block: Block, work: str) -> int:
    index = block.index_of(work)
    if index is None:
        raise KeyError(work)
    return index


def _score_totals(block: Block, totals: Totals) -> Score:
    reported = dict(totals.repetitions)
    counted = [min(reported.get(item.key, 0), item.repetitions) for item in block.work]
    findings = [
        *repetition_findings(block, totals.repetitions, counted),
        *breaks_findings(block, totals.breaks, counted),
        *speed_findings((), totals.elapsed_s, sum(counted)),
    ]
    return _assemble(block, counted, totals.breaks, totals.elapsed_s, False, findings)


def _assemble(
    block: Block,
    counted: Sequence[int],
    breaks: int | None,
    elapsed_s: float | None,
    stopped_by_clock: bool,
    findings: Sequence[Finding],
) -> Score:
    """State and score from what counts; adds the findings about the clock and the cap."""
    codes, cap = rule_codes(block.rules), block.rules.end.cap_s
    done = sum(counted) == block.repetitions
    at_cap = cap is not None and (stopped_by_clock or (elapsed_s is not None and elapsed_s >= cap))
    over_cap = cap is not None and elapsed_s is not None and elapsed_s > cap
    all_findings = [*findings]
    if elapsed_s is None and not (at_cap and not done):
        all_findings.append(
            Finding("elapsed_missing", "Ask for the time on the clock at the last repetition.")
        )
    if over_cap:
        detail = f"The clock is past the cap of {cap:g} s: ask what was done when the cap was reached."
        all_findings.append(Finding("over_cap", detail))
    if not done and not at_cap:
        all_findings.append(Finding("missing_repetitions", _missing(block, counted)))
    state: State = "unscored"
    if done and elapsed_s is not None and breaks is not None and not over_cap:
        state = "finished"
    elif not done and at_cap:
        state = "capped"
    penalty = None if breaks is None else official_seconds(codes, 0.0, breaks)
    score = None
    if state == "finished" and elapsed_s is not None and breaks is not None:
        score = official_seconds(codes, elapsed_s, breaks)
    by_work = tuple((item.key, count) for item, count in zip(block.work, counted, strict=True))
    return Score(state, score, elapsed_s, breaks, penalty, sum(counted), by_work, tuple(all_findings))


def _missing(block: Block, counted: Sequence[int]) -> str:
    missing = [
        f"{item.repetitions - count} of {item.key}"
        for item, count in zip(block.work, counted, strict=True)
        if count < item.repetitions
    ]
    return f"Ask for the missing repetitions ({', '.join(missing)}) or whether the athlete stopped."
