"""The coach's sheet of a session on paper: a strip for each athlete, a line for each work item.

Pure text from what the interface answers; nothing here knows the service.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest
from textwrap import wrap
from typing import Any, Final

from services.demo.describe import short
from services.demo.sheet_words import HOLDS, LABELS, OFFERS, REASONS, SAFETY

WIDTH: Final = 100
NAME, VERSION, PLAN, FRESH = 16, 30, 16, 12
MARK: Final = "="
# From how many equal sets in a row on they are written as one.
SETS_IN_A_ROW: Final = 3
AMOUNTS: Final = ("repetitions", "hold_s", "distance_m", "energy_kcal")
MEASURES: Final = {"power": "W", "speed": "m/s"}


@dataclass(frozen=True)
class Strip:
    """One athlete on the sheet; content and basis as in a prescription."""

    name: str
    facts: str
    content: Mapping[str, Any]
    basis: Mapping[str, Any]


def heading(title: str, place: str, when: str, lines: Sequence[str]) -> list[str]:
    """The top of a session's sheet."""
    right = f"{place}, {when}"
    left = f"{'athlete':<{NAME}} {'version':<{VERSION - 1}}{'sets':<{PLAN}}{'fresh':<{FRESH}}"
    return [
        "─" * WIDTH,
        f"{title}{right:>{WIDTH - len(title)}}",
        *(f"  {line}" for line in lines),
        "",
        f"{left}score 10 – 50 – 90 %",
        f"{'':<{NAME + VERSION + PLAN + FRESH}}aim, and what stops",
        "─" * WIDTH,
    ]


def strip_lines(strip: Strip) -> list[str]:
    """A line for each work item, two at least, and more where there is something to do first or to decide."""
    content = strip.content
    if not content["feasible"]:
        return _unfit(strip)
    lefts = (strip.name, f"  {strip.facts}")
    rights = (_score(content["expected"]), _aim(strip))
    works = [_work_cells(strip, work) for work in content["work"]]
    lines = [
        f"{left:<{NAME}}{cells:<{VERSION + PLAN + FRESH}}{right}".rstrip()
        for left, cells, right in zip_longest(lefts, works, rights, fillvalue="")
    ]
    return lines + [line for check in content["check_sets"] for line in _wrapped(_check(check))]


def footer() -> list[str]:
    return [
        "─" * WIDTH,
        f"{MARK} as the coach wrote it · 19×: an amount of the athlete's own, each time · 3×12: sets of the plan ·",
        "fresh: possible when rested (10–50–90 %), or the power that lasts · score: clock and penalties, in",
        "10, 50, 90 of 100 such days not later · aim: chance that all of it holds · what stops: what would",
        "gain most if it were better; with ? nobody can tell muscle from breath, since nothing shows it",
        *SAFETY,
    ]


def version_name(option: Mapping[str, Any]) -> str:
    """A version in a few words, with what is set."""
    name: str = LABELS.get(option["variation"]) or option["variation_name"]
    if option["height_cm"] is not None:
        name += f" at {option['height_cm']:g} cm"
    if option["load_kg"] is not None:
        name += f" {option['load_text']}"
    if option["assistance_kg"] is not None:
        name += f" −{option['assistance_kg']:g} kg"
    return name


def own_version(content: Mapping[str, Any]) -> str:
    """All of a prescription in one line: versions, with the amount where it is the athlete's own."""
    return ", ".join(f"{_own_amount(work)}{version_name(work)}" for work in content["work"]) or "none"


def clock(seconds: float | None) -> str:
    """Minutes and seconds; a dash where the work may not be done in time."""
    return "  –  " if seconds is None else f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


def _work_cells(strip: Strip, work: Mapping[str, Any]) -> str:
    content, key = strip.content, work["work"]
    mark = MARK if work["as_written"] and work["amount_as_written"] else " "
    checked = any(one["work"] == key for one in content["check_sets"])
    plan = "after check set" if checked else _sets([one for one in content["plan"] if one["work"] == key])
    version = f"{mark}{_own_amount(work)}{version_name(work)}"
    cells = f"{version:<{VERSION - 1}} {plan}"  # a long version takes of the column beside it, never its gap
    return f"{cells:<{VERSION + PLAN - 1}} {_fresh(strip, key):<{FRESH}}"


def _own_amount(work: Mapping[str, Any]) -> str:
    return "" if work["amount_as_written"] or amount_of(work) is None else f"{amount_of(work):g}× "


def amount_of(entry: Mapping[str, Any]) -> float | None:
    """The amount of a set or of work, in whatever unit; None: as much as possible."""
    return next((entry[unit] for unit in AMOUNTS if entry.get(unit) is not None), None)


