"""The coach's sheet of a session on paper: a strip of two lines for each athlete, sets in columns.

Pure text from what the interface answers; nothing here knows the service.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, Final

WIDTH: Final = 110
NAME, VERSION, SET, COLUMNS, FRESH = 17, 25, 4, 8, 13
MARK: Final = "="
LABELS: Final = {
    "push_up_hands_raised": "push-up, hands",
    "push_up_knees": "push-up, on the knees",
    "push_up_floor": "push-up",
    "push_up_feet_raised": "push-up, feet",
    "squat_supported": "squat, hands on rings",
    "box_squat": "squat to a box",
    "body_weight_squat": "squat",
    "goblet_squat": "kettlebell squat",
}
REASONS: Final = {
    "body_mass_missing": "no body mass on record",
    "equipment_missing": "equipment missing",
    "alone_without_safeties": "nobody there and no safeties for the bar",
    "beyond_curve": "too light to tell how often",
    "no_load_repetition_curve": "no load to choose for this movement",
    "too_hard_at_easiest": "even the easiest version is likely to be too hard",
    "too_easy_at_hardest": "even the hardest version here is likely to be too easy",
    "between_options": "what can be loaded here lies on either side of the window",
    "time_out_of_reach": "the time asked for is out of reach",
    "later_sets_out_of_reach": "later sets as long as asked for are out of reach",
    "score_out_of_reach": "the score asked for is out of reach",
    "share_out_of_reach": "sets of the share of what is possible that is asked for are out of reach",
    "stopped_by_something_else": "something else than asked for stops this athlete",
    "maximal_attempt_needs_coach": "attempts at a maximum are for a coach to decide",
    "cap_below_work": "even the least of this work is more than allowed at present",
}
OFFERS: Final = {
    "choose_movement_for_this_equipment": "offer another movement",
    "choose_easier_movement": "offer an easier movement",
    "choose_harder_movement_or_more_repetitions": "offer a harder movement or more repetitions",
    "widen_window_or_change_repetitions": "widen the window or change the repetitions",
    "change_time_window_or_repetitions": "change the time window or the repetitions",
    "choose_movement_without_the_limited_hazard": "offer another movement",
    "record_body_mass": "weigh in first",
    "change_window_of_later_sets": "change the window of later sets",
    "change_score_window_or_amounts": "change the score window or the amounts",
    "change_window_of_shares": "change the window of shares",
    "change_work_or_what_should_stop_the_athlete": "change the work, or what should stop the athlete",
    "warm_up_ladder_without_a_maximal_attempt": "climb the warm-up ladder without an attempt at a maximum",
    "give_fixed_amounts_within_the_cap": "give fixed amounts within what is allowed",
}
SAFETY: Final = (
    "Stop at pain, dizziness, chest discomfort or unusual breathlessness, and tell the coach. Dark urine or extreme",
    "soreness after much unusual work: see a physician at once. This sheet replaces neither a physician nor the",
    "rules of the gym. Who has an illness, is pregnant or comes back after a break asks a physician first.",
)


@dataclass(frozen=True)
class Strip:
    """One athlete on the sheet; content and p_all as in a prescription."""

    name: str
    facts: str
    content: Mapping[str, Any]
    p_all: float | None


def heading(title: str, place: str, when: str, lines: Sequence[str]) -> list[str]:
    """The top of a place's sheet."""
    right = f"{place}, {when}"
    return [
        "─" * WIDTH,
        f"{title}{right:>{WIDTH - len(title)}}",
        *(f"  {line}" for line in lines),
        "",
        _columns(),
        "─" * WIDTH,
    ]


def _columns() -> str:
    sets = "".join(f"{number:>{SET}}" for number in range(1, COLUMNS + 1))
    left = f"{'athlete':<{NAME}}{'version':<{VERSION}}{sets}"
    return f"{left}  {'fresh':<{FRESH}}score 10 – 50 – 90 %"


def strip_lines(strip: Strip) -> list[str]:
    """Two lines of an athlete, and a third where there is something to do first or to decide."""
    content = strip.content
    if not content["feasible"]:
        return _unfit(strip)
    first, second = content["work"]
    expected = content["expected"]
    lines = [
        _line(strip.name, content, first, _score(expected)),
        _line(f"  {strip.facts}", content, second, _aim(strip.p_all, expected)),
    ]
    return lines + [line for check in content["check_sets"] for line in _wrapped(_check(check))]


