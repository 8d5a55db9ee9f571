"""Why this prescription: its own numbers put into sentences. Reads the stored content and basis, nothing else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.calc.difference_words import condition_named, plain, window_said
from programming.calc.revision import Condition
from scoring.attempt_words import attempts_told
from scoring.content_work import worn
from scoring.names import Names
from scoring.of_late_words import of_late_told
from scoring.rested_words import rested_told
from scoring.substitutes import set_up_said, substitutes_told
from scoring.tempo_words import tempo_told
from scoring.unseen_words import unseen_told
from scoring.volume_words import volume_told
from scoring.words import CAPACITIES, HOLDS, acknowledged_said, refused_said, ruled_out_said, whole

MOST_OTHERS: Final = 5
UNTOLD_ABOVE: Final = 60.0
"""Ours: an interval from nothing to more than so many tells nobody anything."""
WITHOUT_AN_AIM: Final = frozenset({"maximal_attempt_needs_coach", "no_options", "cap_below_work"})
"""Reasons for which nothing is prescribed whatever the aim is, and where there is none."""


@dataclass(frozen=True)
class WorkWhy:
    """Of one work item: what was chosen, by what, what else there was, and what was left out.

    capacity: the figures with their intervals as the basis has them; chosen and candidates as shown to the
    calculation, the others best first. chosen is None, with its reason, where nothing is prescribed: the nearest
    version is the first of the others then.
    """

    block: str
    work: str
    capacity: Mapping[str, Any]
    chosen: Mapping[str, Any] | None
    chosen_reason: str | None
    others: Sequence[Mapping[str, Any]]
    ruled_out: Sequence[Mapping[str, Any]]
    sentences: Sequence[str]


@dataclass(frozen=True)
class Why:
    """The whole explanation; p_all: that all conditions of the ranked block hold at once, None where that is unknown
    or nothing is prescribed.
    """

    sentences: Sequence[str]
    work: Sequence[WorkWhy]
    p_all: float | None
    p_all_reason: str | None


def explain(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> Why:
    """Of a prescription as it is stored, old ones too; names: of its session."""
    candidates: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for one in basis.get("candidates", []):
        candidates[one["work"]].append(one)
    told = [*content["work"], *content["closest"]]
    prescribed = {one["work"] for one in content["work"]}
    blocks = {one["work"]: one.get("block", "main") for one in told}
    works = list(dict.fromkeys([*blocks, *candidates, *(one["work"] for one in content["ruled_out"])]))
    left_out: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for one in content["ruled_out"]:
        blocks.setdefault(one["work"], one.get("block", "main"))
        left_out[one["work"]].append(one)
    p_all = basis.get("p_all") if content["feasible"] else None
    return Why(
        sentences=list(_whole(content, basis, names)),
        work=[
            _of_work(
                _Item(blocks.get(work, "main"), work, work in prescribed),
                next((one for one in told if one["work"] == work), None),
                candidates[work],
                left_out[work],
                basis.get("capacities", {}).get(work, {}),
                basis.get("tempo", {}).get(work),
                names,
            )
            for work in works
        ],
        p_all=p_all,
        p_all_reason=None if p_all is not None else _why_no_p(content),
    )


def _why_no_p(content: Mapping[str, Any]) -> str:
    if content.get("hold"):
        return "held"
    return "no_condition_can_be_told" if content["feasible"] else "infeasible"


def _whole(content: Mapping[str, Any], basis: Mapping[str, Any], names: Names) -> Iterator[str]:
    hold = content.get("hold")
    if hold:
        why = HOLDS.get(hold["code"], plain(hold["code"]))
        yield f"Nothing is prescribed while there is a hold ({why}) since {hold['since']}."
        yield f"It is released by {hold['released_by']}. Meanwhile: {hold['safe_alternative']}"
    override = content.get("overridden_by")
    if override:
        yield f"A person prescribed this instead of the calculation: {override['reason']}"
        if override["acknowledged"]:
            against = ", ".join(acknowledged_said(code, names.works) for code in override["acknowledged"])
            yield f"Against it stands, and was acknowledged: {against}."
    if content["feasible"] and content["as_written"]:
        yield "The session is done as the coach wrote it."
    if not content["feasible"] and not hold:
        shut = [one["block"] for one in content["blocks"] if not one["feasible"]]
        reasons = [one for one in content["reasons"] if not shut or one["block"] in shut]
        told = dict.fromkeys(said for one in reasons for said in _refused(content, one, names))
        aimless = all(one["code"] in WITHOUT_AN_AIM for one in reasons)
        part = 0 < len(shut) < len(content["blocks"])
        of = " and ".join(names.block(one) for one in shut) if part else "the session"
        what = f"Nothing of {of} is prescribed" if aimless else f"No version of {of} serves its aim"
        yield f"{what} for this athlete: {'; '.join(told)}."
    yield from attempts_told(content, names)
    yield from unseen_told(content, names)
    yield from of_late_told(content, basis, names)
    yield from volume_told(content, basis, names)
    yield from _day(content.get("day") or {})
    yield from substitutes_told(content, basis, names)
    known = [_condition(one, names) for one in content["conditions"] if one["probability"] is not None]
    if known and not content["feasible"]:
        yield "With the nearest versions, which are not prescribed:"
    yield from known
    yield from rested_told(content, names)


def _refused(content: Mapping[str, Any], reason: Mapping[str, Any], names: Names) -> list[str]:
    about = "" if reason["work"] is None else f" ({names.work(reason['work'])})"
    return [said + about for said in refused_said(content, reason)]


def _condition(one: Mapping[str, Any], names: Names) -> str:
    asked = Condition(one["kind"], None, one["lower"], one["upper"], one.get("by"))
    of = f" of {names.work(one['work'])}" if one["work"] else f" in {names.block(one.get('block', ''))}"
    about = condition_named(asked) + of
    told = f"{about}, asked {window_said(asked)}: {100 * one['probability']:.0f} in 100 such days."
    return told[0].upper() + told[1:]


def _day(day: Mapping[str, Any]) -> Iterator[str]:
    if day.get("kit_in_use"):
        yield f"Not free on this day: {', '.join(plain(one) for one in day['kit_in_use'])}."
    sore = [*day.get("sore_hazards", []), *day.get("sore_muscle_groups", [])]
    if sore:
        yield f"Spared on this day: {', '.join(plain(one) for one in sore)}."
    if day.get("drop_in"):
        yield "The athlete takes part for this day only."


@dataclass(frozen=True)
class _Item:
    """A work item, and whether it is prescribed."""

    block: str
    work: str
    prescribed: bool


def _of_work(
    item: _Item,
    told: Mapping[str, Any] | None,
    candidates: Sequence[Mapping[str, Any]],
    left_out: Sequence[Mapping[str, Any]],
    capacity: Mapping[str, Any],
    tempo: Mapping[str, Any] | None,
    names: Names,
) -> WorkWhy:
    """told: the version that is prescribed, or the nearest where none is."""
    same = None if told is None else next((one for one in candidates if _is_same(told, one)), None)
    chosen = same if item.prescribed else None
    others = sorted(
        (one for one in candidates if one is not chosen),
        key=lambda one: (one is not same, float(one["loss"])),
    )
    nothing = "none_was_possible" if told is None or item.prescribed else "infeasible"
    return WorkWhy(
        block=item.block,
        work=item.work,
        capacity=capacity,
        chosen=None if chosen is None else _shown(chosen, names),
        chosen_reason=None if chosen is not None else nothing,
        others=[_shown(one, names) for one in others[:MOST_OTHERS]],
        ruled_out=[_left_out(one, names) for one in left_out],
        sentences=[*_about(told, capacity, item.prescribed, names), *tempo_told(tempo)],
    )


def _left_out(one: Mapping[str, Any], names: Names) -> dict[str, Any]:
    return {
        **one,
        "variation_name": names.variation(one["variation"]),
        "text": ruled_out_said(one["reason"]),
    }


def _is_same(told: Mapping[str, Any], one: Mapping[str, Any]) -> bool:
    option = one["option"]
    same = all(told[name] == option[name] for name in ("load_kg", "assistance_kg", "height_cm"))
    return bool(same and told["variation"] == option["variation_key"])


def _shown(one: Mapping[str, Any], names: Names) -> dict[str, Any]:
    option = one["option"]
    return {
        "variation": option["variation_key"],
        "variation_name": names.variation(option["variation_key"]),
        "implements": names.implements.get(option["variation_key"], 1),
        **worn(option["load_kg"], option["variation_key"] in names.worn),
        "load_kg": option["load_kg"],
        "assistance_kg": option["assistance_kg"],
        "height_cm": option["height_cm"],
        "as_written": one["is_as_written"],
        "novel": one["is_novel"],
        "fresh": one["fresh"],
        "fresh_reason": None if one["fresh"] is not None else "no_capacity_model",
        "probability": one["p_first_set"],
        "probability_reason": None if one["p_first_set"] is not None else "no_window_of_a_first_set",
        "loss": one["loss"],
    }


def _about(
    told: Mapping[str, Any] | None, capacity: Mapping[str, Any], prescribed: bool, names: Names
) -> Iterator[str]:
    kind = (told or {}).get("capacity_kind", capacity.get("kind", "none"))
    yield f"Worked out by {CAPACITIES.get(kind, plain(kind))}."
    seen = capacity.get("observations", 0)
    if kind != "none":
        yield f"Observations of the athlete behind it: {seen or 'none yet'}."
    fresh = capacity.get("fresh")
    if fresh is not None:
        named = "" if told is None else f" ({set_up_said(told, told['variation'], names)})"
        which = "this version" if prescribed else f"the nearest version{named}"
        unit = capacity.get("fresh_unit", "repetitions")
        yield _possible(fresh, which, unit)
    if told is not None and not told.get("amount_as_written", True):
        yield "The amount is the athlete's own; the official score is by it, in its own division."


def _possible(fresh: Mapping[str, float], which: str, unit: str) -> str:
    """What is available of it; an interval from nothing to a great many is no figure, and is said to be unknown."""
    if fresh["p10"] < 1.0 and fresh["p90"] > UNTOLD_ABOVE:
        return f"What is possible with {which} when fresh is not known yet."
    middle, low, high = (whole(fresh[name], unit) for name in ("p50", "p10", "p90"))
    return (
        f"Possible with {which} when fresh: {middle}, on 8 of 10 such days between {low.split()[0]} and"
        f" {high.split()[0]}."
    )
