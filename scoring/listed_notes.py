"""What was made of a pacing or of a written list of sets that does not say all: a sentence for each change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.calc.explicit import SetList
from scoring.calc.next_set import Policy
from scoring.calc.pacing import BELOW_FAILURE_SHARE
from scoring.calc.planned_set import PAUSE, ROUND, SIZE
from scoring.names import Names, names_of
from scoring.words import listed, noun, units_said

SHARE_CUT: Final = "share_cut"
AS_WRITTEN: Final = "done_as_written"
REST_LONGER: Final = "rest_longer"
SET_PUT_IN: Final = "set_put_in"
MADE_UP: Final = "made_up"
ROUNDS_REPEATED: Final = "rounds_repeated"
CODES: Final = (SHARE_CUT, AS_WRITTEN, REST_LONGER, SET_PUT_IN, MADE_UP, ROUNDS_REPEATED)


@dataclass(frozen=True)
class Note:
    """code: one of CODES; block: its key."""

    code: str
    block: str
    sentence: str


def cut_notes(wished: Mapping[str, Policy], taken: Mapping[str, Policy], names: Names) -> Iterator[Note]:
    """Of each block whose sets were to take more of what is there than this athlete's may."""
    for block, policy in taken.items():
        if policy.share < wished[block].share:
            told = (
                f"No set of this athlete goes to failure now: the share{_where(block, names)} was taken as"
                f" {BELOW_FAILURE_SHARE:g} instead of {wished[block].share:g}."
            )
            yield Note(SHARE_CUT, block, told)


def list_notes(plan: SessionPlan, lists: Mapping[str, SetList]) -> Iterator[Note]:
    """Block by block what is done that the list does not say, and that it is followed on every day alike."""
    names = names_of(plan)
    for block in plan.doc.blocks:
        if block.key in lists:
            yield from _of_a_list(block, lists[block.key], names)


def _of_a_list(block: Block, told: SetList, names: Names) -> Iterator[Note]:
    where = _where(block.key, names)
    followed = (
        f"The sets{where} are taken as they are written, whatever the day is like; the range of a prescription, and"
        " of a pacing, is of somebody who fits sets and rests to the day, so it is another one."
    )
    yield Note(AS_WRITTEN, block.key, followed)
    by_rest: dict[float, list[str]] = {}
    for one in told.filled.longer:
        by_rest.setdefault(one.rest_s, []).append(str(one.number))
    for rest_s, numbers in by_rest.items():
        sets = f"set {numbers[0]}" if len(numbers) == 1 else f"sets {listed(numbers)}"
        why = (
            f"The rest before {sets}{where} was taken as {rest_s:g} s: going over to a set takes that long, or the"
            " rules want it."
        )
        yield Note(REST_LONGER, block.key, why)
    for item in told.filled.at_once:
        work = names.work(block.items[item].key)
        yield Note(
            SET_PUT_IN, block.key, f"The list has no set of {work}: it is done in one go, at its turn."
        )
    for item, left in told.filled.left:
        yield Note(MADE_UP, block.key, _made_up(block, told, item, left, names))
    if len(told.rows) > told.written:
        yield Note(ROUNDS_REPEATED, block.key, _repeated(told, where))


def _made_up(block: Block, told: SetList, item: int, left: float, names: Names) -> str:
    unit, size = block.items[item].unit, told.usual[SIZE, item]
    much = f"{left:g} {noun(left, units_said(unit))}"
    return (
        f"The list leaves {much} of {names.work(block.items[item].key)} open: they are done behind it in sets of"
        f" {size:g}, with {told.usual[PAUSE, item]:g} s of rest."
    )


def _repeated(told: SetList, where: str) -> str:
    last = int(told.rows[told.written - 1, ROUND]) + 1
    return f"The rounds behind round {last}{where}, the last with a set of the list, are done as that one."


def _where(block: str, names: Names) -> str:
    return f" of {names.block(block)}" if len(names.blocks) > 1 else ""


def all_notes(
    plan: SessionPlan,
    wished: Mapping[str, Policy],
    taken: Mapping[str, Policy],
    lists: Mapping[str, SetList],
) -> Sequence[Note]:
    """Everything that was done otherwise than, or beside, what was asked."""
    return (*cut_notes(wished, taken, names_of(plan)), *list_notes(plan, lists))
