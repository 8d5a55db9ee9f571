"""What a report leaves open: what score and tie-break need and nobody told, and what the clock contradicts."""

from programming.calc.revision import Block
from scoring.calc.finding import Finding, missing_finding
from scoring.calc.rounds import written_amounts
from scoring.calc.told import Told


def needs_breaks(block: Block, told: Told) -> bool:
    """Whether the score waits for a number of breaks that nobody told."""
    rule = block.rules.break_rule
    costs = rule.penalty == "added" and (rule.penalty_s > 0 or rule.penalty_repetitions > 0)
    return told.breaks is None and costs


def needed(block: Block, told: Told) -> list[Finding]:
    """What score and tie-break need and the report does not tell."""
    rules, found = block.rules, []
    if needs_breaks(block, told) or (told.breaks is None and rules.tie_break == "fewest_breaks"):
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


def is_at_cap(block: Block, told: Told) -> bool:
    """Whether the cap [s] ended the work, by the clock or by what is told of the last set."""
    cap = block.rules.end.cap_s
    reached = told.elapsed_s is not None and cap is not None and told.elapsed_s >= cap
    return cap is not None and (told.stopped_by_clock or reached)


def is_over(block: Block, told: Told) -> bool:
    """Whether the clock [s] is past the cap or the end of the block."""
    limit = block.rules.end.limit_s
    return limit is not None and told.elapsed_s is not None and told.elapsed_s > limit


def clock_findings(block: Block, told: Told) -> list[Finding]:
    """The clock against cap and end; work that is missing although nothing has ended the block."""
    rules, found = block.rules, []
    timed, at_cap, limit = rules.scored == "time", is_at_cap(block, told), rules.end.limit_s
    if timed and told.elapsed_s is None and not (at_cap and not told.done):
        found.append(Finding("elapsed_missing", "Ask for the time on the clock at the last repetition."))
    if is_over(block, told):
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
