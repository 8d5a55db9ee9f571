"""The lines of a brief: one prescription's numbers in sentences that an athlete can act on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median_low
from typing import Any, Final

from programming.calc.revision import REPETITIONS, UNITS
from programming.calc.units import NAMES
from scoring.brief_rounds import by_round, in_a_row
from scoring.names import Names
from scoring.words import HOLDS, acknowledged_said, listed, noun, refused_said, units_said

CLOCK_FROM_S: Final = 120.0
FITTED: Final = "That is of somebody who fits sets and rests to the day, not of the sets above to the letter."
"""Whom the range is of: the sets that are told are those of a middle day. What is done to the letter has another."""
LEVELS: Final = ("p10", "p50", "p90")
# What a score is counted in, where its unit is not a word already.
WHICH_HOLDS: Final = (
    "The sets below are worked out; where they say something else than these words, ask your coach."
)
"""Behind the coach's own words: what they mean is not read, and how far sets go is planned by the aim."""
STOPS: Final[Mapping[str, str]] = {
    "local_muscle": "What will probably stop you{where}: the muscles in {work}, before the breath.",
    "breathing": "What will probably stop you{where}: the breath, before the muscles.",
    "strength": "What will probably stop you{where}: strength in {work}.",
    "skill": "What will probably stop you{where}: skill in {work}.",
    "unknown": "What will stop you{where} is not known yet.",
}
"""What is foreseen, whether the aim wants it or not: what to do about it is the coach's to say."""


def clock(seconds: float) -> str:
    """Minutes and seconds."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def option_said(option: Mapping[str, Any], names: Names) -> str:
    """A version with what is set up."""
    known = _with_stored(names, option)
    # By the name that was stored, as in the cautions: a version that was renamed since has one name in a brief.
    name = option.get("variation_name") or known.variation(option["variation"])
    load = "" if option["load_kg"] is None else f" with {known.load(option['variation'], option['load_kg'])}"
    height = "" if option["height_cm"] is None else f" at {option['height_cm']:g} cm"
    eased = "" if option["assistance_kg"] is None else f" with {option['assistance_kg']:g} kg of assistance"
    return f"{name}{height}{load}{eased}"


def _with_stored(names: Names, option: Mapping[str, Any]) -> Names:
    """Of a variation that the session does not have any more, what was stored of it."""
    key = option["variation"]
    if key in names.variations:
        return names
    return Names(
        variations={key: option["variation_name"]},
        implements={key: option.get("implements", 1)},
        worn=frozenset([key] if option.get("worn") else []),
    )


def version_line(work: Mapping[str, Any], names: Names, rounds: int | None) -> str:
    amount = amount_of(work)
    much = (
        f"as many {units_said(work['unit'])} as possible" if amount is None else _much(amount, work["unit"])
    )
    own = "" if work["amount_as_written"] else " (your own amount)"
    most = "" if rounds is None else f", at most {names.so_many(work['block'], rounds)}"
    return f"{option_said(work, names)}: {much}{own}{most}."


def attempt_line(one: Mapping[str, Any], names: Names, *, own: bool = False) -> str:
    """One of attempts with rising loads; own: whether the repetitions are the athlete's own."""
    much = _much(one["repetitions"], REPETITIONS) + (" (your own amount)" if own else "")
    percent = round(100.0 * one["probability"])
    chance = f"; the chance to make it is {'more than 99' if percent > 99 else percent} %"
    return f"{_nth(one['number'])} attempt: {option_said(one, names)}, {much}{chance}."


def _nth(number: int) -> str:
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def warm_up_line(one: Mapping[str, Any], names: Names) -> str:
    return f"{one['repetitions']} × {option_said(one, names)}."


def check_line(check: Mapping[str, Any], names: Names) -> str:
    # Of a single one nobody can stop earlier: what was left tells.
    asked = f"stop at {_much(check['stop_at'], check['unit'])}, or with {check['reserve_at_least']} left"
    if check["stop_at"] == 1 and check["unit"] == REPETITIONS:
        asked = "do one, and tell how many were left"
    told = f"{option_said(check, names)}: {asked}. Send it: the answer says how to go on."
    return f"{told} Rest {clock(check['rest_after_s'])} after it." if check["rest_after_s"] else told


def sets_line(
    work: Mapping[str, Any],
    sets: Sequence[Mapping[str, Any]],
    names: Names,
    rounds: Sequence[int] | None = None,
) -> str:
    """Equal sets in a row as one, equal rounds as well; rounds: of each set, from 0, where the block has several."""
    amounts = [amount_of(one) or 0.0 for one in sets]
    much = noun(amounts[-1] if amounts else 0.0, units_said(work["unit"]))
    told = in_a_row(amounts)
    if rounds is not None:
        parts = by_round(amounts, rounds)
        told = "; ".join(f"{names.of_rounds(work['block'], numbers)} in {said}" for numbers, said in parts)
    return f"{names.work(work['work'])}: {told} {much}."


def rest_lines(plan: Sequence[Mapping[str, Any]], names: Names) -> list[str]:
    """Before later sets, by what they follow: after other work the pause is another than after the same."""
    rests: dict[tuple[str, str, str], list[float]] = {}
    for before, one in pairwise(plan):
        if before["block"] == one["block"]:
            rests.setdefault((one["block"], before["work"], one["work"]), []).append(one["rest_before_s"])
    return [
        _rest_said(names.work(before), names.work(work), times) for (_, before, work), times in rests.items()
    ]


