"""Amounts told in rounds: whole rounds, and what of the next one is done, item by item.

Amounts of one unit add up, and the rounds follow from their sum. Amounts of several units do not: there the score is
the number of rounds and the share of the next one, in which each item counts alike and by the part of it that is
done. In a fixed order of items this ranks by rounds, then by how far somebody has come in the round.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, inf
from typing import Final

from programming.calc.revision import REPETITIONS, Block
from programming.calc.rule_codes import OPEN, rule_codes, work_of
from programming.calc.stepper import EPSILON, portion, rung

MOST_ROUNDS: Final = 10_000
"""Nobody does more: a round every nine seconds for a day and a night. Rounds of next to nothing end there (ours)."""
# A share of a round is kept to six digits in a forecast: less than that of an item is rounding.
DUST: Final = 1e-4


@dataclass(frozen=True)
class Progress:
    """rounds: whole ones; rest (M,): what is done beyond them, in the unit of each main item; share: of the next
    round, from 0 to 1.
    """

    rounds: int
    rest: tuple[float, ...]
    share: float

    @property
    def value(self) -> float:
        """The score: rounds and the share of the next one."""
        return self.rounds + self.share


def portions(block: Block, number: int) -> list[float]:
    """What a round (from 0) asks of the main items (M,), in the unit of each; infinite where open."""
    codes, work = rule_codes(block), work_of(block)
    return [float(portion(codes, work, number, item)) for item in range(codes.items)]


def progress_of(block: Block, counted: Sequence[float]) -> Progress:
    """Rounds of a block from what counts of each main item (M,).

    A round is whole when all of its items are; an item that is ahead of the others counts as done once.
    """
    rest, count = [float(done) for done in counted], 0
    repeats = min(block.rules.repeats or MOST_ROUNDS, MOST_ROUNDS)
    asked = portions(block, 0)
    while count < repeats and all(done >= wanted - EPSILON for done, wanted in zip(rest, asked, strict=True)):
        rest = [max(done - wanted, 0.0) for done, wanted in zip(rest, asked, strict=True)]
        count += 1
        asked = portions(block, count)
    shares = [min(done / wanted, 1.0) for done, wanted in zip(rest, asked, strict=True) if wanted > 0.0]
    share = sum(shares) / len(shares) if shares and count < repeats else 0.0
    return Progress(count, tuple(rest), share)


def written_amounts(block: Block) -> list[float]:
    """Amounts (M,) of the main items over all rounds, infinite where there is no end to them."""
    codes, work = rule_codes(block), work_of(block)
    if codes.repeats == OPEN:
        return [inf] * codes.items
    if not codes.in_turn:
        factor = sum(rung(work, number) for number in range(codes.repeats))
        return [float(work.amounts[item]) * factor for item in range(codes.items)]
    return [
        sum(portion(codes, work, number, item) for number in range(codes.repeats))
        for item in range(codes.items)
    ]


def rounds_in(block: Block, amount: float) -> tuple[int | None, float | None]:
    """(whole rounds, rest) of an amount of one unit; (None, None) where the work of a round is open."""
    if any(item.amount is None for item in block.work):
        return None, None
    count, left = 0, amount
    while count < min(block.rules.repeats or MOST_ROUNDS, MOST_ROUNDS):
        each = sum(portions(block, count))
        if left < each - EPSILON:
            break
        left, count = left - each, count + 1
    return count, max(left, 0.0)


def named_rest(block: Block, value: float) -> tuple[int, tuple[float, ...]] | None:
    """(whole rounds, amounts (M,) of the next one) of a score of rounds, its items done in the order as written.

    value: rounds and a share where `block.by_progress`, else the amounts added up; whole repetitions, other units as
    they come. None where the work of a round is open.
    """
    if any(item.amount is None for item in block.work):
        return None
    if block.by_progress:
        count = floor(value + DUST / len(block.work))
        asked = portions(block, count)
        parts = (value - count) * sum(wanted > 0.0 for wanted in asked)
        shares = [min(max(parts - index, 0.0), 1.0) for index in range(len(asked))]
        return count, tuple(
            _whole(item.unit, share * wanted, share * wanted + DUST * wanted)
            for item, share, wanted in zip(block.work, shares, asked, strict=True)
        )
    count_, left = rounds_in(block, value)
    assert count_ is not None and left is not None
    rest = []
    for wanted in portions(block, count_):
        rest.append(min(left, wanted))
        left -= rest[-1]
    return count_, tuple(rest)


def _whole(unit: str, amount: float, nearly: float) -> float:
    return float(floor(nearly)) if unit == REPETITIONS else amount
