"""A second reading of the block rules: it makes up a lawful log and keeps the score while it goes.

Written from what the rules say and not from the project's transition: a sheet of what is owed in each round, a
clock, and a tally. `choose(most)` gives a whole number from 1 to `most`; it decides sizes and rests.
"""

from dataclasses import dataclass, field

from scoring.calc.attempt import SetEntry, SetLog

SECONDS = {"repetitions": 2, "hold_s": 1, "distance_m": 1, "energy_kcal": 3}


@dataclass
class Tally:
    """What the rules make of the log so far."""

    breaks: int = 0
    clock: float = 0.0
    sets: list = field(default_factory=list)
    done: dict = field(default_factory=dict)
    per_round: dict = field(default_factory=dict)
    rounds: int = 0
    misses: int = 0
    best: float | None = None
    volume: float = 0.0
    split: float | None = None
    finished: bool = False


def factors(block, most):
    """The factor of each round, as far as `most` rounds."""
    rules = block.rules
    ladder = [1.0] if rules.ladder is None else list(rules.ladder.amounts)
    repeats = most if rules.repeats is None else min(rules.repeats, most)
    step = 0.0 if rules.ladder is None else rules.ladder.then_step or 0.0
    while len(ladder) < repeats:
        ladder.append(ladder[-1] + step)
    return ladder[:repeats]


def lawful(block, choose, most_rounds=40):
    """(log, tally) of a log that follows every rule of the block."""
    tally = Tally(done={item.key: 0.0 for item in block.items})
    rules, limit = block.rules, block.rules.end.limit_s or 1e9
    for number, factor in enumerate(factors(block, most_rounds)):
        items = list(block.work)
        if rules.intervals is not None and rules.intervals.in_turn:
            items = [items[number % len(items)]]
        owed = {item.key: None if item.amount is None else item.amount * factor for item in items}
        tally.per_round[number] = 0.0
        go_on = {"intervals": _interval, "attempts": _attempt}.get(rules.order, _round)
        if not go_on(block, items, owed, number, limit, choose, tally):
            break
    else:
        tally.finished = True
    if rules.order == "intervals":  # whoever has done the work waits for the clock
        return SetLog(tuple(tally.sets), None), tally
    return SetLog(tuple(tally.sets), tally.clock if tally.finished else min(limit, 1e8)), tally


def _append(block, item, amount, rest, ended, tally, number, interval=None):
    """Write a set down; the clock moves on."""
    duration = amount * SECONDS[item.unit]
    tally.sets.append(
        SetEntry(item.key, amount, ended, rest, duration, load_kg=item.as_written.load_kg, unit=item.unit,
                 interval=interval)
    )  # fmt: skip
    tally.clock += rest + duration
    tally.done[item.key] += amount
    if item in block.work:
        tally.per_round[number] += amount
        if item.unit == "repetitions":
            tally.volume += (item.as_written.load_kg or 0.0) * amount


def _round(block, items, owed, number, limit, choose, tally):
    """One round, in sequence or by swapping; False when the clock has ended it all."""
    rule, swap = block.rules.break_rule, block.rules.order == "swap_on_break"
    broke, mine = False, 0
    started = set()
    while any(owed.values()):
        item = items[mine]
        rest = choose(30) - 1
        if not tally.sets:
            rest = 0
        if tally.sets and number > 0 and not started:
            rest += block.rules.rest_between_s
        if broke and rule.penalty == "served_rest":
            rest = max(rest, rule.penalty_s)
        long_rest = item.key in started and rule.counts == "rest_longer_than" and rest > rule.rest_over_s
        amount = choose(int(owed[item.key]))
        fits = int((limit - tally.clock - rest) // SECONDS[item.unit])
        if fits < 1:
            return False
        cut = fits < amount
        amount = min(amount, fits)
        left = owed[item.key] - amount
        refused = not cut and choose(4) == 1
        _append(
            block, item, amount, rest, "clock" if cut else "no_rep" if refused else "planned", tally, number
        )
        owed[item.key] = left
        started.add(item.key)
        broke = (
            long_rest
            or (rule.counts == "set_ended_early" and left > 0 and not cut)
            or (rule.counts == "no_rep" and refused)
        )
        tally.breaks += broke
        if left == 0 and block.rules.split == item.key:
            tally.split = tally.clock
        if not any(owed.values()):
            tally.rounds += 1
        if cut:
            return False
        last = not any(owed.values()) and number + 1 == (block.rules.repeats or 1 << 30)
        if broke and rule.penalty == "served_work" and not _serve(block, limit, choose, tally, number):
            if last:
                tally.finished = True
            return False
        if left == 0 or (swap and broke):
            others = [(mine + 1 + k) % len(items) for k in range(len(items) - 1)]
            mine = next((k for k in others if owed[items[k].key]), mine)
    return True


def _serve(block, limit, choose, tally, number):
    """The penalty work in one or two sets; False when the clock comes first."""
    work = block.rules.break_rule.penalty_work
    left = work.amount
    while left:
        amount = choose(int(left))
        rest = choose(10)
        if tally.clock + rest + amount * SECONDS[work.unit] > limit:
            return False
        _append(block, work, amount, rest, "planned", tally, number)
        left -= amount
    return True


def _attempt(block, items, owed, number, limit, choose, tally):
    """One attempt: all of it, or a failure, or refused by the judge."""
    item, fate = items[0], choose(3)
    asked = int(owed[item.key])
    amount = asked if fate > 1 else asked - 1
    ended = ("failure", "no_rep", "planned")[fate - 1]
    _append(block, item, amount, choose(60), ended, tally, number)
    if fate == 3:
        tally.rounds += 1
        tally.best = max(tally.best or 0.0, item.as_written.load_kg or 0.0)
    else:
        tally.misses += 1
    tally.breaks += fate == 2 and block.rules.break_rule.counts == "no_rep"
    return True


def _interval(block, items, owed, number, limit, choose, tally):
    """One interval: each item in one set, all of it or less; False when it was the last one."""
    every = block.rules.intervals.every_s
    if (number + 1) * every > limit:
        return False
    begin, missed = number * every, False
    for item in items:
        wanted = owed[item.key]
        amount = choose(12) if wanted is None else int(wanted)
        short = wanted is not None and choose(4) == 1
        if short:
            amount -= choose(amount)
        rest = max(begin - tally.clock, 0)
        _append(block, item, amount, rest, "failure" if short else "planned", tally, number, number + 1)
        missed = missed or short
        if short:
            break
    tally.clock = max(tally.clock, begin)
    tally.misses += missed
    tally.rounds += not missed
    tally.breaks += missed and block.rules.break_rule.counts == "missed_interval"
    return not (missed and block.rules.end.kind == "first_miss")
