"""In sentences how far to trust the forecasts of a movement or of a kind of score."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from scoring.calc.trust import JUDGED_BY, Estimate
from scoring.trusted import LeftOut, Trusted
from scoring.words import units_said

SCORES: Final[Mapping[str, str]] = {
    "time": "the time of work for time",
    "repetitions": "scores in repetitions",
    "rounds": "scores in rounds",
    "distance": "scores in metres",
    "energy": "scores in kilocalories",
    "held_time": "scores in seconds held",
    "load": "the heaviest load",
    "volume_load": "scores in load times repetitions",
    "intervals": "the number of intervals completed",
    "smallest_interval": "the smallest interval",
}
LEFT_OUT: Final[Mapping[str, str]] = {
    "not_believed": "a review refused the result, or has yet to look at it",
    "made_afterwards": "the prescription was made after the result",
    "replaced": "a newer prescription had taken its place before",
    "older_forecast": "the forecast is of a version that does not tell the ends of the intervals",
    "pain": "pain ended a set",
    "other_version": "done in another version, or with another load, than prescribed",
    "other_amounts": "other amounts were done than prescribed",
    "not_fresh": "other work had tired it before",
}
_SURE: Final[Mapping[str, str]] = {
    "as_said": "They are about as sure as they say.",
    "too_narrow": "They are surer than they should be: allow for more on either side of what they say.",
    "too_wide": "They are less sure than they could be: results lie nearer to the middle than they say.",
}
SIXTY: Final = 60.0


def left_out_said(reason: str, left: LeftOut) -> str:
    """How many first sets and scores, of how many results, and why."""
    parts = "1 first set or score" if left.parts == 1 else f"{left.parts} first sets and scores"
    results = "1 result" if left.results == 1 else f"{left.results} results"
    return f"{parts} of {results}: {LEFT_OUT[reason]}."


def sentence(one: Trusted) -> str:
    """How many results, how often the interval held, and what to allow for."""
    told, of = one.trust.coverage[JUDGED_BY], f"{_counted(one)} held against forecasts of {_named(one)}"
    if one.trust.sureness == "too_few" or told is None:
        return f"{of}: too few that show it to say how far to trust them."
    share, lower, upper = (round(100 * end) for end in (told.share.value, told.share.lower, told.share.upper))
    held = f"{of}: {share} % lay where {JUDGED_BY} % should ({lower} to {upper} %, allowing for chance)."
    return " ".join(part for part in (held, _SURE[one.trust.sureness], _side(one)) if part)


def _named(one: Trusted) -> str:
    return one.name if one.name is not None else SCORES.get(one.subject.scored, one.subject.scored)


def _side(one: Trusted) -> str:
    """On which side of the forecast results lie; more of a time is slower."""
    if one.trust.side is None:
        return ""
    more, less = ("more", "less") if one.subject.scored != "time" else ("slower", "faster")
    by = more if one.trust.side == "too_low" else less
    return f"On the whole it was {by} than foreseen{_by(one.trust.bias, one.trust.side, one.subject.unit)}."


def _by(bias: Estimate | None, side: str, unit: str) -> str:
    """By how much, where it is known, and not the other way round for a few results that are far off."""
    if bias is None or (bias.lower <= 0.0 if side == "too_low" else bias.upper >= 0.0):
        return ""
    ends = sorted((abs(bias.lower), abs(bias.upper)))
    middle, low, high = (_amount(value, unit) for value in (abs(bias.value), *ends))
    return f", by {middle} {units_said(unit)} on average ({low} to {high})"


def _amount(value: float, unit: str) -> str:
    """To a tenth, seconds whole from a minute on, rounds to a hundredth."""
    if unit == "rounds":
        return f"{value:.2f}"
    return f"{value:.0f}" if value >= SIXTY else f"{value:.1f}"


def _counted(one: Trusted) -> str:
    number, least = one.tally.number, one.tally.at_least
    what = "first set" if one.name is not None else "result"
    stopped = f" ({least} of them stopped, which show a least only)" if least else ""
    return f"{number} {what}{'' if number == 1 else 's'}{stopped}"
