"""A list of sets read by the rules of its block, with everything available: whose turn each is, and what it leaves
open.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from programming.calc.revision import Block
from programming.calc.rule_codes import INTERVALS, NO_ITEM, SERVED_REST, rule_codes, work_of
from programming.calc.stepper import BY_ATHLETE, EPSILON, next_round, start, step
from scoring.calc.simulation import LONGEST_S, TRANSITION_S

# Why a list cannot be followed.
NO_SETS: Final = "no_sets"
TOO_MANY: Final = "too_many_sets"
AMOUNT_NOT_POSITIVE: Final = "amount_not_positive"
REST_IS_NONE: Final = "rest_is_none"
NOT_ITS_TURN: Final = "not_its_turn"
MORE_THAN_LEFT: Final = "more_than_left"
AFTER_THE_END: Final = "after_the_end"
RESTS_TOO_LONG: Final = "rests_too_long"
FAULTS: Final = (
    NO_SETS, TOO_MANY, AMOUNT_NOT_POSITIVE, REST_IS_NONE, NOT_ITS_TURN, MORE_THAN_LEFT, AFTER_THE_END, RESTS_TOO_LONG,
)  # fmt: skip


class ListedSet(NamedTuple):
    """A set of a list: the index of its item in `block.items`, amount in the item's unit, rest before it [s] since
    the end of the set before; round: of intervals the number from 0, None: as the rules have it.
    """

    item: int
    amount: float
    rest_before_s: float
    round: int | None = None


class ListError(ValueError):
    """A list that nobody can follow, whatever is in them: code is one of FAULTS; number: of the set, from 1, 0 for
    the list as a whole; asked: the item whose turn it is, NO_ITEM without one; left: what is left of it; rested_s:
    of rests that are too long, all of them so far [s], and most_s: how long the block may last [s].
    """

    def __init__(
        self,
        code: str,
        number: int,
        asked: int = NO_ITEM,
        left: float = 0.0,
        *,
        rested_s: float = 0.0,
        most_s: float = 0.0,
    ) -> None:
        super().__init__(f"set {number} of the list: {code}")
        self.code, self.number, self.asked, self.left = code, number, asked, left
        self.rested_s, self.most_s = rested_s, most_s


class LongerRest(NamedTuple):
    """A set, by its number from 1, before which the rest lasts so many seconds, longer than its list says."""

    number: int
    rest_s: float


class Filled(NamedTuple):
    """What becomes of what a list leaves open. longer: rests that last longer; at_once: items without a set, which
    are done in one go at their turn; left: of items with sets what the last round of the list has left of them,
    which is made up behind it.
    """

    longer: tuple[LongerRest, ...]
    at_once: tuple[int, ...]
    left: tuple[tuple[int, float], ...]


class Reader:
    """Plays a list with everything available."""

    def __init__(self, block: Block, sets: Sequence[ListedSet]) -> None:
        self.listed = {one.item for one in sets}
        self.codes, self.work = rule_codes(block), work_of(block)
        self.remaining = np.zeros(len(block.items))
        self.place = start(self.codes, self.work, self.remaining)
        self.rested_s, self.seen_in = 0.0, [-1] * len(block.items)
        self.last, self.broke = self.place, False
        self.longer: list[LongerRest] = []
        self.put_in: set[int] = set()

    def take(self, number: int, one: ListedSet) -> int:
        """The round of a set. Raises ListError."""
        self._look_at_numbers(number, one)
        self._go_to(one)
        place = self.place
        if place.item == NO_ITEM:
            raise ListError(AFTER_THE_END, number)
        left = float(self.remaining[place.item])
        if place.item != one.item or self._is_sooner(one):
            raise ListError(NOT_ITS_TURN, number, place.item, left)
        if one.amount > left + EPSILON:
            raise ListError(MORE_THAN_LEFT, number, place.item, left)
        self._look_at_rest(number, one)
        self.seen_in[one.item] = place.round
        taken = step(self.codes, self.work, self.remaining, place, one.amount, one.rest_before_s, BY_ATHLETE)
        self.last, self.broke, self.place = place, taken.broke, taken.place
        return place.round

    def filled(self) -> "Filled":
        """What was made of what the list leaves open, once all of it was taken."""
        never = {
            item
            for item in range(self.codes.items)
            if item not in self.listed and self.work.amounts[item] < np.inf
        }
        is_open = self.place.item != NO_ITEM and self.place.round == self.last.round
        left = [
            (item, float(self.remaining[item]))
            for item in sorted(self.listed)
            if is_open and EPSILON < self.remaining[item] < np.inf
        ]
        return Filled(tuple(self.longer), tuple(sorted(never | self.put_in)), tuple(left))

    def _look_at_rest(self, number: int, one: ListedSet) -> None:
        """Note a rest that the rules, or going over to the next set, make longer; an interval begins on the clock."""
        is_new = self.place.round != self.last.round
        if number == 1 or (is_new and self.codes.order == INTERVALS):
            return
        least = TRANSITION_S
        if is_new:
            least = max(least, self.codes.rest_between_s)
        if self.broke and self.codes.penalty == SERVED_REST:
            least = max(least, self.codes.penalty_s)
        if one.rest_before_s < least - EPSILON:
            self.longer.append(LongerRest(number, least))

    def _look_at_numbers(self, number: int, one: ListedSet) -> None:
        if not 0.0 < one.amount < np.inf:
            raise ListError(AMOUNT_NOT_POSITIVE, number)
        if not 0.0 <= one.rest_before_s < np.inf:
            raise ListError(REST_IS_NONE, number)
        self.rested_s += one.rest_before_s
        most_s = min(self.codes.limit_s, LONGEST_S)
        if self.rested_s >= most_s:
            raise ListError(RESTS_TOO_LONG, number, rested_s=self.rested_s, most_s=most_s)

    def _go_to(self, one: ListedSet) -> None:
        """Do what the list leaves out, and go to the interval of the set."""
        while self.place.item != NO_ITEM:
            if self._is_left_out(one):
                self.put_in.add(self.place.item)
                place, all_left = self.place, float(self.remaining[self.place.item])
                self.place = step(
                    self.codes, self.work, self.remaining, place, all_left, 0.0, BY_ATHLETE
                ).place
            elif self._is_later(one):
                self.place = next_round(self.codes, self.work, self.remaining, self.place.round)
            else:
                return

    def _is_left_out(self, one: ListedSet) -> bool:
        """Whether the work whose turn it is has no set in the list, or is a penalty that it passes over here."""
        item = self.place.item
        if item == self.codes.penalty_item:
            return item != one.item
        return item not in self.listed and one.item < self.codes.items and bool(self.remaining[item] < np.inf)

    def _is_sooner(self, one: ListedSet) -> bool:
        """Whether a set is told to belong to an interval whose work is done."""
        return self.codes.order == INTERVALS and one.round is not None and one.round < self.place.round

    def _is_later(self, one: ListedSet) -> bool:
        """Whether a set belongs to an interval after that of the place: as it says, or since it is not its turn, or
        open work was there before in this one.
        """
        if self.codes.order != INTERVALS or one.item >= self.codes.items:
            return False
        if one.round is not None:
            return one.round > self.place.round
        again = self.remaining[one.item] == np.inf and self.seen_in[one.item] == self.place.round
        return bool(again or (self.place.item != one.item and self.remaining[one.item] == 0.0))