def _sets(plan: Sequence[Mapping[str, Any]]) -> str:
    """The sets in order, equal ones in a row as one; what does not fit ends in dots."""
    told: list[str] = []
    for amount, row in groupby(f"{amount_of(one) or 0:g}" for one in plan):
        many = len(list(row))
        told += [f"{many}×{amount}"] if many >= SETS_IN_A_ROW else [amount] * many
    words = " ".join(told)
    if len(words) < PLAN:
        return words
    return words[: words.rindex(" ", 0, PLAN - 2)] + " …"


def _fresh(strip: Strip, work: str) -> str:
    spread = strip.content["expected"]["first_set"].get(work)
    if spread is not None:
        return "–".join(f"{spread[name]:g}" for name in ("p10", "p50", "p90"))
    lasting = strip.basis["capacities"].get(work, {})
    if lasting.get("critical") is None:
        return ""
    return f"{lasting['critical']['median']:.0f} {MEASURES[lasting['measure']]}"


def _score(expected: Mapping[str, Any]) -> str:
    if expected["unit"] is None:
        return "not scored"
    score = expected["score"]
    show = clock if expected["unit"] == "s" else str
    words = " – ".join(show(score[name]) for name in ("p10", "p50", "p90"))
    return words if expected["unit"] == "s" else f"{words} {expected['unit']}"


def _aim(strip: Strip) -> str:
    p_all = strip.basis["p_all"]
    chance = "  –" if p_all is None else f"{100 * p_all:3.0f} %"
    return f"{chance}  {_stop(strip.content)}".rstrip()


def _stop(content: Mapping[str, Any]) -> str:
    """What stops the athlete in the first block, in a word or two."""
    if not content["stopped_by"]:
        return ""
    one = content["stopped_by"][0]
    movement = next((work["movement"] for work in content["work"] if work["work"] == one["work"]), None)
    if one["by"] == "unknown":
        return f"{short(movement)} ?" if movement else ""
    by = {"local_muscle": "muscle"}.get(one["by"], one["by"])
    return f"{by}: {short(movement)}" if movement else str(by)


def _check(check: Mapping[str, Any]) -> str:
    # About: what else is known decides with the set, and the answer to it says which version it is.
    # Of a single one nobody can stop earlier: what was left tells.
    stop = f"stop at {check['stop_at']} or with {check['reserve_at_least']} left"
    if check["stop_at"] == 1:
        stop = "do one and tell how many were left"
    words = f"check first: {version_name(check)}, {stop}"
    if check["if_easier_needed"] is not None:
        words += f"; under {check['able_at_least']} in all: about {version_name(check['if_easier_needed'])}"
    if check["if_harder_possible"] is not None and check["able_at_most"] is not None:
        words += f"; over {check['able_at_most']} in all: about {version_name(check['if_harder_possible'])}"
    return words


def hold_lines(hold: Mapping[str, Any]) -> list[str]:
    """Why nothing is prescribed, what is offered meanwhile, and who ends it."""
    return [
        f"– on hold: {HOLDS[hold['code']]}",
        f"meanwhile: {hold['safe_alternative']}",
        f"released by {hold['released_by']}",
    ]


def _why_not(content: Mapping[str, Any]) -> list[str]:
    if content["hold"] is not None:
        return hold_lines(content["hold"])
    told = list(dict.fromkeys(_reason(content, reason) for reason in content["reasons"]))
    offers = [OFFERS[offer] for offer in content["alternatives"]]
    return [f"– no version fits: {'; '.join([*told, *offers])}"]


def _reason(content: Mapping[str, Any], reason: Mapping[str, Any]) -> str:
    if reason["code"] != "no_options":
        return REASONS[reason["code"]]
    codes = dict.fromkeys(one["reason"] for one in content["ruled_out"] if one["work"] == reason["work"])
    return ", ".join(_left_out(code) for code in codes)


def _left_out(code: str) -> str:
    kind, _, what = code.partition(":")
    words = {"limit": "limit in force", "sore": "sore today"}
    return f"{words[kind]} ({what.replace('_', ' ')})" if kind in words else REASONS[kind]


def _unfit(strip: Strip) -> list[str]:
    """Why there is no version, what to offer instead, and what came closest."""
    near = " and ".join(version_name(option) for option in strip.content["closest"])
    first, *rest = [line for text in _why_not(strip.content) for line in _wrapped(text)]
    rest += _wrapped(f"closest: {near}") if near else []
    rest = rest or [""]
    rest[0] = f"  {strip.facts:<{NAME - 2}}{rest[0][NAME:]}".rstrip()
    return [f"{strip.name:<{NAME}}{first[NAME:]}", *rest]


def _wrapped(text: str) -> list[str]:
    """Lines right of the names."""
    return [f"{'':<{NAME}}{line}" for line in wrap(text, WIDTH - NAME)]
