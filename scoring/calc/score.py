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
from typing import Final, Literal

from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, Block
from programming.calc.stepper import (
    RULES_VERSION,
    block_read_by,
    official_amount,
    official_seconds,
    rule_codes,
)
from scoring.calc.attempt import SetLog, Totals
from scoring.calc.finding import Finding, missing_finding
from scoring.calc.rounds import named_rest, progress_of, rounds_in, written_amounts
from scoring.calc.told import Told, told_by_log, told_by_totals

State = Literal["finished", "capped", "no_mark", "not_scored", "unscored"]
Unit = Literal["s", "repetitions", "m", "kcal", "kg", "kg_repetitions", "intervals", "rounds"]
Better = Literal["lower", "higher"]

KNOWN_RULES: Final = frozenset({1, 2, 3})
"""Versions of the rules that this code scores by; an old one stays for as long as sessions have it."""

UNITS_OF: Final[dict[str, Unit]] = {REPETITIONS: "repetitions", HOLD: "s", DISTANCE: "m", ENERGY: "kcal"}
ONE_UNIT: Final = {"distance": DISTANCE, "energy": ENERGY, "held_time": HOLD}


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


@dataclass(frozen=True)
class Result:
    """State, value and unit before the parts are put beside them."""

    state: State
    value: float | None = None
    unit: Unit | None = None
    better: Better | None = None


UNSCORED: Final = Result("unscored")


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
    findings = [*told.findings, *_needed(block, told), *_clock_findings(block, told)]
    result = _result(block, told)
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


def _result(block: Block, told: Told) -> Result:
    scored = block.rules.scored
    if scored == "none":
        return Result("not_scored")
    if scored == "time":
        return _time(block, told)
    if scored in {"load", "volume_load"}:
        return _load(scored, told)
    if scored in {"intervals", "smallest_interval"}:
        return _intervals(block, scored, told)
    rule = block.rules.break_rule
    if told.breaks is None and rule.penalty == "added" and rule.penalty_repetitions:
        return UNSCORED
    unit = _unit(block)
    if block.by_progress:
        return Result("finished", _progress(block, told), "rounds", "higher")
    wanted = ONE_UNIT.get(scored)
    done = sum(
        amount
        for item, amount in zip(block.work, told.counted, strict=False)
        if wanted is None or item.unit == wanted
    )
    value = float(official_amount(rule_codes(block), done, told.breaks or 0))
    return Result("finished", value, UNITS_OF[wanted] if wanted else unit, "higher")


def _progress(block: Block, told: Told) -> float:
    """Rounds and the share of the next one."""
    return progress_of(block, told.counted[: len(block.work)]).value


def _unit(block: Block) -> Unit:
    """The one unit of the work, repetitions where several are added up."""
    units = {item.unit for item in block.work}
    return UNITS_OF[units.pop()] if len(units) == 1 else "repetitions"


def _time(block: Block, told: Told) -> Result:
    if told.done and told.elapsed_s is not None and not _needs_breaks(block, told) and not _over(block, told):
        seconds = official_seconds(rule_codes(block), told.elapsed_s, told.breaks or 0)
        return Result("finished", float(seconds), "s", "lower")
    if not told.done and _at_cap(block, told):
        if block.by_progress:
            return Result("capped", _progress(block, told), "rounds", "higher")
        return Result("capped", sum(told.counted[: len(block.work)]), _unit(block), "higher")
    return UNSCORED


def _load(scored: str, told: Told) -> Result:
    if scored == "load":
        if told.heaviest_kg is None:
            return UNSCORED if told.load_unknown else Result("no_mark")
        return Result("finished", told.heaviest_kg, "kg", "higher")
    if told.volume_load is None:
        return UNSCORED
    return Result("finished", told.volume_load, "kg_repetitions", "higher")


def _intervals(block: Block, scored: str, told: Told) -> Result:
    if scored == "intervals":
        if told.rounds_done is None:
            return UNSCORED
        return Result("finished", float(told.rounds_done), "intervals", "higher")
    if told.smallest_interval is None:
        return UNSCORED
    return Result("finished", told.smallest_interval, _unit(block), "higher")


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


def _needs_breaks(block: Block, told: Told) -> bool:
    """Whether the score waits for a number of breaks that nobody told."""
    rule = block.rules.break_rule
    costs = rule.penalty == "added" and (rule.penalty_s > 0 or rule.penalty_repetitions > 0)
    return told.breaks is None and costs


def _needed(block: Block, told: Told) -> list[Finding]:
    """What score and tie-break need and the report does not tell."""
    rules, found = block.rules, []
    if _needs_breaks(block, told) or (told.breaks is None and rules.tie_break == "fewest_breaks"):
        if told.rests_unknown:
            detail = "Ask for the rests inside the work: how long they were decides what counts as a break."
            found.append(Finding("rests_missing", detail))
        else:
            found.append(Finding("breaks_missing", "Ask for the number of breaks: the score needs it."))
    scored_intervals = rules.scored == "intervals" and told.rounds_done is None
    impossible = any(one.code == "misses_inconsistent" for one in told.findings)
    if told.misses is None and not impossible and (scored_intervals or rules.tie_break == "fewest_misses"):
        found.append(Finding("misses_missing", "Ask how many intervals or attempts were missed."))
    if rules.scored == "smallest_interval" and told.smallest_interval is None:
        found.append(Finding("smallest_interval_missing", "Ask for the amount of the smallest interval."))
    if rules.scored == "load" and told.load_unknown:
        found.append(Finding("load_missing", "Ask for the heaviest load that succeeded."))
    if rules.scored == "volume_load" and told.volume_load is None:
        found.append(Finding("set_log_missing", "Ask for the sets: the score is load times repetitions."))
    split = rules.split if rules.tie_break == "split_time" else None
    if split is not None and told.split_s is None and told.split_done:
        detail = "Ask for the time on the clock when {0} was done: it breaks ties."
        found.append(Finding("split_missing", detail, (split,)))
    return found


def _at_cap(block: Block, told: Told) -> bool:
    cap = block.rules.end.cap_s
    reached = told.elapsed_s is not None and cap is not None and told.elapsed_s >= cap
    return cap is not None and (told.stopped_by_clock or reached)


def _over(block: Block, told: Told) -> bool:
    limit = block.rules.end.limit_s
    return limit is not None and told.elapsed_s is not None and told.elapsed_s > limit


def _clock_findings(block: Block, told: Told) -> list[Finding]:
    """The clock against cap and end; work that is missing although nothing has ended the block."""
    rules, found = block.rules, []
    timed, at_cap, limit = rules.scored == "time", _at_cap(block, told), rules.end.limit_s
    if timed and told.elapsed_s is None and not (at_cap and not told.done):
        found.append(Finding("elapsed_missing", "Ask for the time on the clock at the last repetition."))
    if _over(block, told):
        name = "cap" if rules.end.kind == "work_done" else "end"
        detail = (
            f"The clock is past the {name} of {limit:g} s: ask what was done when the {name} was reached."
        )
        found.append(Finding("over_cap", detail))
    ends_by_work = rules.end.kind == "work_done" and rules.order not in {"intervals", "attempts"}
    # Where an amount is scored, nobody need tell a clock that reached the cap.
    open_end = at_cap or (not timed and told.elapsed_s is None and rules.end.cap_s is not None)
    if ends_by_work and block.total is not None and not told.done and not open_end:
        found.append(missing_finding(block, told.counted, written_amounts(block)))
    return found
