"""The search among the combinations of options.

From the options that serve each item best for itself, options are moved along the ladders of loads by shrinking steps
while that helps (the loss falls to the fitting load and rises beyond it, so a local search is enough; the tests
compare it with trying everything). An item with a first-set window takes those alone that have a chance in it. What
is far worse even under the pacing of where it came from is not paced for itself.
"""

from collections.abc import Sequence
from operator import itemgetter
from typing import Final

from scoring.calc.combination import Combination, Setting, evaluate, losses_under
from scoring.calc.first_set import Judged
from scoring.calc.loss import NOT_AS_WRITTEN
from scoring.calc.next_set import Policy
from scoring.calc.pacing import more_careful

# A combination whose loss under the pacing of its neighbour is worse than the neighbour's by this, in some of the
# scenarios, is not paced itself.
GLIMPSED: Final = 0.05
GLANCES: Final = 64


def best_combination(
    setting: Setting, alone: Sequence[Judged], ladders: Sequence[Sequence[Judged]]
) -> Combination:
    """The combination with the least expected loss, of those that the budget lets us look at.

    alone (M): the option that serves each item best for itself; ladders (M): the options that an item may take for
    the sake of the whole block, in the order of their load.
    """
    best = evaluate(setting, tuple(alone))
    if not setting.is_played:
        return best
    longest = max(len(ladder) for ladder in ladders)
    step = (longest + 2) // 3 if longest > 1 else 0
    while step and not setting.budget.stop():
        moved = _move(setting, best, ladders, step)
        if moved is best:
            step //= 2
        best = moved
    return best


def best_of(setting: Setting, combinations: Sequence[tuple[Judged, ...]]) -> Combination:
    """The best of several, the first in any case."""
    best = evaluate(setting, combinations[0])
    for options in combinations[1:]:
        if setting.budget.stop():
            break
        tried = evaluate(setting, options, best.loss)
        best = tried if tried.loss < best.loss else best
    return best


def _move(setting: Setting, best: Combination, ladders: Sequence[Sequence[Judged]], step: int) -> Combination:
    """The most promising of the combinations a step up or down the ladder of one item that is clearly better; `best`
    itself if none is.
    """
    easier, harder = (_neighbours(best.options, ladders, by) for by in (-step, step))
    paced = [(one, best.policy) for one in easier] + [(one, more_careful(best.policy)) for one in harder]
    hopeless, clear = best.loss + GLIMPSED, best.loss - NOT_AS_WRITTEN
    promise = [(glimpse(setting, one, policy, best.found.sets, hopeless), one) for one, policy in paced]
    for about, options in sorted(promise, key=itemgetter(0)):
        if about >= hopeless or setting.budget.stop():
            break
        tried = evaluate(setting, options, clear)
        # Like the version as written, what serves best for itself is not left within the noise.
        if tried.loss < clear:
            return tried
    return best


def _neighbours(
    options: tuple[Judged, ...], ladders: Sequence[Sequence[Judged]], step: int
) -> list[tuple[Judged, ...]]:
    """The options with one of them so many steps along its ladder; one that is not on it stays."""
    found = []
    for item, ladder in enumerate(ladders):
        place = next((index for index, one in enumerate(ladder) if one is options[item]), None)
        if place is not None and 0 <= place + step < len(ladder):
            found.append((*options[:item], ladder[place + step], *options[item + 1 :]))
    return found


def glimpse(
    setting: Setting, options: tuple[Judged, ...], policy: Policy, sets: float, hopeless: float
) -> float:
    """About the loss of a combination, in few draws and paced as a near one is: a tenth of the work of finding its
    own pacing. What is to be paced with less is not told by another. sets: about so many in a draw; hopeless: of a
    loss beyond it, no more need be known.
    """
    own = sum(one.loss for one in options)
    if any(one.is_new_and_unsure for one in options):
        return own

    def seen() -> tuple[float, bool]:
        few = setting.scenarios(options, GLANCES)
        losses, p_block = losses_under(setting, few, policy, sets, hopeless - own)
        return sum(losses), p_block is not None

    # Another search may hope for more: what was only begun for this one is not enough then.
    lost, _ = setting.once(policy, options, seen, lambda known: known[1] or known[0] > hopeless - own)
    return own + lost
