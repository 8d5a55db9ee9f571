"""What in a revision cannot hold together: rules and aim, each in itself and against one another.

A draft may have contradictions; a published revision may not.
"""

from math import inf
from typing import Final

from programming.calc.contradiction_rules import (
    MAX_REPETITIONS_PER_SECOND,
    fastest_s,
    rule_contradictions,
    shortest_s,
)
from programming.calc.extent import MOST_SETS, sets_asked_for
from programming.calc.reader import Problem
from programming.calc.revision import Block, Condition, RevisionDoc, WorkItem

__all__ = ["MAX_REPETITIONS_PER_SECOND", "contradictions"]

# Sets of twelve and more train endurance, of six and fewer strength (NSCA, Essentials of Strength Training and
# Conditioning; from memory).
ENDURANCE_FROM: Final = 12


def contradictions(doc: RevisionDoc) -> list[Problem]:
    """What cannot hold together, for any athlete at all."""
    found: list[Problem] = []
    for number, block in enumerate(doc.blocks):
        at = f"/blocks/{number}"
        found += rule_contradictions(block, at)
        if not block.aim.conditions and block.rules.scored != "none" and not _is_for_maximum(block):
            found.append(Problem(f"{at}/aim/conditions", "aim_empty", "Write at least one condition."))
        for index, condition in enumerate(block.aim.conditions):
            found += _window_contradictions(block, condition, f"{at}/aim/conditions/{index}")
        found += _pair_contradictions(block, f"{at}/aim/conditions")
    return [*found, *_too_much(doc), *_overall_contradictions(doc)]


def _is_for_maximum(block: Block) -> bool:
    """Whether the heaviest lift is what the block is for: no window says more, and its loads are a coach's choice."""
    return block.rules.order == "attempts" and block.rules.scored == "load"


def _too_much(doc: RevisionDoc) -> list[Problem]:
    """A session of more sets than anybody does; every one of them would be worked out a thousand times."""
    endless = {
        number for number, block in enumerate(doc.blocks)
        if any(one.code == "never_ends" for one in rule_contradictions(block, ""))
    }  # fmt: skip
    asked = [sets_asked_for(block) for number, block in enumerate(doc.blocks) if number not in endless]
    if sum(asked) <= MOST_SETS:
        return []
    detail = f"Nobody does more than {MOST_SETS} sets: write fewer rounds, items or blocks, or less time."
    return [Problem("/blocks", "too_many_sets", detail)]


def _overall_contradictions(doc: RevisionDoc) -> list[Problem]:
    scored = {block.key for block in doc.blocks if block.rules.scored != "none"}
    found = []
    if doc.overall.block is not None and doc.overall.block not in scored:
        found.append(Problem("/overall/block", "not_scored", "Name a block that is scored."))
    found += [
        Problem(f"/overall/tables/{key}", "not_scored", "This block is not scored: remove its table.")
        for key, _ in doc.overall.tables
        if key not in scored
    ]
    return found


def _window_contradictions(block: Block, condition: Condition, at: str) -> list[Problem]:
    lower, upper = condition.lower, condition.upper
    found: list[Problem] = []
    if lower is not None and upper is not None and lower > upper:
        found.append(Problem(at, "window_reversed", "Make the lower bound at most the upper bound."))
    if condition.kind == "time":
        return found + _time_contradictions(block, condition, at)
    if condition.kind == "score":
        return found + _score_contradictions(block, condition, at)
    if condition.kind not in {"first_set", "later_sets"}:
        return found
    item = next(item for item in block.work if item.key == condition.work)
    if condition.kind == "first_set" and block.rules.repeats != 1:
        return found  # five repetitions with three in reserve, round after round, is a window on eight
    # A later set that is not the last leaves at least one repetition before it and one after it.
    room = _room(block, item) - (2 if condition.kind == "later_sets" else 0)
    if lower is not None and lower > room:
        detail = f"Ask for at most {room:g} here, or write more work."
        found.append(Problem(f"{at}/lower", "window_above_work", detail))
    return found


