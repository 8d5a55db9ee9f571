"""A log while it is played: what has counted so far, and where its clock stands in the intervals."""

from math import floor

import numpy as np

from programming.calc.revision import Block
from programming.calc.rule_codes import INTERVALS, NO_ITEM, OPEN, rule_codes, work_of
from programming.calc.stepper import EPSILON, deadline, expire, start
from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.finding import ROUNDING_S, Finding
from scoring.calc.played import Replay
from scoring.calc.replay_notes import past_the_end
from scoring.calc.rounds import MOST_ROUNDS


class Clocked:
    """The state of a log being played (see `scoring.calc.replay`), and what the clock makes of it."""

    def __init__(self, block: Block, log: SetLog, clock_breaks: bool) -> None:
        self.block, self.clock_breaks = block, clock_breaks
        self.codes, self.work = rule_codes(block), work_of(block)
        self.remaining = np.zeros(len(block.items))
        self.place = start(self.codes, self.work, self.remaining)
        self.entries = [entry for entry in log.sets if block.index_of(entry.work) is not None]
        self.replay = Replay(counted=[0.0] * len(block.items), excess=[0.0] * len(block.items))
        self.clock: float | None = 0.0
        self.elapsed_s = log.elapsed_s
        self.last_item, self.last_round, self.broke = NO_ITEM, 0, False
        self.rest_owed_from: float | None = None
        self.main_keys = {item.key for item in block.work}
        self.keys = [item.key for item in block.items]
        self.by_turns = self._one_set_each()

    def note(self, finding: Finding) -> None:
        """One finding of a kind is enough: it makes somebody ask, and the log shows the rest."""
        if all(found.code != finding.code for found in self.replay.findings):
            self.replay.findings.append(finding)

    def _start_of(self, number: int, entry: SetEntry) -> float | None:
        rest = entry.rest_before_s if number > 1 or entry.rest_before_s is not None else 0.0
        return None if self.clock is None or rest is None else self.clock + rest

    def _one_set_each(self) -> bool:
        """Whether the log has exactly one set of each item in each interval, so that order tells the interval."""
        if self.codes.order != INTERVALS or self.codes.repeats == OPEN:
            return False
        each = 1 if self.codes.in_turn else self.codes.items
        return sum(entry.work in self.main_keys for entry in self.entries) == each * self.codes.repeats

    def _reach_interval(self, number: int, entry: SetEntry, started_s: float | None) -> bool:
        """Let pass the intervals before that of a set; False when that one is over already."""
        if self.codes.order != INTERVALS:
            return True
        if self.by_turns and entry.interval is None:
            each = 1 if self.codes.in_turn else self.codes.items
            wanted = sum(one.entry.work in self.main_keys for one in self.replay.sets) // each
        elif entry.interval is not None:
            wanted = entry.interval - 1
        elif started_s is not None:
            wanted = self._interval_at(started_s, self._slack(number))
        else:
            wanted = self._guessed_interval()
        wanted = min(wanted, MOST_ROUNDS)
        while self.place.round < wanted and self.place.item != NO_ITEM:
            self._expire()
        if wanted >= self.place.round:
            return True
        detail = f"Set {number} is of interval {wanted + 1}, whose work was done or missed by then."
        self.note(Finding("wrong_interval", detail))
        return False

    def _slack(self, number: int) -> float:
        """Seconds by which the added-up clock may be off at a set: a second for each time noted before it."""
        return min(ROUNDING_S * (number + 1), self.codes.interval_s / 4)

    def _interval_at(self, clock_s: float, slack: float) -> int:
        """By the clock; when all that came before is done, a start just before the next interval is of that."""
        now = floor((clock_s + EPSILON) / self.codes.interval_s)
        next_ = self.place.round
        return next_ if now < next_ and clock_s + slack >= next_ * self.codes.interval_s else now

    def _check_end(self, number: int, entry: SetEntry, ended_s: float | None) -> None:
        """Work that goes on when its interval, or the work of it, is over."""
        if self.codes.order != INTERVALS or ended_s is None or self.place.item == NO_ITEM:
            return
        beyond = ended_s - deadline(self.codes, self.place.round)
        if beyond > self._slack(number):
            self.note(past_the_end(number, beyond))

    def _guessed_interval(self) -> int:
        """Without name and clock: the one that is next, known only as long as each before it was completed."""
        begun = self.replay.by_round.get(self.place.round, 0.0) > 0.0 and self.replay.sets[-1].round == (
            self.place.round
        )
        last_done = not self.replay.sets or self.replay.sets[-1].completed
        if begun and not last_done:
            self.replay.intervals_unknown = True
        return self.place.round

    def _expire(self) -> None:
        taken = expire(self.codes, self.work, self.remaining, self.place)
        if taken.missed:
            self.replay.missed.append(self.place.round)
        else:
            self.replay.rounds_done += 1
        self.replay.breaks += taken.broke
        # As in the simulation: rest is served from the end of the work of the interval on.
        self.rest_owed_from = deadline(self.codes, self.place.round) if taken.broke else None
        self.place = taken.place

    def _ended_by_clock(self) -> bool:
        """Whether the clock has left no time for what is still owed."""
        elapsed, last = self.elapsed_s, self.entries[-1:]
        reached = elapsed is not None and elapsed >= self.codes.limit_s - ROUNDING_S
        return self.codes.order == INTERVALS or reached or any(one.ended_by == "clock" for one in last)
