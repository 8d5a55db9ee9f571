"""Own amounts by brute force: every share of the amounts, every combination of options, each weighed for itself.

Only the weighing of one combination is the project's; nothing is searched, and nothing carried over.
"""

from dataclasses import replace
from itertools import product

SHARES = (1.0, 0.8, 1.25, 0.67, 1.5, 0.5)  # nearest to the amounts as written first: by the ratio


def with_share(block, share):
    """The block with that share of all amounts, in whole units of at least one."""
    work = [replace(one, amount=max(1.0, float(round(share * one.amount)))) for one in block.work]
    return replace(block, work=tuple(work))


def best_of_each_share(setting, options, evaluate):
    """By share: the best of all combinations of the options of each item."""
    found = {}
    for share in SHARES:
        other = replace(setting, block=with_share(setting.block, share))
        found[share] = min((evaluate(other, each) for each in product(*options)), key=lambda one: one.loss)
    return found
