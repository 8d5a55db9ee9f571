"""The official value of a block by what its rules score, before the parts are put beside it."""

from dataclasses import dataclass
from typing import Final, Literal

from programming.calc.revision import DISTANCE, ENERGY, HOLD, Block
from programming.calc.rule_codes import rule_codes
from programming.calc.stepper import official_amount, official_seconds
from programming.calc.units import NAMES
from scoring.calc.asked import is_at_cap, is_over, needs_breaks
from scoring.calc.rounds import progress_of
from scoring.calc.told import Told

State = Literal["finished", "capped", "no_mark", "not_scored", "unscored"]
Unit = Literal["s", "repetitions", "m", "kcal", "kg", "kg_repetitions", "intervals", "rounds"]
Better = Literal["lower", "higher"]
ONE_UNIT: Final = {"distance": DISTANCE, "energy": ENERGY, "held_time": HOLD}


@dataclass(frozen=True)
class Result:
    """State, value and unit before the parts are put beside them."""

    state: State
    value: float | None = None
    unit: Unit | None = None
    better: Better | None = None


UNSCORED: Final = Result("unscored")


def result_of(block: Block, told: Told) -> Result:
    """State, and value in its unit where it is known; `unscored` where the score waits for an answer."""
    scored = block.rules.scored
    if scored == "none":
        return Result("not_scored")
    if scored == "time":
        return _time(block, told)
    if scored in {"load", "volume_load"}:
        return _load(scored, told)
    if scored in {"intervals", "smallest_interval"}:
        return _intervals(block, scored, told)
    return _amount(block, scored, told)


def _amount(block: Block, scored: str, told: Told) -> Result:
    rule = block.rules.break_rule
    if told.breaks is None and rule.penalty == "added" and rule.penalty_repetitions:
        return UNSCORED
    if block.by_progress:
        return Result("finished", _progress(block, told), "rounds", "higher")
    wanted = ONE_UNIT.get(scored)
    done = sum(
        amount
        for item, amount in zip(block.work, told.counted, strict=False)
        if wanted is None or item.unit == wanted
    )
    value = float(official_amount(rule_codes(block), done, told.breaks or 0))
    return Result("finished", value, NAMES[wanted] if wanted else _unit(block), "higher")


def _progress(block: Block, told: Told) -> float:
    """Rounds and the share of the next one."""
    return progress_of(block, told.counted[: len(block.work)]).value


def _unit(block: Block) -> Unit:
    """The one unit of the work, repetitions where several are added up."""
    units = {item.unit for item in block.work}
    return NAMES[units.pop()] if len(units) == 1 else "repetitions"


def _time(block: Block, told: Told) -> Result:
    if (
        told.done
        and told.elapsed_s is not None
        and not needs_breaks(block, told)
        and not is_over(block, told)
    ):
        seconds = official_seconds(rule_codes(block), told.elapsed_s, told.breaks or 0)
        return Result("finished", float(seconds), "s", "lower")
    if not told.done and is_at_cap(block, told):
        if block.by_progress:
            return Result("capped", _progress(block, told), "rounds", "higher")
        return Result("capped", sum(told.counted[: len(block.work)]), _unit(block), "higher")
    return UNSCORED


def _load(scored: str, told: Told) -> Result:
    if scored == "load":
        if told.heaviest_kg is None:
            return UNSCORED if told.load_unknown else Result("no_mark")
        return Result("finished", told.heaviest_kg, "kg", "higher")
    if told.volume_load is None:
        return UNSCORED
    return Result("finished", told.volume_load, "kg_repetitions", "higher")


def _intervals(block: Block, scored: str, told: Told) -> Result:
    if scored == "intervals":
        if told.rounds_done is None:
            return UNSCORED
        return Result("finished", float(told.rounds_done), "intervals", "higher")
    if told.smallest_interval is None:
        return UNSCORED
    return Result("finished", told.smallest_interval, _unit(block), "higher")
