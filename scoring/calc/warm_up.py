"""The warm-up ramp of a work item: easier options that lead up to the working one, with falling repetitions.

Common practice, no source: two to four sets, from about 40 % of the working load on, never tiring, more of them the
heavier the work. Only what the athlete can set up is told. Work of which more than about twenty repetitions are
available needs no ramp of its own, nor do holds and cyclical work, which begin easily.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from programming.calc.variation import Option

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


def warm_up_ramp(
    work: str, working: Option, options: Sequence[Option], available: float
) -> tuple[WarmUpSet, ...]:
    """The ramp to `working`; empty when none is needed or nothing easier can be set up.

    options: all that can be set up, also of other variations; available: repetitions to failure with `working`.
    Loads of the working variation are taken where it has an external load; else the easier options of any variation.
    """
    plan = _plan(available)
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
