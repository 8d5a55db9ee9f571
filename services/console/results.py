"""What came back: the official score beside what was expected, and each condition of the aim held against it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from programming.calc.difference_words import plain
from programming.plans import SessionPlan
from scoring.api.serializers import ScoreOutput
from scoring.names import Names, names_of
from scoring.words import noun, units_said
from services.console.aim import condition_said, shown_said
from services.console.words import DASH, counted, in_words

STATES: Final = {"met": "✓ met", "missed": "✗ missed", "unknown": "? not known"}
"""By sign and word: nothing is told by colour."""
SCORED: Final = {
    "capped": "not done by the time cap",
    "no_mark": "no mark",
    "not_scored": "not scored",
    "unscored": "no score yet",
}


@dataclass(frozen=True)
class Outcome:
    """One condition of the aim: what it was, whether it was met, what the result shows, and the likely cause."""

    condition: str
    state: str
    shown: str
    cause: str


@dataclass(frozen=True)
class Result:
    """One athlete's result of the session; review: the address of what somebody has to decide, "" for none."""

    name: str
    score: str
    detail: str
    effort: str
    expected: str
    outcomes: Sequence[Outcome]
    open_review: bool


def result_of(
    attempt: Any, scores: Sequence[Any], *, name: str, expected: str, open_review: bool, plan: SessionPlan
) -> Result:
    """scores: of its blocks in the session's order; none: not worked out yet."""
    names = names_of(plan)
    told = [ScoreOutput(row).data for row in scores]
    several = len(plan.doc.blocks) > 1
    return Result(
        name=name,
        score="; ".join(_with_block(score_said(one, names), one, names, several) for one in told)
        or "being scored",
        detail="; ".join(detail for one in told if (detail := detail_said(one))),
        effort=DASH if attempt.effort is None else f"{attempt.effort:g} of 10",
        expected=expected or DASH,
        outcomes=[outcome for one in told for outcome in _outcomes(one, plan, names)],
        open_review=open_review,
    )


def _with_block(said: str, score: Mapping[str, Any], names: Names, several: bool) -> str:
    return f"{names.block(score['block'])}: {said}" if several else said


def score_said(score: Mapping[str, Any], names: Names) -> str:
    """The official score with its unit; of one that is none, why, and what was done of the work."""
    if score["value"] is None:
        done = "" if score["state"] != "capped" else f"; {done_said(score['amounts'], names)}"
        return SCORED.get(score["state"], plain(score["state"])) + done
    if score["rounds_completed"] is not None and score["last_round"]:
        return " and ".join(
            [counted(score["rounds_completed"], "round"), done_said(score["last_round"], names)]
        )
    return in_words(score["value"], score["unit"])


def done_said(amounts: Sequence[Mapping[str, Any]], names: Names) -> str:
    return ", ".join(
        f"{one['amount']:g} {noun(one['amount'], units_said(one['unit']))} of {names.work(one['work'])}"
        for one in amounts
    )


def detail_said(score: Mapping[str, Any]) -> str:
    """What the score is made of, where breaks cost something."""
    if not score["breaks"]:
        return ""
    told = counted(score["breaks"], "break")
    if score["unit"] == "s" and score["elapsed_s"] is not None and score["penalty_s"]:
        told = f"{in_words(score['elapsed_s'], 's')} on the clock, {told} {in_words(score['penalty_s'], 's')}"
    return told


def _outcomes(score: Mapping[str, Any], plan: SessionPlan, names: Names) -> Iterator[Outcome]:
    block = plan.doc.block(score["block"])
    for one in score["aim"]:
        if block is None or one["index"] >= len(block.aim.conditions):
            continue
        yield Outcome(
            condition=condition_said(block.aim.conditions[one["index"]], block, names),
            state=STATES[one["state"]],
            shown=shown_said(one["low"], one["high"], one["kind"]),
            cause=one["sentence"] or "",
        )
