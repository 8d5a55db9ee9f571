"""What in the rules of a block cannot hold together, whoever the athlete is; also rules that never end."""

from typing import Final

from programming.calc.reader import Problem, child
from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, Block, WorkItem

# Nobody is faster (common practice, no source): what is written or reported beyond it cannot be done.
MAX_REPETITIONS_PER_SECOND: Final = 2.0
MAX_METRES_PER_SECOND: Final = 12.0
MAX_KILOCALORIES_PER_SECOND: Final = 2.0
FASTEST: Final = {
    REPETITIONS: MAX_REPETITIONS_PER_SECOND, DISTANCE: MAX_METRES_PER_SECOND,
    ENERGY: MAX_KILOCALORIES_PER_SECOND, HOLD: 1.0,
}  # fmt: skip
# The unit that each score is made of; a score of several units has none.
UNIT_OF_SCORE: Final = {"distance": DISTANCE, "energy": ENERGY, "held_time": HOLD}
AMOUNTS: Final = frozenset({"repetitions", "rounds", "distance", "energy", "held_time"})


def rule_contradictions(block: Block, at: str) -> list[Problem]:
    """Order, break rule, end, score and tie-break of a block against one another and against the work."""
    rules = child(at, "rules")
    return [
        *_work(block, at),
        *_order(block, rules),
        *_open_work(block, child(at, "work")),
        *_breaks(block, child(rules, "break")),
        *_end(block, child(rules, "end")),
        *_scored(block, rules),
        *_tie_break(block, rules),
    ]


def shortest_s(block: Block) -> float:
    """Seconds below which nobody does the work of the block; of an open end what each round has at least."""
    repeats = block.rules.repeats or 1
    total = block.total
    each = sum(fastest_s(item) for item in block.work)
    fixed = sum(item.amount or 0.0 for item in block.work)
    share = repeats if total is None or not fixed else total / fixed
    return each * share + block.rules.rest_between_s * (repeats - 1)


def fastest_s(item: WorkItem) -> float:
    """Seconds below which nobody does this work once; 0 for open work."""
    return (item.amount or 0.0) / FASTEST[item.unit]


def _work(block: Block, at: str) -> list[Problem]:
    found = []
    placed = [(child(at, "work", index), item) for index, item in enumerate(block.work)]
    if block.rules.break_rule.penalty_work is not None:
        placed.append((child(at, "rules", "break", "penalty_work"), block.rules.break_rule.penalty_work))
    for pointer, item in placed:
        if item.variations and item.as_written.variation not in item.variations:
            detail = "Add the variation as written to `variations`, or write one that is listed."
            found.append(Problem(child(pointer, "as_written", "variation"), "as_written_not_allowed", detail))
    if block.rules.order == "swap_on_break":
        earlier: set[str] = set()
        for pointer, item in placed[: len(block.work)]:
            if item.movement in earlier:
                detail = "Write another movement here: the same one twice tires the same muscles."
                found.append(Problem(child(pointer, "movement"), "same_movement_twice", detail))
            earlier.add(item.movement)
    return found


def _order(block: Block, at: str) -> list[Problem]:
    rules, found = block.rules, []
    if rules.order == "swap_on_break" and len(block.work) < 2:
        found.append(Problem(f"{at}/order", "too_few_items", "Write two work items or more to swap between."))
    if rules.order == "swap_on_break" and rules.break_rule.counts != "set_ended_early":
        detail = "Let set_ended_early count as a break: the swap follows it."
        found.append(Problem(f"{at}/break/counts", "swap_needs_breaks", detail))
    if rules.intervals is not None:
        found += _intervals(block, f"{at}/intervals")
    return found


def _open_work(block: Block, at: str) -> list[Problem]:
    """Open work ends with the clock only: what is written after it waits for ever, unless breaks or turns lead on."""
    rules = block.rules
    if rules.order == "swap_on_break" or (rules.intervals is not None and rules.intervals.in_turn):
        return []
    detail = "Put open work last: nothing after it would ever begin."
    return [
        Problem(f"{at}/{index}", "open_amount_not_last", detail)
        for index, item in enumerate(block.work[:-1])
        if item.amount is None
    ]