def _rest_said(before: str, work: str, times: Sequence[float]) -> str:
    low, high = min(times), max(times)
    between = f"{work}, between two sets" if before == work else f"{work}, after {before}"
    if high == 0:
        return f"{between}: go on at once."
    if low == high:
        return f"{between}: {_pause(high)}."
    return f"{between}: {_pause(low)} to {_pause(high)}, mostly about {_pause(median_low(times))}."


def _pause(seconds: float) -> str:
    return f"{seconds:g} s" if seconds < CLOCK_FROM_S else clock(seconds)


def overridden_lines(content: Mapping[str, Any], names: Names) -> list[str]:
    """What a coach prescribed instead, why, and what was known to speak against it."""
    told = content.get("overridden_by")
    if told is None:
        return []
    against = [acknowledged_said(code, names.works) for code in told["acknowledged"]]
    known = (
        [f"It was known to stand against it: {listed(against)}. Ask your coach about it."] if against else []
    )
    return [f"Your coach prescribed this instead of what was worked out: {told['reason']}", *known]


def stop_line(one: Mapping[str, Any], names: Names) -> str:
    where = f" in {names.block(one['block'])}" if len(names.blocks) > 1 else ""
    return STOPS[one["by"]].format(work="" if one["work"] is None else names.work(one["work"]), where=where)


def expected_line(expected: Mapping[str, Any], names: Names, block: str) -> str:
    """The score of a block in the middle, and what eight of ten such days lie between."""
    score, unit = expected["score"], expected["unit"]
    about = f"In {names.block(block)}: " if len(names.blocks) > 1 else ""
    if unit is None:
        return ""
    if any(score[level] is None for level in LEVELS):
        chance = round(100.0 * expected["finish_probability"])
        return f"{about}The work is done in time with a chance of {chance} %."
    low, middle, high = (_foreseen(expected, level, names, block) for level in LEVELS)
    # Rounds are told with an "and" of their own.
    days = f"between {low} and {high}" if expected["rounds"] is None else f"from {low} to {high}"
    told = f"{about}{'about' if about else 'About'} {middle}; on eight days of ten {days}."
    elapsed = expected.get("elapsed_s")
    if unit != "s" or elapsed is None or elapsed["p50"] >= score["p50"]:
        return told
    return f"{told} Penalties are in it: about {clock(elapsed['p50'])} on the clock."


def _foreseen(expected: Mapping[str, Any], level: str, names: Names, block: str) -> str:
    """One level of the score; rounds as whole ones with what is done of the next: "4 rounds and 12 of Row"."""
    told = None if expected["rounds"] is None else expected["rounds"][level]
    if told is None:
        return _score(expected["score"][level], expected["unit"])
    rest = [
        f"{one['amount']:g}{_of_a_round(one['unit'])} of {names.work(one['work'])}" for one in told["rest"]
    ]
    parts = [names.so_many(block, told["rounds"]), *rest] if told["rounds"] or not rest else rest
    return " and ".join([listed(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def hold_lines(hold: Mapping[str, Any]) -> list[str]:
    return [
        f"On hold since {hold['since']}: {HOLDS[hold['code']]}.",
        f"Meanwhile: {hold['safe_alternative']}",
        f"It is released by {hold['released_by']}.",
    ]


ASK: Final = "Ask your coach."


def why_not_lines(content: Mapping[str, Any], names: Names) -> list[str]:
    """Why there is no version, where nothing can be set up by what stands in the way, and what came closest."""
    return [*why_not_facts(content, names), ASK]


def why_not_facts(content: Mapping[str, Any], names: Names) -> list[str]:
    """The same for the coach who is asked."""
    return [*_obstacles(content, names), *_offers(content, names)]


def left_out_lines(content: Mapping[str, Any], blocks: Sequence[str], names: Names) -> list[str]:
    """The same of the blocks without a version, where others have one."""
    told = []
    for block in blocks:
        mine = {**content, "reasons": [one for one in content["reasons"] if one["block"] == block]}
        told += [f"Left out: {names.block(block)}.", *_obstacles(mine, names)]
    return [*told, *_offers(content, names), ASK]


def _obstacles(content: Mapping[str, Any], names: Names) -> list[str]:
    told = [line for one in content["reasons"] for line in _reasons(content, one, names)]
    return list(dict.fromkeys(told))


def _offers(content: Mapping[str, Any], names: Names) -> list[str]:
    """What a coach may make of it: attempts with their loads, else the closest version."""
    attempted = {one["work"] for one in content["attempts"]}
    offered = [f"For your coach to confirm: {attempt_line(one, names)}" for one in content["attempts"]]
    near = [option_said(one, names) for one in content["closest"] if one["work"] not in attempted]
    closest = [f"Closest would be: {listed(near)}."] if near else []
    return [*offered, *closest]


def _reasons(content: Mapping[str, Any], reason: Mapping[str, Any], names: Names) -> list[str]:
    about = f"{names.work(reason['work'])}: " if reason["work"] else ""
    return [f"{about}{said}." for said in refused_said(content, reason)]


def amount_of(entry: Mapping[str, Any]) -> float | None:
    """In whatever unit; None: as much as possible."""
    return next((float(entry[unit]) for unit in UNITS if entry.get(unit) is not None), None)


def _much(amount: float, unit: str) -> str:
    return f"{amount:g} {noun(amount, units_said(unit))}"


def _of_a_round(unit: str) -> str:
    return "" if unit == REPETITIONS else f" {NAMES[unit]}"


def _score(value: float, unit: str) -> str:
    return clock(value) if unit == "s" else f"{value:g} {noun(value, units_said(unit))}"
