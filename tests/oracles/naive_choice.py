"""Brute force for the first-set part of a prescription: every option, every scenario, plain loops."""


def expected_loss(fresh, lower, upper):
    """Mean over scenarios: 3 per lower bound short, 1 per upper bound beyond."""
    total = 0.0
    for available in fresh:
        value = int(available)  # half a repetition does not count
        if lower is not None and value < lower:
            total += 3.0 * (lower - value) / lower
        elif upper is not None and value > upper:
            total += (value - upper) / upper
    return total / len(fresh)


def best_option(candidates, lower, upper):
    """Index of the option with the least loss, 0.03 dearer when not as written and 0.10 when novel."""
    losses = [
        expected_loss(one.fresh.tolist(), lower, upper)
        + (0.0 if one.is_as_written else 0.03)
        + (0.10 if one.is_novel else 0.0)
        for one in candidates
    ]
    return min(range(len(losses)), key=losses.__getitem__)