def _intervals(block: Block, at: str) -> list[Problem]:
    intervals, found = block.rules.intervals, []
    assert intervals is not None
    work_s = intervals.every_s if intervals.work_s is None else intervals.work_s
    if work_s > intervals.every_s:
        found.append(
            Problem(child(at, "work_s"), "work_beyond_interval", "Work ends before the next interval.")
        )
    if block.rules.rest_between_s:
        detail = "Remove `rest_between_s`: an interval's rest is what is left of it."
        found.append(Problem(at.replace("/intervals", "/rest_between_s"), "rest_in_intervals", detail))
    needed = [fastest_s(item) for item in block.work]
    least = max(needed) if intervals.in_turn else sum(needed)
    if block.rules.ladder is not None:
        amounts = block.rules.ladder.amounts
        # Where the first miss ends the block nobody comes to a rung behind one that cannot be done.
        least *= amounts[0] if block.rules.end.kind == "first_miss" else min(amounts)
    if least > work_s:
        detail = f"Allow at least {least:g} s for the work of an interval, or write less work."
        found.append(Problem(child(at, "every_s"), "interval_too_short", detail))
    return found


def _breaks(block: Block, at: str) -> list[Problem]:
    rule, scored, found = block.rules.break_rule, block.rules.scored, []
    costs = rule.penalty_s > 0 or rule.penalty_repetitions > 0 or rule.penalty_work is not None
    if rule.counts == "none" and costs:
        found.append(Problem(f"{at}/counts", "penalty_without_breaks", "Say what counts as a break."))
    if rule.counts == "rest_longer_than" and rule.rest_over_s is None:
        found.append(Problem(f"{at}/rest_over_s", "missing_field", "Say how long a rest may be."))
    if rule.counts == "missed_interval" and block.rules.intervals is None:
        found.append(
            Problem(f"{at}/counts", "no_intervals", "Only the order intervals has intervals to miss.")
        )
    if rule.counts == "missed_interval" and rule.penalty == "served_work":
        detail = "The next interval has begun: take repetitions off instead, or let rest be served."
        found.append(Problem(f"{at}/penalty", "no_time_for_penalty_work", detail))
    if rule.penalty == "served_work" and rule.penalty_work is None:
        found.append(Problem(f"{at}/penalty_work", "missing_field", "Write the work that a break costs."))
    if rule.penalty != "served_work" and rule.penalty_work is not None:
        detail = "Let the penalty be served_work, or remove the penalty work."
        found.append(Problem(f"{at}/penalty_work", "penalty_not_served", detail))
    if rule.penalty_work is not None and rule.penalty_work.amount is None:
        found.append(Problem(f"{at}/penalty_work", "never_ends", "Give the penalty work an amount."))
    if rule.penalty == "served_rest" and not rule.penalty_s:
        found.append(Problem(f"{at}/penalty_s", "missing_field", "Say how long the rest is."))
    return found + _penalty_of_score(block, at, scored)


def _penalty_of_score(block: Block, at: str, scored: str) -> list[Problem]:
    rule, found = block.rules.break_rule, []
    if rule.penalty == "added" and rule.penalty_s and scored != "time":
        detail = "Seconds add to a time only: use penalty_repetitions, or let the penalty be served."
        found.append(Problem(f"{at}/penalty_s", "seconds_added_to_amount", detail))
    if rule.penalty_repetitions and (rule.penalty != "added" or scored not in AMOUNTS or block.by_progress):
        detail = (
            "Repetitions can be taken off where an amount of one unit is scored and the penalty is added."
        )
        found.append(Problem(f"{at}/penalty_repetitions", "repetitions_off_no_amount", detail))
    again = rule.counts == "rest_longer_than" and rule.penalty == "served_rest"
    if again and rule.rest_over_s is not None and rule.penalty_s > rule.rest_over_s:
        detail = "The rest that is served would itself be a break: allow a longer rest or make it shorter."
        found.append(Problem(f"{at}/penalty_s", "never_ends", detail))
    return found


