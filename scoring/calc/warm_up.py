"""The warm-up ramp of a work item: easier options that lead up to the working one, with falling repetitions.

Common practice, no source: two to four sets, from about 40 % of the working load on, never tiring, more of them the
heavier the work. Only what the athlete can set up is told. How heavy it is tells the least that is probably there:
on a bad day, or of somebody of whom little is known, a load is heavy that is light by the middle. Work of which more
than about twenty repetitions are available even so needs no ramp of its own, nor do holds and cyclical work, which
begin easily. Nobody begins cold under a load that they were never seen with, nor with attempts, however light the
opener is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.revision import REPETITIONS, Block
from programming.calc.variation import Option
from scoring.calc.candidate import Candidate
from scoring.calc.spread import three_quantiles

# (share of the working load, repetitions), for sets that are limited by strength, middle ones, and long ones.
HEAVY: Final = ((0.4, 8), (0.6, 5), (0.75, 3), (0.9, 1))
MIDDLE: Final = ((0.5, 8), (0.7, 5), (0.85, 2))
LONG: Final = ((0.5, 8), (0.75, 4))
HEAVY_UP_TO: Final = 6.0
MIDDLE_UP_TO: Final = 12.0
LONG_UP_TO: Final = 20.0


@dataclass(frozen=True)
class WarmUpSet:
    """One set of the ramp."""

    work: str
    option: Option
    repetitions: int


def never_cold(block: Block, working: Candidate) -> bool:
    """Whether there is a ramp however many repetitions are thought available: to attempts, and to a load that nobody
    has seen the athlete with.
    """
    return block.rules.order == "attempts" or (working.is_unbounded and (working.option.load_kg or 0.0) > 0.0)


def ramps_to(
    block: Block, chosen: Sequence[Candidate], settable: Mapping[str, Sequence[Option]]
) -> tuple[WarmUpSet, ...]:
    """The ramps to the candidates (M) of work that is counted in repetitions, of all that can be set up."""
    return tuple(
        step
        for item, one in zip(block.items, chosen, strict=True)
        if one.is_limited and item.unit == REPETITIONS
        for step in warm_up_ramp(
            item.key,
            one.option,
            settable[item.key],
            three_quantiles(one.fresh).p10,
            always=never_cold(block, one),
        )
    )


def warm_up_ramp(
    work: str, working: Option, options: Sequence[Option], available: float, *, always: bool = False
) -> tuple[WarmUpSet, ...]:
    """The ramp to `working`; empty when none is needed or nothing easier can be set up.

    options: all that can be set up, also of other variations; available: repetitions to failure with `working` that
    nine in ten scenarios have. Loads of the working variation are taken where it has an external load; else the
    easier options of any variation. always: at least the ramp of long sets, see `never_cold`.
    """
    plan = _plan(available) or (LONG if always else ())
    loaded = working.load_kg is not None and working.load_kg > 0.0
    easier = [
        one for one in options if one.effective_kg < working.effective_kg and _fits(one, working, loaded)
    ]
    ramp: list[WarmUpSet] = []
    for share, repetitions in plan:
        below = [one for one in easier if one.effective_kg <= share * working.effective_kg + 1e-9]
        if not below:
            continue
        option = max(below, key=lambda one: (one.effective_kg, one.variation_key))
        if not ramp or option.effective_kg > ramp[-1].option.effective_kg:
            ramp.append(WarmUpSet(work, option, repetitions))
    return tuple(ramp)


def _plan(available: float) -> tuple[tuple[float, int], ...]:
    if available < HEAVY_UP_TO + 1.0:
        return HEAVY
    if available < MIDDLE_UP_TO + 1.0:
        return MIDDLE
    return LONG if available < LONG_UP_TO + 1.0 else ()


def _fits(option: Option, working: Option, loaded: bool) -> bool:
    return not loaded or option.variation_key == working.variation_key
