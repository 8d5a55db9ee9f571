"""What came back: the official score beside what was expected, and each condition of the aim held against it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from programming.calc.difference_words import plain
from programming.calc.revision import Block
from programming.plans import SessionPlan
from scoring.api.serializers import ScoreOutput
from scoring.names import Names, names_of
from scoring.words import noun, units_said
from services.console import answers
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
SHOWN: Final = (
    *("block", "state", "value", "unit", "breaks", "elapsed_s", "penalty_s"),
    *("amounts", "rounds_completed", "last_round", "aim"),
)
"""Of a score of a result, what is told of it."""


@dataclass(frozen=True)
class Outcome:
    """One condition of the aim: whether it was met, what the result shows, and the likely cause."""

    state: str
    shown: str
    cause: str


@dataclass(frozen=True)
class Result:
    """One athlete's result of the session; open_review: whether somebody has to look at it."""

    id: UUID
    name: str
    score: str
    detail: str
    effort: str
    expected: str
    outcomes: Sequence[Outcome]
    open_review: bool


def scores_told(scores: Mapping[UUID, Sequence[Any]], plan: SessionPlan) -> Mapping[UUID, Sequence[Any]]:
    """By attempt, in the order of the blocks, what `result_of` tells of them."""
    order = {block.key: place for place, block in enumerate(plan.doc.blocks)}
    rows = [row for found in scores.values() for row in found if row.block in order]
    told: dict[UUID, list[Any]] = {attempt: [] for attempt in scores}
    rows.sort(key=lambda row: order[row.block])
    for row, answer in zip(rows, answers.shown(ScoreOutput, rows, SHOWN), strict=True):
        told[row.attempt_id].append(answer)
    return told


def result_of(
    attempt: answers.Sent,
    told: Sequence[Any],
    *,
    name: str,
    expected: str,
    open_review: bool,
    plan: SessionPlan,
    names: Names,
) -> Result:
    """told: the scores of its blocks, see `scores_told`; none: not worked out yet."""
    several = len(plan.doc.blocks) > 1
    return Result(
        id=attempt.id,
        name=name,
        score="; ".join(_with_block(score_said(one, names), one, names, several) for one in told)
        or "being scored",
        detail="; ".join(detail for one in told if (detail := detail_said(one))),
        effort=DASH if attempt.effort is None else f"{attempt.effort:g} of 10",
        expected=expected or DASH,
        outcomes=_outcomes(told, plan),
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


def conditions_of(plan: SessionPlan) -> list[str]:
    """The conditions of all blocks, in the order of the outcomes of a result."""
    names = names_of(plan)
    return [condition_said(one, block, names) for block in plan.doc.blocks for one in block.aim.conditions]


def _outcomes(scores: Sequence[Mapping[str, Any]], plan: SessionPlan) -> list[Outcome]:
    """One for each condition; a dash where it was not held against the result."""
    held = {(score["block"], one["index"]): one for score in scores for one in score["aim"]}
    return [
        outcome_of(held.get((block.key, index)), block)
        for block in plan.doc.blocks
        for index in range(len(block.aim.conditions))
    ]


def outcome_of(one: Mapping[str, Any] | None, block: Block) -> Outcome:
    """Of a condition as the interface answers it; None where it was not held against the result."""
    if one is None:
        return Outcome(DASH, "", "")
    shown = shown_said(one, block)
    return Outcome(STATES[one["state"]], shown, one["sentence"] or "")
