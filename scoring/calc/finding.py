"""What in the report of an attempt does not add up: each finding is a code and what the reviewer may ask.

A finding never changes what was stored. ``scoring.calc.replay`` notes what does not follow the rules, and
``scoring.calc.score`` decides what can be scored nevertheless.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.contradiction_rules import FASTEST
from programming.calc.revision import REPETITIONS, Block
from programming.calc.units import NAMES
from scoring.calc.attempt import SetEntry, SetLog

IMPLAUSIBLE: Final = "implausible_performance"
# Times are noted to whole seconds, by people: each set may be off by a second at either end.
ROUNDING_S: Final = 1.0
CODES: Final = frozenset({
    "after_the_end", "before_the_session", "body_mass_missing", "breaks_inconsistent", "breaks_missing",
    "elapsed_missing", "ended_by_pain", "implausible_performance", "impossible_speed", "intervals_unnamed",
    "load_inconsistent", "load_missing", "long_after_session", "long_before_session", "misses_inconsistent",
    "misses_missing", "missing_intervals", "missing_repetitions", "missing_work", "no_swap", "over_cap",
    "past_interval_end", "penalty_not_owed", "penalty_not_served", "reserve_at_failure", "rest_between_too_short",
    "rests_exceed_elapsed", "rests_missing", "session_cancelled", "set_log_missing",
    "smallest_interval_inconsistent", "smallest_interval_missing", "split_after_end", "split_missing",
    "too_many_repetitions", "too_many_rounds", "too_much_work", "unknown_work", "wrong_interval", "wrong_order",
    "wrong_round", "wrong_start",
})  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """One thing that does not add up. Raises ValueError for a code that nobody could filter by.

    works: keys of the work that it is about; {0} in the text stands for the first of them.
    """

    code: str
    text: str
    works: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"{self.code!r} is not listed among the codes of findings")

    @property
    def detail(self) -> str:
        """The sentence, work called by its key."""
        return self.said({})

    def to_json(self) -> dict[str, str]:
        """As a review keeps it."""
        return {"code": self.code, "detail": self.detail}

    def said(self, names: Mapping[str, str]) -> str:
        """The sentence, work called by its name (by work key), by its key where it has none."""
        return self.text.format(*(names.get(key, key) for key in self.works)) if self.works else self.text


def unknown_findings(block: Block, reported: Sequence[str]) -> list[Finding]:
    """Work that the block does not have."""
    unknown = sorted({work for work in reported if block.index_of(work) is None})
    if not unknown:
        return []
    listed = ", ".join(f"{{{number}}}" for number in range(len(unknown)))
    return [Finding("unknown_work", f"The block has no work {listed}: ask what was meant.", tuple(unknown))]


def excess_findings(
    block: Block, counted: Sequence[float], excess: Sequence[float], written: Sequence[float]
) -> list[Finding]:
    """More of an item than there is to do; counted, excess, written (M,)."""
    found = []
    for item, done, more, most in zip(block.items, counted, excess, written, strict=False):
        if more > 1e-9:
            # Of the athlete's own amounts too, so nothing is said of what was written.
            detail = f"{done + more:g} {NAMES[item.unit]} of {{0}} are reported, {most:g} were to be done."
            code = "too_many_repetitions" if item.unit == REPETITIONS else "too_much_work"
            found.append(Finding(code, detail, (item.key,)))
    return found


def missing_finding(block: Block, counted: Sequence[float], written: Sequence[float]) -> Finding:
    """Work that was not done although nothing is known to have ended the block."""
    lacking = [
        (item, f"{most - done:g}" if item.unit == REPETITIONS else f"{most - done:g} {NAMES[item.unit]}")
        for item, done, most in zip(block.work, counted, written, strict=False)
        if done < most - 1e-9
    ]
    missing = ", ".join(f"{amount} of {{{number}}}" for number, (_, amount) in enumerate(lacking))
    only = all(item.unit == REPETITIONS for item in block.work)
    what, code = ("repetitions", "missing_repetitions") if only else ("work", "missing_work")
    detail = f"Ask for the missing {what} ({missing}) or whether the athlete stopped."
    return Finding(code, detail, tuple(item.key for item, _ in lacking))


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


def speed_findings(
    sets: Sequence[SetEntry], elapsed_s: float | None, counted: Sequence[tuple[str, float]]
) -> list[Finding]:
    """More work than anyone can do in the time; counted: (unit, amount); one finding for the whole attempt."""
    for number, entry in enumerate(sets, start=1):
        if entry.duration_s is not None and _too_fast([(entry.unit, entry.amount)], entry.duration_s):
            done = f"{entry.amount:g} {NAMES[entry.unit]}"
            detail = f"Set {number}: {done} in {entry.duration_s:g} s; ask for the count."
            return [Finding("impossible_speed", detail)]
    if elapsed_s is None:
        return []
    working = elapsed_s - sum(entry.rest_before_s or 0.0 for entry in sets)
    if working >= 0 and _too_fast(counted, working):
        done = ", ".join(f"{amount:g} {NAMES[unit]}" for unit, amount in counted if amount)
        detail = f"{done} in {working:g} s of work; ask for the time and the count."
        return [Finding("impossible_speed", detail)]
    return []


def _too_fast(counted: Sequence[tuple[str, float]], seconds: float) -> bool:
    return sum(amount / FASTEST[unit] for unit, amount in counted) > seconds + ROUNDING_S


def breaks_findings(
    block: Block, breaks: int | None, counted: Sequence[float], written: Sequence[float]
) -> list[Finding]:
    """A number of breaks that cannot belong to these amounts, where a set that ended early, or a long rest, is one.

    A set does at least one repetition, and the set that completes an item is no break, nor is the rest before an
    item: of one round at most (repetitions - completed items) breaks. Two items begun and unfinished in one round
    need at least one break, for the athlete has left one of them.
    """
    counts = block.rules.break_rule.counts
    if breaks is None or counts not in {"set_ended_early", "rest_longer_than"}:
        return []
    if any(item.unit != REPETITIONS for item in block.work):
        return []
    pairs = [(done, most) for done, most, _ in zip(counted, written, block.work, strict=False)]
    single = block.rules.repeats == 1
    completed = sum(done >= most for done, most in pairs) if single else 0
    begun = sum(0 < done < most for done, most in pairs)
    total = sum(done for done, _ in pairs)
    least = max(0, begun - 1) if single and counts == "set_ended_early" else 0
    most_breaks = max(total - completed, 0)
    if least <= breaks <= most_breaks:
        return []
    detail = (
        f"{breaks} breaks do not fit {total:g} repetitions ({least} to {most_breaks:g} would): ask again."
    )
    return [Finding("breaks_inconsistent", detail)]


def reserve_findings(sets: Sequence[SetEntry]) -> tuple[Finding, ...]:
    """Sets that ended by failure with something left: one of the two is wrong, and nobody else can say which."""
    both = [str(number) for number, one in enumerate(sets, 1) if one.ended_by == "failure" and one.rir]
    if not both:
        return ()
    detail = (
        f"Set {', '.join(both)} ended by failure, and yet with repetitions left: ask which of the two it was. It"
        " counts as failure."
    )
    return (Finding("reserve_at_failure", detail),)


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