def footer() -> list[str]:
    return [
        "─" * WIDTH,
        f"{MARK} as the coach wrote it · sets 1, 2, … turn about · fresh: repetitions when rested (10–50–90 %)",
        "score: clock and penalties; in 10, 50, 90 of 100 such days not later · aim: chance that all of it holds",
        *SAFETY,
    ]


def version_name(option: Mapping[str, Any]) -> str:
    """A version in a few words, with what is set."""
    name: str = LABELS.get(option["variation"]) or option["variation_name"]
    if option["height_cm"] is not None:
        name += f" at {option['height_cm']:g} cm"
    if option["load_kg"] is not None:
        name += f" {option['load_kg']:g} kg"
    if option["assistance_kg"] is not None:
        name += f" −{option['assistance_kg']:g} kg"
    return name


def clock(seconds: float | None) -> str:
    """Minutes and seconds; a dash where the work may not be done in time."""
    return "  –  " if seconds is None else f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


def _line(left: str, content: Mapping[str, Any], work: Mapping[str, Any], right: str) -> str:
    mark = MARK if work["as_written"] else " "
    plan = [one["repetitions"] for one in content["plan"] if one["work"] == work["work"]]
    sets = _sets(plan, checked=any(one["work"] == work["work"] for one in content["check_sets"]))
    fresh = content["expected"]["first_set"][work["work"]]
    spread = f"{fresh['p10']}–{fresh['p50']}–{fresh['p90']}"
    version = f"{mark}{version_name(work)}"
    return f"{left:<{NAME}}{version:<{VERSION}}{sets:<{SET * COLUMNS}}  {spread:<{FRESH}}{right}".rstrip()


def _sets(plan: Sequence[int], *, checked: bool) -> str:
    """Repetitions of each set in its column; none before a check set has shown what they can be."""
    if checked:
        return "   after the check set"
    cells = [str(count) for count in plan[:COLUMNS]]
    if len(plan) > COLUMNS:
        cells[-1] = "…"
    return "".join(f"{cell:>{SET}}" for cell in cells)


def _score(expected: Mapping[str, Any]) -> str:
    score = expected["score_s"]
    return " – ".join(clock(score[name]) for name in ("p10", "p50", "p90"))


def _aim(p_all: float | None, expected: Mapping[str, Any]) -> str:
    chance = "  –" if p_all is None else f"{100 * p_all:3.0f} %"
    return f"aim {chance}, {expected['breaks']['p50']} breaks"


def _check(check: Mapping[str, Any]) -> str:
    words = f"check first: {version_name(check)}, stop at {check['stop_at']}"
    if check["if_easier_needed"] is not None:
        words += f"; under {check['reserve_at_least']} left: {version_name(check['if_easier_needed'])}"
    if check["if_harder_possible"] is not None and check["reserve_at_most"] is not None:
        words += f"; over {check['reserve_at_most']} left: {version_name(check['if_harder_possible'])}"
    return words


def _why_not(content: Mapping[str, Any]) -> str:
    told = list(dict.fromkeys(_reason(content, reason) for reason in content["reasons"]))
    offers = [OFFERS[offer] for offer in content["alternatives"]]
    return "; ".join([*told, *offers])


def _reason(content: Mapping[str, Any], reason: Mapping[str, Any]) -> str:
    if reason["code"] != "no_options":
        return REASONS[reason["code"]]
    codes = dict.fromkeys(one["reason"] for one in content["ruled_out"] if one["work"] == reason["work"])
    return ", ".join(REASONS.get(code) or f"limit in force ({code.removeprefix('limit:')})" for code in codes)


def _unfit(strip: Strip) -> list[str]:
    """Why there is no version, what to offer instead, and what came closest."""
    near = " and ".join(version_name(option) for option in strip.content["closest"])
    first, *rest = _wrapped(f"– no version fits: {_why_not(strip.content)}")
    rest += _wrapped(f"closest: {near}") if near else []
    rest = rest or [""]
    rest[0] = f"  {strip.facts:<{NAME - 2}}{rest[0][NAME:]}".rstrip()
    return [f"{strip.name:<{NAME}}{first[NAME:]}", *rest]


def _wrapped(text: str) -> list[str]:
    """Lines right of the names."""
    return [f"{'':<{NAME}}{line}" for line in wrap(text, WIDTH - NAME)]
