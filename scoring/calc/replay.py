"""A set log played by the rules of its block, set by set: what counts, what breaks, what does not follow them.

A log is played as it was done, not as the rules ask: a set on another item than asked counts where that item
still has work in the round, and is noted. What is done in excess, out of turn, or after the end counts nothing.
"""

from math import inf, nan
from typing import Final

from programming.calc.revision import Block
from programming.calc.rule_codes import (
    ATTEMPTS,
    FIRST_MISS,
    INTERVALS,
    LADDER,
    NO_ITEM,
    OPEN,
    REST_LONGER_THAN,
    ROUNDS,
)
from programming.calc.stepper import BY_ATHLETE, BY_CLOCK, BY_JUDGE, EPSILON, Place, portion, step
from scoring.calc.attempt import SetEntry, SetLog
from scoring.calc.finding import ROUNDING_S, Finding
from scoring.calc.played import PlayedSet, Replay
from scoring.calc.replay_clock import Clocked
from scoring.calc.replay_notes import out_of_turn, rest_after_miss, short_rests, wrong_order
from scoring.calc.rounds import MOST_ROUNDS

__all__ = ["PlayedSet", "Replay", "play_log"]

CARRIES: Final = frozenset({ROUNDS, LADDER})
"""Orders in which one long set may run on into the next round, where that begins with the same item."""


def play_log(block: Block, log: SetLog, *, clock_breaks: bool = False) -> Replay:
    """Play the sets of work that the block has; the others are left out.

    clock_breaks: a set that the clock ended is a break like any other (version 1 of the rules).
    """
    player = _Player(block, log, clock_breaks)
    for number, entry in enumerate(player.entries, start=1):
        player.take(number, entry)
    return player.finish()


