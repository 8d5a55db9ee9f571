"""What in a revision cannot hold together: rules against aim, conditions against each other.

A draft may have contradictions; a published revision may not.
"""

from typing import Final

from programming.calc.reader import Problem
from programming.calc.revision import Block, Condition, RevisionDoc

# No simple body-weight repetition with its full range is faster (common practice, no source): what is written
# or reported beyond it cannot be done.
MAX_REPETITIONS_PER_SECOND: Final = 2.0


def contradictions(doc: RevisionDoc) -> list[Problem]:
    """What cannot hold together: rules against aim, conditions against each other, for any athlete at all."""
    found: list[Problem] = []
    for number, block in enumerate(doc.blocks):
        at = f"/blocks/{number}"
        found += _work_contradictions(block, at)
        if not block.aim.conditions:
            found.append(Problem(f"{at}/aim/conditions", "aim_empty", "Write at least one condition."))
        for index, condition in enumerate(block.aim.conditions):
            found += _window_contradictions(block, condition, f"{at}/aim/conditions/{index}")
        found += _pair_contradictions(block, f"{at}/aim/conditions")
    return found


def _work_contradictions(block: Block, at: str) -> list[Problem]:
    earlier: set[str] = set()
    found: list[Problem] = []
    for index, item in enumerate(block.work):
        if item.movement in earlier:
            # Work items are forecast as if they tired apart from each other, which one movement does not.
            detail = "Write another movement here: the same one twice tires the same muscles."
            found.append(Problem(f"{at}/work/{index}/movement", "same_movement_twice", detail))
        earlier.add(item.movement)
    return found + [
        Problem(
            f"{at}/work/{index}/as_written/variation",
            "as_written_not_allowed",
            "Add the variation as written to `variations`, or write one that is listed.",
        )
        for index, item in enumerate(block.work)
        if item.variations and item.as_written.variation not in item.variations
    ]


def _window_contradictions(block: Block, condition: Condition, at: str) -> list[Problem]:
    lower, upper = condition.lower, condition.upper
    found: list[Problem] = []
    if lower is not None and upper is not None and lower > upper:
        found.append(Problem(at, "window_reversed", "Make the lower bound at most the upper bound."))
    if condition.kind == "time":
        return found + _time_contradictions(block, condition, at)
    item = next(item for item in block.work if item.key == condition.work)
    # A later set that is not the last leaves at least one repetition before it and one after it.
    room = item.repetitions if condition.kind == "first_set" else item.repetitions - 2
    if lower is not None and lower > room:
        found.append(
            Problem(
                f"{at}/lower", "window_above_work", f"Ask for at most {room} here, or write more repetitions."
            )
        )
    return found


def _time_contradictions(block: Block, condition: Condition, at: str) -> list[Problem]:
    found: list[Problem] = []
    cap, shortest = block.rules.end.cap_s, block.repetitions / MAX_REPETITIONS_PER_SECOND
    if cap is not None and condition.lower is not None and condition.lower > cap:
        found.append(
            Problem(
                f"{at}/lower",
                "time_window_above_cap",
                "Lower this bound below the time cap, or raise the cap.",
            )
        )
    if condition.upper is not None and condition.upper < shortest:
        found.append(
            Problem(
                f"{at}/upper", "time_window_too_short", f"Allow at least {shortest:g} s, or write less work."
            )
        )
    return found


def _pair_contradictions(block: Block, at: str) -> list[Problem]:
    found: list[Problem] = []
    for index, one in enumerate(block.aim.conditions):
        for other in block.aim.conditions[:index]:
            if (one.kind, one.work) == (other.kind, other.work) and _apart(one, other):
                detail = "Two windows on the same thing do not meet: keep one of them."
                found.append(Problem(f"{at}/{index}", "windows_disjoint", detail))
            if one.work == other.work and {one.kind, other.kind} == {"first_set", "later_sets"}:
                first, later = (one, other) if one.kind == "first_set" else (other, one)
                if first.upper is not None and later.lower is not None and later.lower > first.upper:
                    detail = "Later sets cannot be longer than the first: lower their floor."
                    found.append(Problem(f"{at}/{index}", "later_sets_above_first", detail))
    return found


def _apart(one: Condition, other: Condition) -> bool:
    lows = [c.lower for c in (one, other) if c.lower is not None]
    highs = [c.upper for c in (one, other) if c.upper is not None]
    return bool(lows and highs) and max(lows) > min(highs)
