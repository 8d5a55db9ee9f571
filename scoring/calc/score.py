"""The official score of an attempt by the rules of its block, and what in the report does not add up.

Work for time: clock + penalty x breaks [s], lower is better; not done when the cap is reached, it gives no time
but the amount done. Everything else is an amount, higher is better: repetitions, rounds (the whole amount, told
as rounds and the rest; of work in several units rounds and the share of the next one, see
``scoring.calc.rounds``), metres, kilocalories, seconds held, intervals completed, the smallest interval, the
heaviest load that succeeded (external load less assistance, 0 kg without either), or load x repetitions of what
counts. A report that does not add up is scored where that is possible; its findings tell the reviewer what to ask.

States: ``finished`` has a score; ``capped`` has an amount instead of a time; ``no_mark`` tried without success;
``not_scored`` is work whose rules score nothing; ``unscored`` waits for the review.
"""

from dataclasses import dataclass, replace
from typing import Final

from programming.calc.revision import REPETITIONS, Block
from programming.calc.rule_codes import RULES_VERSION, block_read_by, rule_codes
from programming.calc.stepper import official_seconds
from scoring.calc.asked import clock_findings, needed
from scoring.calc.attempt import SetLog, Totals
from scoring.calc.finding import Finding
from scoring.calc.rounds import named_rest, progress_of, rounds_in
from scoring.calc.told import Told, told_by_log, told_by_totals
from scoring.calc.value import Better, Result, State, Unit, result_of

KNOWN_RULES: Final = frozenset({1, 2, 3})
"""Versions of the rules that this code scores by; an old one stays for as long as sessions have it."""


@dataclass(frozen=True)
class Score:
    """The official score with its parts; None is not known, or has no place in such a block.

    value: in `unit`, the official score of every kind; score_s: the same where it is a time. repetitions: those
    that count, at most the work written; amounts: (work, amount, unit of the item) of everything, penalty work
    too; breaks: as counted or as reported; rounds_completed, last_round_amount: of the score where rounds are
    scored, else of what was done, None where its units do not add up; last_round: (work, amount, unit) of that
    rest, what was begun only; misses: intervals or attempts; findings: empty when the report adds up.
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
    value: float | None = None
    unit: Unit | None = None
    better: Better | None = None
    rounds_completed: int | None = None
    last_round_amount: float | None = None
    misses: int | None = None
    split_s: float | None = None
    amounts: tuple[tuple[str, float, str], ...] = ()
    last_round: tuple[tuple[str, float, str], ...] = ()

    @property
    def finished(self) -> bool:
        """Whether there is a score: where time is scored, that all the work was done in time."""
        return self.state == "finished"


def official_score(block: Block, attempt: SetLog | Totals, *, rules_version: int = RULES_VERSION) -> Score:
    """Score a set log or totals by the rules of `block`, as this version of the rules reads them.

    Version 1 takes a set that the clock ended for a break, version 2 adds amounts of several units up. Raises
    ValueError for a version that this code does not know.
    """
    if rules_version not in KNOWN_RULES:
        raise ValueError(f"no scoring by version {rules_version} of the rules")
    block = block_read_by(block, rules_version)
    if isinstance(attempt, SetLog):
        told = told_by_log(block, attempt, clock_breaks=rules_version == 1)
    else:
        told = told_by_totals(block, attempt)
    return replace(_assemble(block, told), rules_version=rules_version)


def _assemble(block: Block, told: Told) -> Score:
    """State and score from what counts; adds the findings about the clock, the cap and what the score needs."""
    codes = rule_codes(block)
    findings = [*told.findings, *needed(block, told), *clock_findings(block, told)]
    result = result_of(block, told)
    breaks = told.breaks
    counted = list(zip(block.items, told.counted, strict=True))
    rounds, rest = _rounds(block, told, result)
    last_round = _last_round(block, told, result)
    by_repetitions = tuple(
        (item.key, int(done)) for item, done in counted[: len(block.work)] if item.unit == REPETITIONS
    )
    return Score(
        state=result.state,
        score_s=result.value if result.unit == "s" and result.better == "lower" else None,
        elapsed_s=told.elapsed_s,
        breaks=breaks,
        penalty_s=None if breaks is None else float(official_seconds(codes, 0.0, breaks)),
        repetitions=sum(done for _, done in by_repetitions),
        repetitions_by_work=by_repetitions,
        findings=tuple(findings),
        value=result.value,
        unit=result.unit,
        better=result.better,
        rounds_completed=rounds,
        last_round_amount=rest,
        last_round=tuple(
            (item.key, done, item.unit)
            for item, done in zip(block.work, last_round, strict=False)
            if done > 0.0
        ),
        misses=told.misses,
        split_s=told.split_s,
        amounts=tuple((item.key, done, item.unit) for item, done in counted),
    )


def _rounds(block: Block, told: Told, result: Result) -> tuple[int | None, float | None]:
    """(rounds, amount beyond them): of the value where rounds are scored, of what was done elsewhere."""
    if block.rules.order == "attempts":
        return None, None
    if result.unit == "rounds":
        return progress_of(block, told.counted[: len(block.work)]).rounds, None
    if block.rules.scored == "rounds" and result.value is not None:
        return rounds_in(block, result.value)
    return told.rounds_done, None


def _last_round(block: Block, told: Told, result: Result) -> tuple[float, ...]:
    """What was done beyond whole rounds (M,), where the score is told so; empty elsewhere."""
    if result.unit == "rounds":
        return progress_of(block, told.counted[: len(block.work)]).rest
    if block.rules.scored != "rounds" or result.value is None:
        return ()
    named = named_rest(block, result.value)
    return () if named is None else named[1]