def _room(block: Block, item: WorkItem) -> float:
    """The most of an item that one round asks for; infinity where it is open."""
    if item.amount is None or (block.rules.ladder is not None and block.rules.ladder.then_step):
        return inf
    rungs = (1.0,) if block.rules.ladder is None else block.rules.ladder.amounts
    return item.amount * max(rungs)


def _time_contradictions(block: Block, condition: Condition, at: str) -> list[Problem]:
    found: list[Problem] = []
    if block.rules.end.kind == "fixed_time" or block.rules.intervals is not None:
        detail = "The clock decides how long this lasts: ask for a score instead of a time."
        return [Problem(at, "time_is_fixed", detail)]
    cap, shortest = block.rules.end.cap_s, shortest_s(block)
    if cap is not None and condition.lower is not None and condition.lower > cap:
        detail = "Lower this bound below the time cap, or raise the cap."
        found.append(Problem(f"{at}/lower", "time_window_above_cap", detail))
    if condition.upper is not None and condition.upper < shortest:
        detail = f"Allow at least {shortest:g} s, or write less work."
        found.append(Problem(f"{at}/upper", "time_window_too_short", detail))
    return found


def _score_contradictions(block: Block, condition: Condition, at: str) -> list[Problem]:
    if block.rules.scored in {"time", "none"}:
        detail = "Ask for a time." if block.rules.scored == "time" else "Nothing is scored here."
        return [Problem(at, "score_not_an_amount", detail)]
    return _too_many_rounds(block, condition, at) if block.by_progress else []


def _too_many_rounds(block: Block, condition: Condition, at: str) -> list[Problem]:
    """A window of an amount, where the score is told in rounds."""
    limit, shortest = block.rules.end.limit_s, sum(fastest_s(item) for item in block.work)
    if limit is None or block.rules.ladder is not None or condition.lower is None:
        return []
    if condition.lower * shortest <= limit:
        return []
    detail = (
        f"Units do not add up here: the score is in rounds, and nobody does more than {limit / shortest:.1f} in"
        f" {limit:g} s."
    )
    return [Problem(f"{at}/lower", "too_many_rounds", detail)]


def _pair_contradictions(block: Block, at: str) -> list[Problem]:
    found: list[Problem] = []
    for index, one in enumerate(block.aim.conditions):
        for other in block.aim.conditions[:index]:
            found += _pair(one, other, f"{at}/{index}")
    return found


def _pair(one: Condition, other: Condition, at: str) -> list[Problem]:
    kinds = {one.kind, other.kind}
    if kinds == {"stopped_by"} and one.by != other.by:
        return [Problem(at, "stoppers_disjoint", "One thing stops an athlete first: keep one of them.")]
    if kinds == {"stopped_by", "first_set"}:
        stopper, window = (one, other) if one.kind == "stopped_by" else (other, one)
        if stopper.by == "strength" and window.lower is not None and window.lower >= ENDURANCE_FROM:
            detail = f"Sets from {ENDURANCE_FROM} on are ended by the muscle's endurance, not by strength."
            return [Problem(at, "strength_needs_short_sets", detail)]
    if (one.kind, one.work) == (other.kind, other.work) and _apart(one, other):
        return [
            Problem(at, "windows_disjoint", "Two windows on the same thing do not meet: keep one of them.")
        ]
    if one.work == other.work and kinds == {"first_set", "later_sets"}:
        first, later = (one, other) if one.kind == "first_set" else (other, one)
        if first.upper is not None and later.lower is not None and later.lower > first.upper:
            detail = "Later sets cannot be longer than the first: lower their floor."
            return [Problem(at, "later_sets_above_first", detail)]
    return []


def _apart(one: Condition, other: Condition) -> bool:
    lows = [c.lower for c in (one, other) if c.lower is not None]
    highs = [c.upper for c in (one, other) if c.upper is not None]
    return bool(lows and highs) and max(lows) > min(highs)
