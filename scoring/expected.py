"""What is to be expected of a block, rounded; each number with its interval or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor
from typing import Any

from programming.calc.revision import REPETITIONS, Block
from scoring.calc.forecast import BlockForecast, Spread
from scoring.calc.rounds import named_rest, portions, progress_of
from scoring.rounding import AMOUNT_STEPS, PROBABILITY_STEP, REST_STEP_S, SCORE_STEP_S, step, to_step

SECONDS, ROUNDS = "s", "rounds"
ROUND_DIGITS = 2


def expected_of(block: Block, forecast: BlockForecast | None) -> dict[str, Any] | None:
    """score: the official score in `unit`; score_s: the same where it is a time, as it was told before; rounds: the
    same as whole rounds and what is done of the next one, where rounds are scored.

    block: with the athlete's own amounts.
    """
    if forecast is None:
        return None
    levels = (("p10", forecast.p10), ("p50", forecast.p50), ("p90", forecast.p90))
    rounds = {name: _in_rounds(block, value) for name, value in levels}
    score: dict[str, float | None] = {
        name: None if value is None else _rounded(value, forecast.unit) for name, value in levels
    }
    if forecast.unit == ROUNDS:
        score = {name: None if one is None else one["value"] for name, one in rounds.items()}
    why = _why_no_score(forecast)
    timed = forecast.unit == SECONDS
    return {
        "score": score,
        "score_reason": why,
        "unit": forecast.unit,
        "better": forecast.better,
        "rounds": _told(rounds),
        "score_s": score if timed else dict.fromkeys(("p10", "p50", "p90")),
        "score_s_reason": why if timed else "not_scored_by_time",
        "finish_probability": step(forecast.p_finish, PROBABILITY_STEP),
        "breaks": _whole(forecast.breaks),
        "misses": None if forecast.misses is None else _whole(forecast.misses),
        "elapsed_s": None if forecast.elapsed is None else _seconds(forecast.elapsed),
        "first_set": {one.work: _done(one.fresh, one.unit) for one in forecast.work if one.fresh is not None},
        "smallest_later_set": {
            one.work: _done(one.smallest_later, one.unit)
            for one in forecast.work
            if one.smallest_later is not None
        },
    }


def _in_rounds(block: Block, value: float | None) -> dict[str, Any] | None:
    """Whole rounds with the rest in steps that can be acted on, and the score of exactly that."""
    if value is None or block.rules.scored != ROUNDS:
        return None
    named = named_rest(block, value)
    if named is None:
        return None
    count, rest = named
    asked = portions(block, count)
    done = [
        min(float(to_step(amount, AMOUNT_STEPS[item.unit])), most)
        for item, amount, most in zip(block.work, rest, asked, strict=True)
    ]
    whole = [sum(portions(block, number)[index] for number in range(count)) for index in range(len(done))]
    total = [before + more for before, more in zip(whole, done, strict=True)]
    return {
        "rounds": count,
        "rest": [
            {
                "work": item.key,
                "amount": int(amount) if item.unit == REPETITIONS else amount,
                "unit": item.unit,
            }
            for item, amount in zip(block.work, done, strict=True)
            if amount > 0.0
        ],
        "value": round(progress_of(block, total).value, ROUND_DIGITS),
    }


def _told(rounds: dict[str, dict[str, Any] | None]) -> dict[str, Any] | None:
    """None where no rounds are scored."""
    told = {
        name: None if one is None else {"rounds": one["rounds"], "rest": one["rest"]}
        for name, one in rounds.items()
    }
    return told if any(one is not None for one in told.values()) else None


def stops_of(block: str, forecast: BlockForecast | None) -> Iterator[dict[str, Any]]:
    """What stops the athlete, and what a tenth more of it would be worth in the unit of the score."""
    if forecast is None or forecast.stops is None:
        return
    stops = forecast.stops
    known = stops.by != "unknown"
    yield {
        "block": block,
        "by": stops.by,
        "work": stops.work,
        "reason": stops.reason,
        "gain": _gain(stops.gain, forecast.unit) if known else None,
        "gain_reason": None if known else stops.reason or "unknown",
        "unit": forecast.unit,
    }


def other_pacings_of(block: str, forecast: BlockForecast | None) -> Iterator[dict[str, Any]]:
    """What another pacing would cost in the unit of the score, and in breaks; not what is rounded to nothing."""
    if forecast is None:
        return
    for one in forecast.other_pacings:
        costs = _price(one.costs, forecast.unit)
        if costs:
            yield {
                "block": block,
                "change": one.change,
                "rest_s": round(one.own_rest_s),
                "rest_now_s": round(forecast.own_rest_s),
                "share": round(one.share, 2),
                "share_now": round(forecast.share, 2),
                "patience": forecast.worthwhile,
                "pace": 1.0 if forecast.pace is None else forecast.pace,
                "costs": costs,
                "unit": forecast.unit,
                "more_breaks": round(one.breaks),
            }


def _price(costs: float, unit: str | None) -> float:
    if unit == ROUNDS:
        return round(costs, ROUND_DIGITS)
    return to_step(costs, REST_STEP_S) if unit == SECONDS else round(costs)


def _why_no_score(forecast: BlockForecast) -> str | None:
    if forecast.unit is None:
        return "not_scored"
    told = forecast.p10 is not None and forecast.p50 is not None and forecast.p90 is not None
    return None if told else "may_not_finish_in_time"


def _gain(gain: float, unit: str | None) -> float:
    return round(gain, ROUND_DIGITS) if unit == ROUNDS else _rounded(gain, unit)


def _rounded(value: float, unit: str | None) -> int:
    return to_step(value, SCORE_STEP_S) if unit == SECONDS else round(value)


def _whole(spread: Spread) -> dict[str, int]:
    return {"p10": round(spread.p10), "p50": round(spread.p50), "p90": round(spread.p90)}


def _done(spread: Spread, unit: str) -> dict[str, int]:
    """An amount as somebody does it: of repetitions those that are complete, as the explanation tells them too."""
    if unit != REPETITIONS:
        return _whole(spread)
    return {name: floor(getattr(spread, name) + 1e-9) for name in ("p10", "p50", "p90")}


def _seconds(spread: Spread) -> dict[str, int]:
    return {
        name: to_step(value, SCORE_STEP_S)
        for name, value in (("p10", spread.p10), ("p50", spread.p50), ("p90", spread.p90))
    }
