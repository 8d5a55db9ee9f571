"""The part of a prescription that looks at each work item alone: windows of the fresh first set.

Windows of a first set are about the fresh repetitions n* of the version: nobody meets one by stopping early.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import floor, inf, log
from typing import Final

import numpy as np

from programming.calc.revision import Block
from scoring.calc.loss import NOT_AS_WRITTEN, NOVEL, Window, bounds_and_costs, in_all
from scoring.calc.prescription import Candidate, CandidateView, Reason, ReasonCode
from scoring.calc.spread import Spread, three_quantiles

# Best probability of a condition below which a known athlete gets no prescription (ours).
INFEASIBLE_KNOWN: Final = 0.25
# A newcomer's probability is low because little is known: only a hopeless one is refused, the others get a
# check set. Known athletes, tested at near loads, have a log-SD of 0.2 to 0.25.
INFEASIBLE_UNCERTAIN: Final = 0.05
UNCERTAIN_LOG_SD: Final = 0.35
# Not tested near by: a check set is worth its time where the window would be missed in two cases of five (ours).
UNSETTLED_LOG_SD: Final = 0.30
UNSETTLED_PROBABILITY: Final = 0.60
P10_TO_P90: Final = 2.563  # SDs of a normal between its 10 % and 90 % points

# Nobody is put under a load that may be too heavy (ours): the first that is tried by who was never seen in the
# movement gives what is asked to nine in ten; the check set leads upward from there.
LIGHT_ENOUGH: Final = 0.9


@dataclass(frozen=True, eq=False)
class Judged:
    """A candidate with its expected loss and the probability of its first-set windows (1 when none).

    loss: with the costs of leaving the version as written and of one never done; aim_loss: without them.
    """

    candidate: Candidate
    loss: float
    aim_loss: float
    probability: float
    spread: Spread

    @property
    def uncertain(self) -> bool:
        """Whether too little is known of the athlete to refuse for a low probability alone."""
        return self.log_sd > UNCERTAIN_LOG_SD

    @property
    def unsettled(self) -> bool:
        """Whether a check set would tell something worth knowing."""
        doubtful = self.log_sd > UNSETTLED_LOG_SD and self.probability < UNSETTLED_PROBABILITY
        return self.uncertain or doubtful

    @cached_property
    def log_sd(self) -> float:
        """SD of ln n*, from the 10 % and 90 % points; below half a repetition does not count; 0 without a limit."""
        if not self.candidate.is_limited:
            return 0.0
        return (log(max(self.spread.p90, 0.5)) - log(max(self.spread.p10, 0.5))) / P10_TO_P90

    @cached_property
    def is_new_and_unsure(self) -> bool:
        """Whether the athlete has never done this version, or never been seen in the movement, and little is known of
        what is available with it. Each combination with it asks.
        """
        return (self.candidate.is_novel or self.candidate.is_unseen) and self.uncertain


def first_windows(block: Block, work: str) -> list[Window]:
    """The first-set windows of a work item; few repetitions are hard."""
    return [
        Window(condition.lower, condition.upper, low_is_hard=True)
        for condition in block.aim.conditions
        if condition.kind == "first_set" and condition.work == work
    ]


def judge(candidates: Sequence[Candidate], windows: Sequence[Window]) -> list[Judged]:
    """Expected loss and probability of each candidate, best first; ties go to the lower effective load.

    What nothing local limits has no first set: no window judges it.
    """
    judged, asked = [], bounds_and_costs(windows)
    for candidate in candidates:
        fresh = candidate.fresh
        cost = NOVEL * candidate.is_novel + NOT_AS_WRITTEN * (not candidate.is_as_written)
        if not candidate.is_limited:
            judged.append(Judged(candidate, cost, 0.0, 1.0, Spread(inf, inf, inf)))
            continue
        # A set shows whole repetitions: r to failure is r <= n* < r + 1.
        loss, probability = in_all(np.floor(fresh), asked) if windows else (0.0, 1.0)
        judged.append(Judged(candidate, loss + cost, loss, probability, three_quantiles(fresh)))
    return sorted(judged, key=lambda one: (one.loss, one.candidate.option.effective_kg))


def ladder(judged: Sequence[Judged]) -> list[Judged]:
    """The options with which one repetition is likelier than not (all, if there is none), by their load."""
    able = [one for one in judged if one.spread.p50 >= 1.0] or list(judged)
    return sorted(able, key=lambda one: (one.candidate.option.effective_kg, one.loss))


def within_reach(judged: Sequence[Judged], windows: Sequence[Window]) -> list[Judged]:
    """Without what is easier than an option that is surely too easy, or harder than one that is surely too hard.

    A version that is far from all that was tested may by its wide spread alone seem to have a chance; what is known
    of the versions on either side takes that away. Sure: known, and nine in ten outside the window on that side.
    """
    sure = [one for one in judged if one.candidate.is_limited and not one.uncertain]
    kilograms = [one.candidate.option.effective_kg for one in judged]
    least, most = min(kilograms, default=0.0), max(kilograms, default=0.0)
    for window in windows:
        for one in sure:
            kg = one.candidate.option.effective_kg
            if window.upper is not None and floor(one.spread.p10) > window.upper:
                least = max(least, kg)
            if window.lower is not None and one.spread.p90 < window.lower:
                most = min(most, kg)
    return [one for one in judged if least <= one.candidate.option.effective_kg <= most]


def best_alone(judged: Sequence[Judged], windows: Sequence[Window]) -> Judged:
    """The option that serves an item best for itself: with a window the best of those that have a chance in it,
    without one the version as written, or else the middle of the ladder. judged: at least one.
    """
    if windows:
        likely, near = likely_in(judged, windows)
        return (likely or near)[0]
    able = ladder(judged)
    return next((one for one in able if one.candidate.is_as_written), able[len(able) // 2])


def likely_in(judged: Sequence[Judged], windows: Sequence[Window]) -> tuple[list[Judged], list[Judged]]:
    """(the options with a chance in their windows, those of which none surely misses or, where all do, those that
    are light enough), best first.
    """
    least = max((window.lower for window in windows if window.lower is not None), default=1.0)
    light = light_enough(judged, least)
    near = [one for one in within_reach(judged, windows) if any(one is other for other in light)]
    return [one for one in near if one.probability >= least_probability([one])], near or light


def light_enough(judged: Sequence[Judged], least: float) -> list[Judged]:
    """Without what may be too heavy for somebody hardly seen under a load to do `least` of it, and without what is
    more than a step from what they did. Where nothing is light enough, what most people can do so often: not the
    lightest, since far from the load that is expected the curve itself is less and less sure, and a load of next to
    nothing would tell nobody anything. Where all is more than a step, the lightest.
    """
    if not any(one.candidate.starts_light for one in judged):
        return list(judged)
    near = [one for one in judged if not one.candidate.is_far]
    if not near:
        return [min(judged, key=lambda one: one.candidate.option.effective_kg)]
    light = [one for one in near if not one.candidate.starts_light or _sure(one, least) >= LIGHT_ENOUGH]
    return light or [max(near, key=lambda one: (_sure(one, least), -one.candidate.option.effective_kg))]


def _sure(one: Judged, least: float) -> float:
    """The part of the scenarios in which at least so much is available."""
    return float((one.candidate.fresh >= least).mean())


def likeliest(judged: Sequence[Judged]) -> Judged:
    """The option that comes nearest to the first-set windows, whatever it costs to leave the one as written."""
    return min(judged, key=lambda one: (-one.probability, one.aim_loss, one.candidate.option.effective_kg))


def closest(judged: Sequence[Judged]) -> Judged:
    """The option that misses the windows by least, which the tail of an unsure estimate does not decide."""
    return min(judged, key=lambda one: (one.aim_loss, one.candidate.option.effective_kg))


def least_probability(options: Sequence[Judged]) -> float:
    """The probability that a condition on these options needs: low while one of them is uncertain."""
    return INFEASIBLE_UNCERTAIN if any(one.uncertain for one in options) else INFEASIBLE_KNOWN


def is_unknown(judged: Sequence[Judged]) -> bool:
    """Whether little is known of the athlete at any load at which a repetition is likelier than not."""
    able = [one for one in judged if one.candidate.is_limited and one.spread.p50 >= 1.0]
    return bool(able) and all(one.uncertain for one in able)


def infeasibility(work: str, judged: Sequence[Judged], windows: Sequence[Window]) -> Reason | None:
    """Why no option can serve the item's first-set windows, or None when one can."""
    if not judged:
        return Reason("no_options", work)
    if not windows or not any(one.candidate.is_limited for one in judged):
        return None
    near = within_reach(judged, windows)
    nearest = likeliest(near) if near else None
    if nearest is not None and nearest.probability >= least_probability([nearest]):
        return None
    medians = [one.spread.p50 for one in judged]
    code: ReasonCode = "between_options"
    if max(medians) < max((window.lower for window in windows if window.lower is not None), default=0.0):
        code = "too_hard_at_easiest"
    elif min(medians) > min((window.upper for window in windows if window.upper is not None), default=inf):
        code = "too_easy_at_hardest"
    # Nobody hardly seen gets more than was written, or than a step: that it is too easy is how they begin.
    if code != "too_hard_at_easiest" and any(one.candidate.is_unbounded for one in judged):
        return None
    return Reason(code, work)


def too_easy(block: Block, options: Sequence[Judged]) -> list[str]:
    """The work whose first-set windows the chosen option (M) hardly meets, of who was hardly seen."""
    return [
        item.key
        for item, one in zip(block.items, options, strict=True)
        if one.candidate.is_unbounded
        and first_windows(block, item.key)
        and one.probability < least_probability([one])
    ]


def view(work: str, one: Judged, windows: Sequence[Window]) -> CandidateView:
    """A judged candidate for the explanation, rounded for people."""
    spread, limited = one.spread, one.candidate.is_limited
    shown = Spread(*(round(value, 2) for value in (spread.p10, spread.p50, spread.p90))) if limited else None
    return CandidateView(
        work=work,
        option=one.candidate.option,
        is_as_written=one.candidate.is_as_written,
        is_novel=one.candidate.is_novel,
        fresh=shown,
        p_first_set=round(one.probability, 3) if windows and limited else None,
        loss=round(one.loss, 4),
    )
