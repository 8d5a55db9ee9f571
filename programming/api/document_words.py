"""What the words of a revision document mean: for the schema, where whoever writes a document looks them up.

Repetitions left in reserve are no condition of their own: `share_of_available` says the same of a set whatever its
length, and is what pacing works with.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

CONDITIONS: Final[Mapping[str, str]] = {
    "first_set": "What the athlete could do of `work` in one go when rested, in its own unit and rounded down to a "
    "whole number: not the size of the first set that is done. So nobody meets an upper bound by stopping early, and "
    "a set that was stopped shows only that at least so much was possible. 20 to 30 holds from 20 up to just below "
    "31. For work with a curve of loads and repetitions, and for holds.",
    "later_sets": "The size, in the unit of `work`, of each of its sets after the first that the athlete chose to "
    "end: the smallest is held against `lower`, the largest against `upper`. Not counted are a set that does all "
    "that is asked or left of the work (of the round, where there are rounds), one that the clock ended, and penalty "
    "work. Without any such set the condition holds.",
    "share_of_available": "The amount of a set divided by what was possible at its start, times 100: percent, a "
    "real number. What was possible is not rounded, and takes in the fatigue and the rest so far: the fewer of what "
    "the muscles and, where a sustainable rate is known, the breath allow. A set to failure took all of it. The "
    "mean over the sets of `work` is held against the window, with a tolerance of 5 percent points on either side: "
    "the first set may be easier and the last one harder than that; where no work is named, the mean of each work "
    "whose capacity is known. Not counted is a set that completes what earlier ones left, or one that the clock "
    "ended. Where a rest between rounds, intervals or attempts part the sets, each is meant to be done in one go: "
    "its share is that of all that is asked, 100 where less than that was possible. What a set leaves in reserve is "
    "the rest of it: 80 percent of 10 repetitions leaves 2 (there is no condition in repetitions left). Work that "
    "cannot be begun at all counts as 200 percent. Foretold only: a result does not show what was possible, so the "
    "check of the aim answers `unknown`.",
    "time": "Seconds: the official time with its penalties where `scored` is `time`, else the clock at the end of "
    "the work.",
    "score": "The official score, in the unit that `scored` has.",
    "effort": "How hard the block felt on a scale of 0 to 10, as the athlete reports it; it is not foretold.",
    "stopped_by": "What stops the athlete, named by `by` in place of bounds: what would shorten the work (or raise "
    "the score) most if it were better by a tenth.",
}

SCORES: Final[Mapping[str, str]] = {
    "time": "seconds on the clock with the penalties added; less is better, in all else more is",
    "repetitions": "all that counts, added up, in the unit of the work",
    "rounds": "all that counts, added up, in the unit of the work and told as rounds and the rest; of work in "
    "several units rounds, with the share of the next one for a fraction",
    "distance": "metres",
    "energy": "kilocalories on the display",
    "held_time": "seconds held",
    "load": "kilograms: the heaviest load that succeeded, less assistance",
    "volume_load": "kilograms times repetitions, added up",
    "intervals": "intervals completed, a whole number",
    "smallest_interval": "the smallest amount of an interval, in the unit of the work",
    "none": "nothing, so that no window of a score can be told",
}


def listed(words: Mapping[str, str]) -> str:
    """As a list in the text of a schema."""
    return "\n".join(f"- `{name}`: {meaning}" for name, meaning in words.items())