def _end(block: Block, at: str) -> list[Problem]:
    rules, found = block.rules, []
    if rules.end.kind == "first_miss" and rules.intervals is None:
        found.append(Problem(f"{at}/kind", "miss_without_intervals", "Only an interval can be missed."))
    if _never_ends(block):
        detail = "This never ends: give it a number of rounds, a time cap, or a fixed time."
        found.append(Problem(at, "never_ends", detail))
    limit, shortest = rules.end.limit_s, shortest_s(block)
    if rules.end.kind == "work_done" and limit is not None and rules.intervals is None and limit < shortest:
        detail = f"Nobody does this in {limit:g} s: allow {shortest:g} s, or write less work."
        found.append(Problem(f"{at}/cap_s", "cap_too_short", detail))
    return found


def _never_ends(block: Block) -> bool:
    rules = block.rules
    if rules.end.limit_s is not None or rules.end.kind == "fixed_time":
        return False
    if rules.intervals is not None:  # the clock ends an interval, whatever its work
        fixed = any(item.amount is not None for item in block.work)
        growing = rules.ladder is not None and rules.ladder.then_step is not None and fixed
        return rules.repeats is None and not (rules.end.kind == "first_miss" and growing)
    return rules.repeats is None or any(item.amount is None for item in block.work)


def _scored(block: Block, at: str) -> list[Problem]:
    rules, found, at = block.rules, [], f"{at}/scored"
    if rules.scored == "time" and (block.total is None or rules.end.kind == "fixed_time"):
        found.append(Problem(at, "time_of_open_work", "Score an amount: the time is the same for everyone."))
    if rules.scored == "time" and rules.intervals is not None:
        found.append(
            Problem(at, "time_of_intervals", "Score an amount or intervals: these begin by the clock.")
        )
    if rules.scored in {"intervals", "smallest_interval"} and rules.intervals is None:
        found.append(Problem(at, "no_intervals", "Only the order intervals has intervals to score."))
    unit = UNIT_OF_SCORE.get(rules.scored)
    if unit is not None and all(item.unit != unit for item in block.work):
        found.append(Problem(at, "nothing_to_score", f"No work is counted in {unit}."))
    found += _mixed_units(block, at)
    if rules.scored in AMOUNTS and block.total is not None and rules.end.limit_s is None:
        detail = "Everybody does this amount: score the time, or end the block by a time."
        found.append(Problem(at, "amount_of_fixed_work", detail))
    return found


def _mixed_units(block: Block, at: str) -> list[Problem]:
    """Amounts that do not add up: only whole rounds and the share of the next one compare them."""
    units, rules = {item.unit for item in block.work}, block.rules
    if len(units) < 2:
        return []
    if rules.scored in {"repetitions", "smallest_interval"}:
        detail = "Seconds, metres and kilocalories do not add to repetitions: score rounds, or one unit."
        return [Problem(at, "mixed_units", detail)]
    if rules.scored == "rounds" and not block.by_progress:
        detail = (
            "Rounds of work of several units need an amount of each, and no clock for each round: score one unit, or"
            " the intervals done."
        )
        return [Problem(at, "mixed_units", detail)]
    return []


def _tie_break(block: Block, at: str) -> list[Problem]:
    rules, found = block.rules, []
    if rules.tie_break == "fewest_breaks" and rules.break_rule.counts == "none":
        found.append(Problem(f"{at}/tie_break", "no_breaks_counted", "Say what counts as a break."))
    if rules.tie_break == "fewest_misses" and rules.order not in {"intervals", "attempts"}:
        found.append(
            Problem(f"{at}/tie_break", "nothing_to_miss", "Only intervals and attempts can be missed.")
        )
    if rules.tie_break == "split_time" and rules.split is None:
        found.append(Problem(f"{at}/split", "missing_field", "Name the work item whose completion counts."))
    if rules.split is not None and rules.split not in {item.key for item in block.work}:
        found.append(Problem(f"{at}/split", "unknown_work", "Name a work item of the block."))
    return found
