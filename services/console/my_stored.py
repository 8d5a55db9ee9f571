"""What is stored of one's own result, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from programming.plans import SessionPlan
from scoring import queries
from scoring.api.serializers import AttemptOutput, ScoreOutput
from scoring.brief_words import clock, option_said
from scoring.names import Names, names_of
from scoring.sent import BLOCKS, KINDS, SETTINGS, amount_of
from scoring.words import noun, units_said
from services.console.aim import condition_said, shown_said
from services.console.my_fields import Weights
from services.console.my_log import ENDED, WAYS
from services.console.results import STATES, detail_said, score_said
from services.console.words import local_time, short_day

MOST_LINES = 60


@dataclass(frozen=True)
class Stored:
    """scores: (block, score, what it is made of); aims: (condition, state, shown, likely cause)."""

    sent: str
    scores: Sequence[tuple[str, str, str]]
    aims: Sequence[tuple[str, str, str, str]]
    parts: Sequence[tuple[str, str, Sequence[str]]]
    effort: str
    minutes: str
    note: str
    waits: bool


def stored_of(attempt: Any, plan: SessionPlan, weights: Weights) -> Stored:
    """An attempt in the version that counts (six queries)."""
    names = names_of(plan)
    told = AttemptOutput(attempt).data
    scores = [ScoreOutput(row).data for row in queries.scores_of(attempt)[0]]
    review = queries.review_of(attempt)
    as_sent: Mapping[str, Any] = attempt.as_sent
    several = len(plan.doc.blocks) > 1
    return Stored(
        sent=f"{short_day(attempt.local_date)}, {local_time(attempt.created_at, plan.zone)}",
        scores=[
            (
                names.block(one["block"]) if several else "",
                weights.said(score_said(one, names)),
                detail_said(one),
            )
            for one in scores
        ],
        aims=[line for one in scores for line in _aims(one, plan, names)],
        parts=[_part(one, names, weights) for one in as_sent.get(BLOCKS) or [as_sent]],
        effort="" if told["effort"] is None else f"{told['effort']:g}",
        minutes="" if told["minutes"] is None else f"{told['minutes']:g}",
        note=told["note"],
        waits=review is not None and review.resolved_at is None,
    )


def _aims(score: Mapping[str, Any], plan: SessionPlan, names: Names) -> list[tuple[str, str, str, str]]:
    block = plan.doc.block(score["block"])
    if block is None:
        return []
    return [
        (
            condition_said(block.aim.conditions[one["index"]], block, names),
            STATES[one["state"]],
            shown_said(one, block),
            one["sentence"] or "",
        )
        for one in score["aim"]
        if one["index"] < len(block.aim.conditions)
    ]


def _part(sent: Mapping[str, Any], names: Names, weights: Weights) -> tuple[str, str, list[str]]:
    """(which block, how it was told, a line for each set or total)."""
    kind = next(name for name in KINDS if sent.get(name) is not None)
    data = sent[kind]
    where = names.block(sent["block"]) if "block" in sent else ""
    on_clock = f"; {clock(data['elapsed_s'])} on the clock" if data.get("elapsed_s") is not None else ""
    lines = [_set_line(one, names, weights) for one in data.get("sets", [])]
    lines += [_total_line(one, names) for one in data.get("work", [])]
    return where, f"{WAYS[kind]}{on_clock}", lines[:MOST_LINES]


def _set_line(one: Mapping[str, Any], names: Names, weights: Weights) -> str:
    option = {name: one.get(name) for name in SETTINGS}
    said = option_said({**option, "variation": one["variation"]}, names)
    ended = "" if one["ended_by"] == "planned" else f"; {dict(ENDED)[one['ended_by']].lower()}"
    left = "" if one.get("rir") is None else f", {one['rir']} left"
    return f"{weights.said(said)}: {_much(one)}{left}{ended}"


def _total_line(one: Mapping[str, Any], names: Names) -> str:
    return f"{names.work(one['work'])}: {_much(one)}"


def _much(one: Mapping[str, Any]) -> str:
    unit, amount = amount_of(one)
    return f"{amount:g} {noun(amount, units_said(unit))}"