class _Player(Clocked):
    """Plays one set after the other."""

    def take(self, number: int, entry: SetEntry) -> None:
        """Play one set."""
        item = self.block.index_of(entry.work)
        assert item is not None
        started = self._start_of(number, entry)
        counts = self._reach_interval(number, entry, started) and self._reach_item(number, item)
        self._check_rest(number, entry, started)
        ended = None if started is None or entry.duration_s is None else started + entry.duration_s
        if counts:
            self._check_end(number, entry, ended)
            self._play(entry, item, ended)
        else:
            unplayed = PlayedSet(entry, NO_ITEM, self.place.round, 0.0, False, False, False, ended, False)
            self.replay.sets.append(unplayed)
            self.broke = False
        self.clock, self.last_item = ended, item

    def _play(self, entry: SetEntry, item: int, ended_s: float | None) -> None:
        """Let the set count, on into the next round where one set may run on into it."""
        replay, left, completed = self.replay, float(entry.amount), False
        asked, main = float(self.remaining[item]), item < self.codes.items
        round_, broke, counted = self.place.round, False, 0.0
        while True:
            place = self.place
            self._look_at_rest(place, entry)
            taken = step(
                self.codes, self.work, self.remaining, place, left,
                nan if entry.rest_before_s is None else entry.rest_before_s, self._ended(entry),
            )  # fmt: skip
            replay.by_round[place.round] += taken.counted if main else 0.0
            completed = completed or taken.counted >= asked - EPSILON
            left, counted, broke = left - taken.counted, counted + taken.counted, broke or taken.broke
            self.place = taken.place
            done_round = main and (place.round != self.place.round or self._is_over())
            replay.rounds_done += done_round and self.codes.order != ATTEMPTS
            onward = done_round and self.codes.order in CARRIES and not self.codes.rest_between_s
            if left <= EPSILON or not onward or taken.broke or self.place.item != item:
                break
            if self.place.round >= MOST_ROUNDS:
                left = self._too_many_rounds()
                break
            asked = float(self.remaining[item])
        whole = counted > 0.0 if asked == inf else completed
        succeeded = whole and entry.ended_by != "no_rep"
        if self.codes.order == ATTEMPTS:
            replay.rounds_done += succeeded
        replay.counted[item] += counted
        replay.excess[item] += max(left, 0.0)
        replay.breaks += broke
        replay.sets.append(
            PlayedSet(entry, item, round_, counted, broke, completed, succeeded, ended_s, main)
        )
        self.last_round, self.broke = round_, broke

    def _too_many_rounds(self) -> float:
        """What a set may still run on into: nothing; beyond what anybody does it is asked about and not counted."""
        detail = (
            f"More than {MOST_ROUNDS} rounds are reported, which nobody does: ask for the amounts and units."
        )
        self.note(Finding("too_many_rounds", detail))
        return 0.0

    def _ended(self, entry: SetEntry) -> int:
        if self.clock_breaks:
            return BY_ATHLETE
        return {"clock": BY_CLOCK, "no_rep": BY_JUDGE}.get(entry.ended_by, BY_ATHLETE)

    def _look_at_rest(self, place: Place, entry: SetEntry) -> None:
        """Whether a rest inside an item was too long cannot be told when it was not noted."""
        if self.codes.break_counts != REST_LONGER_THAN or place.item >= self.codes.items:
            return
        begun = self.remaining[place.item] < portion(self.codes, self.work, place.round, place.item)
        self.replay.rests_unknown |= bool(begun) and entry.rest_before_s is None

    def _is_over(self) -> bool:
        """Whether no main work is left, a penalty still owed apart."""
        item = self.place.item
        return item == NO_ITEM or (item == self.codes.penalty_item and self.place.resume == NO_ITEM)

    def _reach_item(self, number: int, item: int) -> bool:
        """Go to the item of a set; False when nothing of it can count."""
        asked = self.place.item
        if asked == self.codes.penalty_item != item and asked != NO_ITEM:
            self._skip_penalty(number)
            asked = self.place.item
        if asked == item:
            return True
        if item == self.codes.penalty_item:
            self.note(
                Finding(
                    "penalty_not_owed", f"Set {number} is penalty work, but there was no break before it."
                )
            )
            return False
        if asked == NO_ITEM:
            return self._after_the_end(number, item)
        if self.remaining[item] <= 0.0:
            return self._not_its_turn(number, item)
        if self.codes.order != ATTEMPTS:
            stays = self.broke and self.last_item == item
            self.note(wrong_order(self.keys, number, item, asked, stays))
        self.place = Place(self.place.round, item, NO_ITEM)
        return True

    def _skip_penalty(self, number: int) -> None:
        key = self.block.items[self.codes.penalty_item].key
        detail = f"Set {number} goes on although the penalty of the break, {{0}}, was not all done."
        self.note(Finding("penalty_not_served", detail, (key,)))
        self.remaining[self.codes.penalty_item] = 0.0
        self.place = Place(self.place.round, self.place.resume, NO_ITEM)

    def _after_the_end(self, number: int, item: int) -> bool:
        if self.codes.order in (INTERVALS, ATTEMPTS):
            self.note(
                Finding(
                    "after_the_end", f"Set {number} comes when the block was over: ask what it belongs to."
                )
            )
        else:
            self.replay.excess[item] += self.entries[number - 1].amount
        return False

    def _not_its_turn(self, number: int, item: int) -> bool:
        """An item that is done for this round, or whose turn it is not; another one has work left."""
        found = out_of_turn(self.codes, self.keys, number, item, self.place)
        if found is None:
            self.replay.excess[item] += self.entries[number - 1].amount
        else:
            self.note(found)
        return False

    def _check_rest(self, number: int, entry: SetEntry, started_s: float | None) -> None:
        """The rest that a missed interval, a break or the end of a round demands."""
        owed_from, self.rest_owed_from = self.rest_owed_from, None
        if entry.rest_before_s is None:
            return
        if owed_from is not None:
            # Without a clock at most the rest since the last set, which ended in the missed interval or before it.
            rested = entry.rest_before_s if started_s is None else started_s - owed_from
            slack = ROUNDING_S if started_s is None else self._slack(number)
            for found in rest_after_miss(self.codes, number, rested, slack):
                self.note(found)
        if number == 1:
            return
        new_round = self.place.round != self.last_round
        for found in short_rests(self.codes, number, entry.rest_before_s, self.broke, new_round):
            self.note(found)

    def finish(self) -> Replay:
        """Let the intervals after the last set pass, and note what is still owed."""
        replay, codes = self.replay, self.codes
        if self.place.item == codes.penalty_item != NO_ITEM and not self._ended_by_clock():
            key = self.block.items[codes.penalty_item].key
            detail = "The penalty of the last break, {0}, is not in the log."
            self.note(Finding("penalty_not_served", detail, (key,)))
        before = len(replay.missed)
        while codes.order == INTERVALS and self.place.item != NO_ITEM:
            endless = codes.repeats == OPEN and codes.limit_s == inf
            if (self.place.round + 1) * codes.interval_s > codes.limit_s + EPSILON:
                break
            self._expire()
            if endless:
                break
        silent = [round_ for round_ in replay.missed[before:] if round_ not in replay.by_round]
        if silent and codes.end != FIRST_MISS:
            detail = f"There is no set from interval {silent[0] + 1} on: ask whether the athlete stopped."
            self.note(Finding("missing_intervals", detail))
        if replay.intervals_unknown:
            detail = "Ask in which interval each set was done: the log tells neither that nor the time."
            self.note(Finding("intervals_unnamed", detail))
        replay.done = self._is_over() and codes.order not in (INTERVALS, ATTEMPTS)
        return replay
