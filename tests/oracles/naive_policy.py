"""The pacing of a block with every policy played to the end in every scenario."""

import numpy as np

from scoring.calc.next_set import Policy
from scoring.calc.pacing import plan_losses, run_policy, set_windows
from scoring.calc.simulation import LATER_HIGH, LATER_LOW, SHARE_SETS, SHARE_TOTAL


def judged(block, scenarios, policies):
    """(mean loss, share of scenarios whose sets all lie in the windows, mean number of sets) of each policy."""
    windows, rows = set_windows(block), []
    for policy in policies:
        runs = run_policy(block, scenarios, Policy(*policy))
        kept = [
            all(_keeps(sizes[item], windows[item]) for item in range(len(windows))) for sizes in runs.sizes
        ]
        rows.append((float(plan_losses(block, runs).mean()), float(np.mean(kept)), float(runs.sets.mean())))
    return rows


def _keeps(sizes, window):
    in_later = sizes[LATER_LOW] >= window[0] and sizes[LATER_HIGH] <= window[1]
    if not sizes[SHARE_SETS]:
        return in_later
    return in_later and window[2] <= sizes[SHARE_TOTAL] / sizes[SHARE_SETS] <= window[3]


def naive_policy(block, scenarios, policies, *, may_take_longer, may_wait):
    """The policy that is taken: what keeps the windows within 0.05 of the most, of those the quickest or, within a
    twentieth, that with the fewest sets; then with sets worth a rest."""
    rows = judged(block, scenarios, policies)
    often = max(kept for _, kept, _ in rows) - 0.05 - 1e-9
    quickest = min(loss for loss, kept, _ in rows if kept >= often)
    most = quickest + 0.05 * abs(quickest)
    limit = most if may_take_longer else quickest
    able = [
        (round(sets), loss, place)
        for place, (loss, kept, sets) in enumerate(rows)
        if kept >= often and loss <= limit
    ]
    share, own_rest_s, pace, _ = policies[min(able)[2]]
    for worthwhile in (0.25, 0.15) if may_wait else ():
        patient = (share, own_rest_s, pace, worthwhile)
        ((loss, kept, _),) = judged(block, scenarios, [patient])
        if kept >= often and loss <= most:
            return patient
    return (share, own_rest_s, pace, 0.0)
