"""Planned sets round by round, so that a brief can say which is which. No database."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from programming.calc.revision import Block
from programming.calc.rule_codes import rule_codes, work_of
from programming.calc.stepper import EPSILON, portion

IN_ROUNDS: Final = ("rounds", "ladder")
"""Orders in which a round begins when all of the one before is done; an interval may end before its work does."""


def rounds_of(block: Block, work: str, amounts: Sequence[float]) -> list[int] | None:
    """The round of each set of one work item, from 0; None where the block has no rounds, where the sets do not fill
    them, or where they all are of one.

    amounts: of the sets in their order, in the unit of the work; block: with the athlete's own amounts.
    """
    index = block.index_of(work)
    if block.rules.order not in IN_ROUNDS or index is None or index >= len(block.work):
        return None
    codes, asked = rule_codes(block), work_of(block)
    found: list[int] = []
    round_, left = -1, 0.0
    for amount in amounts:
        while left <= EPSILON:
            round_ += 1
            if round_ >= codes.repeats:
                return None
            left = portion(codes, asked, round_, index)
        found.append(round_)
        left -= amount
        if left < -EPSILON:
            return None
    return found if len(set(found)) > 1 else None


def by_round(amounts: Sequence[float], rounds: Sequence[int]) -> list[tuple[list[int], str]]:
    """(rounds by their numbers from 1, their sets): rounds one after the other with the same sets are one entry."""
    of = {
        number: [one for one, place in zip(amounts, rounds, strict=True) if place == number]
        for number in rounds
    }
    told = groupby(of, key=lambda number: in_a_row(of[number]))
    return [([number + 1 for number in numbers], said) for said, numbers in told]


def in_a_row(amounts: Sequence[float]) -> str:
    """Equal sets in a row as one: "14, 3 × 9, 6"."""
    told = []
    for amount, row in groupby(amounts):
        many = len(list(row))
        told.append(f"{amount:g}" if many == 1 else f"{many} × {amount:g}")
    return ", ".join(told)
