"""Other amounts for a block whose conditions are probably missed, each with its own best combination of options."""

from collections.abc import Sequence
from dataclasses import replace
from math import log
from typing import Final

from scoring.calc.combination import Combination, Setting
from scoring.calc.first_set import Judged
from scoring.calc.search import best_combination, best_of
from scoring.calc.volume import LESS, MORE, OWN_VOLUME, scaled

# Of so many items each is tried a rung over by itself beside other amounts, of more all together only.
FEW_ITEMS: Final = 3
# Amounts as written stay where each condition on the block is likelier met than not; where they do not, the amounts
# nearest to them that meet it on three days of four are taken (ours).
LIKELY: Final = 0.5
SERVED: Final = 0.75


def best_volume(
    setting: Setting,
    best: Combination,
    alone: Sequence[Judged],
    ladders: Sequence[Sequence[Judged]],
    *,
    upward: bool,
    margin: float = OWN_VOLUME,
) -> tuple[Setting, Combination]:
    """Other amounts where a condition on the whole block is probably missed and gains clearly by them, else as it is.

    margin: what they must gain; 0 where the amounts as written would be refused. Nearest first: the first that serve
    are taken, if none does those with the least loss.

    The shares are compared with the best options so far, with those one rung easier for more work and one rung harder
    for less, and with those that serve the first sets best; the best share then gets its own best combination.
    """
    if not setting.asks_of_block or best.p_block >= LIKELY:
        return setting, best
    shares = sorted((*LESS, *(MORE if upward else ())), key=lambda share: abs(log(share)))
    tried = [best.options, tuple(alone)]
    found, least = None, best.loss - margin
    almost, near = None, best.loss - margin / 2.0
    for share in shares:
        other = replace(setting, block=scaled(setting.block, share))
        if setting.budget.stop():
            break
        nearest = best_of(other, list(dict.fromkeys([*tried, *_a_rung_over(best.options, ladders, share)])))
        if nearest.loss < least:
            found, least = other, nearest.loss
            if nearest.p_block >= SERVED:
                break
        elif nearest.loss < near:
            almost, near = other, nearest.loss
    if found is None and almost is not None:
        # Options of its own may make the rest of what it must gain.
        own = best_combination(almost, alone, ladders)
        return (almost, own) if own.loss < least else (setting, best)
    if found is None:
        return setting, best
    return found, best_combination(found, alone, ladders)


def _a_rung_over(
    options: Sequence[Judged], ladders: Sequence[Sequence[Judged]], share: float
) -> list[tuple[Judged, ...]]:
    """All items one rung along their ladders, easier where there is more work, and of few items each alone; the last
    rung stays.
    """
    step = -1 if share > 1.0 else 1
    moved = [_next_on(ladder, one, step) for one, ladder in zip(options, ladders, strict=True)]
    found = [tuple(moved)]
    if len(options) <= FEW_ITEMS:
        found += [(*options[:at], one, *options[at + 1 :]) for at, one in enumerate(moved)]
    return found


def _next_on(ladder: Sequence[Judged], one: Judged, step: int) -> Judged:
    place = next((place for place, other in enumerate(ladder) if other is one), None)
    there = -1 if place is None else place + step
    return ladder[there] if 0 <= there < len(ladder) else one
