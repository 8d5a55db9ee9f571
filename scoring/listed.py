"""Sets that somebody writes down instead of a pacing: read by the rules, and refused in words. No database."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from athletes.actions.support import refuse
from programming.calc.reader import child
from programming.calc.revision import DISTANCE, ENERGY, HOLD, REPETITIONS, Block
from programming.calc.rule_codes import NO_ITEM
from programming.plans import SessionPlan
from scoring.blocks import find_item, items_of
from scoring.calc.explicit import ListedSet, ListError, SetList, read_list
from scoring.calc.forecast import BlockForecast
from scoring.calc.listed_forecast import DOUBTFUL, FAILS, SetThere
from scoring.names import Names, names_of
from scoring.overriding import Named, with_amounts
from services.problems import FieldProblem


@dataclass(frozen=True)
class WishedSet:
    """As it was told: amount in `unit`, rest since the end of the set before [s]; interval: its number, from 1."""

    work: str
    amount: float
    unit: str
    rest_before_s: float
    interval: int | None = None


LIKELY: Final = 0.8
"""What is finished less often is told (ours)."""
_UNITS: Final = {REPETITIONS: "", HOLD: " s", DISTANCE: " m", ENERGY: " kcal"}
_WORDS: Final = {
    "no_sets": "Name at least one set.",
    "too_many_sets": "A list has at most 500 sets; the last round of it is repeated by itself.",
    "amount_not_positive": "A set has an amount above 0.",
    "rest_is_none": "A rest is a number of seconds, 0 or more.",
    "not_its_turn": "By the rules of the block it is the turn of {asked}, of which {left} are left.",
    "more_than_left": "Only {left} of {asked} are left; send no more.",
    "after_the_end": "The block is over before this set; leave it out.",
    "rests_too_long": "With this rest the rests alone come to {rested_s:.0f} s, but the block lasts {most_s:.0f} s at"
    " most, so that the set is never begun: make rests before it shorter, or leave it out.",
    "attempts_have_loads": "Attempts that rise in load are done one by one; leave their block out of the plan.",
}


def lists_of(plan: SessionPlan, work: Sequence[Named], sets: Sequence[WishedSet]) -> dict[str, SetList]:
    """By block the sets as its rules read them, with the amounts of `work`; a block without any is left out. Raises
    Invalid, which points at the first set of each block that nobody could do.
    """
    refuse([*_misnamed(plan, sets)])
    found: dict[str, SetList] = {}
    problems = []
    for block in plan.doc.blocks:
        own = [(index, one) for index, one in enumerate(sets) if block.index_of(one.work) is not None]
        if not own:
            continue
        rising = [one for one in work if one.loads_kg and block.index_of(one.work) is not None]
        if rising:
            problems.append(_problem(own[0][0], "attempts_have_loads", _WORDS["attempts_have_loads"]))
            continue
        mine = with_amounts(block, work)
        try:
            found[block.key] = read_list(mine, [_as_listed(mine, one) for _, one in own])
        except ListError as fault:
            place = own[max(fault.number - 1, 0)][0]
            problems.append(_problem(place, fault.code, _words(mine, fault, names_of(plan))))
    refuse(problems)
    return found


def _misnamed(plan: SessionPlan, sets: Sequence[WishedSet]) -> Iterator[FieldProblem]:
    """Sets of work that the session has not, or in another unit than its own."""
    for index, one in enumerate(sets):
        found = find_item(plan, one.work)
        if found is None:
            keys = ", ".join(item.key for _, item in items_of(plan))
            detail = f"The session's work is: {keys}."
            yield FieldProblem(child("#", "plan", index, "work"), "unknown_work", detail)
        elif found[1].unit != one.unit:
            detail = f"{names_of(plan).work(one.work)} is counted in {found[1].unit}: send that."
            yield FieldProblem(child("#", "plan", index, one.unit), "wrong_unit", detail)


def _as_listed(block: Block, one: WishedSet) -> ListedSet:
    index = block.index_of(one.work)
    assert index is not None
    return ListedSet(index, one.amount, one.rest_before_s, None if one.interval is None else one.interval - 1)


def _problem(index: int, code: str, detail: str) -> FieldProblem:
    return FieldProblem(child("#", "plan", index), code, detail)


def _words(block: Block, fault: ListError, names: Names) -> str:
    asked = "nothing" if fault.asked == NO_ITEM else names.work(block.items[fault.asked].key)
    left = "any number" if fault.left == float("inf") else f"{fault.left:g}"
    return _WORDS[fault.code].format(asked=asked, left=left, rested_s=fault.rested_s, most_s=fault.most_s)


def where_it_fails(forecasts: Mapping[str, BlockForecast | None], names: Names) -> list[str]:
    """For each block with a list: the first set that is probably not there as it is written, whether one before it
    is in doubt, and whether the work is probably not finished in time.
    """
    return [
        f"{_first_failing(forecast.listed, key, names)}{_unfinished(forecast)}"
        for key, forecast in forecasts.items()
        if forecast is not None and forecast.listed
    ]


def _unfinished(forecast: BlockForecast) -> str:
    if forecast.p_finish >= LIKELY:
        return ""
    return f" All of it is done in time in {100 * forecast.p_finish:.0f} of 100 cases."


def _first_failing(sets: Sequence[SetThere], block: str, names: Names) -> str:
    """The first that fails, and the first that is in doubt before it; a later doubt hangs on what failed before."""
    where = "" if names.block(block) == "the session" else f" of {names.block(block)}"
    fails = next((one for one in sets if one.likely == FAILS), None)
    early = sets if fails is None else sets[: fails.number - 1]
    doubt = next((one for one in early if one.likely == DOUBTFUL), None)
    told = [_not_there(one, where, names) for one in (fails, doubt) if one is not None]
    return " ".join(told) or f"Every set{where} is probably there as it is written."


def _not_there(one: SetThere, where: str, names: Names) -> str:
    about = f"Set {one.number}{where} ({names.work(one.work)}, {one.amount:g}{_UNITS[one.unit]})"
    if one.done is None:
        return f"{about} is never begun: the time is over before."
    said = "is probably not there" if one.likely == FAILS else "is in doubt"
    much = f"in {100 * (one.p_there or 0.0):.0f} of 100 cases"
    return f"{about} {said}: as it is written {much}; where it is begun, {one.done.p50:g} are likely."
