"""The rankings of a scheduled session; part of the recompute."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, cast
from uuid import UUID

from programming.calc.revision import Block, RevisionDoc
from programming.plans import session_plan
from scoring.calc.forecast import levels_of
from scoring.calc.overall import points, rank_totals, total_of
from scoring.calc.ranking import ForecastRow, OfficialRow, RankedRow, rank_by_forecast, rank_official
from scoring.calc.value import Better, State
from scoring.entries import DIVISIONS, Entry, entries_of
from scoring.frozen import frozen_json
from scoring.last_round import last_round_of
from scoring.models import OfficialScore, Ranking
from services.tenancy.context import required_org

# A forecast made of less than this says more about people in general than about this athlete.
MIN_OBSERVATIONS: Final = 3
FORECAST_NOTE: Final = (
    "By where the result lies in one's own forecast. Holding back earlier makes a forecast easy to beat, so this "
    "ranking never stands alone."
)
# Between two entries of a forecast: one unit of most scores, a fiftieth of a round.
LEAST_STEPS: Final = {"rounds": 0.02}
UNSCORED_BLOCK: Final = "block_not_scored"
FIGURES: Final = (
    "value",
    "unit",
    "better",
    "score_s",
    "repetitions",
    "breaks",
    "misses",
    "split_s",
    "rounds_completed",
    "last_round_amount",
)


def rank_session(*, session_id: UUID, now: dt.datetime) -> None:
    """Write the rankings (a fixed number of queries, whatever the number of results)."""
    plan = session_plan(session_id)
    entries = entries_of(plan)
    scored = [block for block in plan.doc.blocks if block.rules.scored != "none"]
    ranked = {block.key: rank_block(entries, block, plan.doc) for block in scored}
    Ranking.objects.bulk_create(
        [
            Ranking(
                org_id=required_org(),
                session_id=session_id,
                overall=plan.doc.overall.by,
                official=_overall(entries, plan.doc, ranked),
                by_forecast={"note": FORECAST_NOTE, "rows": _by_forecast(entries, plan.doc)},
                by_block=[
                    {"block": key, "rows": [_row(one, UNSCORED_BLOCK) for one in rows]}
                    for key, rows in ranked.items()
                    if len(plan.doc.blocks) > 1
                ],
                computed_at=now,
            )
        ],
        update_conflicts=True,
        unique_fields=["org", "session"],
        update_fields=["official", "by_forecast", "by_block", "overall", "computed_at"],
    )


@dataclass(frozen=True)
class Placed:
    """An athlete's place in a division. score: of the block, None where the result has none of it.

    points: by the block's table, None without one or without a score; total: of places or points.
    """

    entry: Entry
    division: str
    rank: int | None
    score: OfficialScore | None = None
    points: int | None = None
    total: float | None = None
    unit: str | None = None


def rank_block(entries: Sequence[Entry], block: Block, doc: RevisionDoc) -> list[Placed]:
    """Everybody's place in one block, division by division."""
    tables = dict(doc.overall.tables)
    rows: list[Placed] = []
    for division, members in _divisions(entries):
        ranked = rank_official(
            [_official_row(entry, block.key) for entry in members.values()],
            tie_break=block.rules.tie_break,
        )
        for row in ranked:
            entry = members[row.key]
            score = entry.scores.get(block.key)
            won = None
            if score is not None and block.key in tables:
                won = _points(tables[block.key], score, block)
            rows.append(Placed(entry, division, row.rank, score, won))
    return rows


def _divisions(entries: Sequence[Entry]) -> list[tuple[str, dict[str, Entry]]]:
    return [
        (division, {entry.key: entry for entry in entries if entry.division == division})
        for division in DIVISIONS
    ]


def _official_row(entry: Entry, block: str) -> OfficialRow:
    score = entry.scores.get(block)
    if score is None or entry.left_out is not None:
        return OfficialRow(entry.key, "unscored", None)
    return OfficialRow(
        key=entry.key,
        state=cast(State, score.state),
        value=score.value,
        better=cast(Better, score.better or "lower"),
        breaks=score.breaks,
        misses=score.misses,
        split_s=score.split_s,
    )


def _points(table: Any, score: OfficialScore, block: Block) -> int | None:
    """Points of a score; whoever did not finish work for time, or has no mark, gets none."""
    if score.state in {"capped", "no_mark"}:
        return 0
    if score.state != "finished" or score.value is None:
        return None
    return points(table, score.value, cast(Better, score.better))


def _overall(
    entries: Sequence[Entry], doc: RevisionDoc, ranked: Mapping[str, list[Placed]]
) -> list[dict[str, Any]]:
    """The ranking of the session: by one block, or by places or points of several."""
    if doc.overall.by == "block":
        block = doc.ranked_block
        rows = ranked.get(block.key)
        if rows is None:  # nothing in the session is scored
            rows = rank_block(entries, block, doc)
        return [_row(one, UNSCORED_BLOCK) for one in rows]
    counting = list(ranked)
    if doc.overall.by == "points":
        counting = [key for key in ranked if key in dict(doc.overall.tables)]
    better: Better = "higher" if doc.overall.by == "points" else "lower"
    rows = []
    for division, members in _divisions(entries):
        parts: dict[str, list[float | None]] = {key: [] for key in members}
        for block_key in counting:
            for one in ranked[block_key]:
                if one.division == division:
                    parts[one.entry.key].append(one.points if doc.overall.by == "points" else one.rank)
        totals = {key: None if members[key].left_out else total_of(numbers) for key, numbers in parts.items()}
        placed: list[RankedRow] = rank_totals(totals, better)
        rows += [
            Placed(members[row.key], division, row.rank, total=totals[row.key], unit=doc.overall.by)
            for row in placed
        ]
    return [_total_row(one, better) for one in rows]


def _row(one: Placed, missing: str) -> dict[str, Any]:
    """A row of a block's ranking."""
    score = one.score
    reason = None
    if one.rank is None:
        reason = one.entry.left_out or (missing if score is None else score.state)
    figures = {name: None if score is None else getattr(score, name) for name in FIGURES}
    return {
        **_named(one, reason),
        **figures,
        "last_round": [] if score is None else last_round_of(score.amounts),
        "state": "unscored" if score is None else score.state,
        "repetitions": 0 if score is None else score.repetitions,
        "points": one.points,
    }


def _total_row(one: Placed, better: Better) -> dict[str, Any]:
    """A row of the ranking over several blocks."""
    reason = None if one.rank is not None else (one.entry.left_out or "block_without_score")
    return {
        **_named(one, reason),
        **dict.fromkeys(FIGURES),
        "last_round": [],
        "state": "unscored" if one.total is None else "finished",
        "value": one.total,
        "unit": one.unit,
        "better": better,
        "repetitions": sum(score.repetitions for score in one.entry.scores.values()),
        "points": None if one.total is None or one.unit != "points" else int(one.total),
    }


def _named(one: Placed, reason: str | None) -> dict[str, Any]:
    review = one.entry.review
    return {
        "rank": one.rank,
        "rank_reason": reason,
        "division": one.division,
        "athlete": one.entry.key,
        "attempt": str(one.entry.attempt.id),
        "under_review": review is not None and review.resolved_at is None,
    }


def _by_forecast(entries: Sequence[Entry], doc: RevisionDoc) -> list[dict[str, Any]]:
    ranked = rank_by_forecast(
        [_forecast_row(entry, doc) for entry in entries],
        min_observations=MIN_OBSERVATIONS,
    )
    return [
        {"rank": row.rank, "athlete": row.key, "quantile": row.quantile, "notes": list(row.notes)}
        for row in ranked
    ]


def _forecast_row(entry: Entry, doc: RevisionDoc) -> ForecastRow:
    block = doc.ranked_block.key
    score, prescription = entry.scores.get(block), entry.prescription
    forecast = None if prescription is None else frozen_json(prescription, doc, block)
    unit = "" if forecast is None else str(forecast.get("unit"))
    known = [] if prescription is None else prescription.basis["capacities"].values()
    finished = score is not None and score.state == "finished" and entry.left_out is None
    return ForecastRow(
        key=entry.key,
        score=score.value if finished and score is not None else None,
        quantiles=None if forecast is None else tuple(forecast["score_quantiles"]),
        levels=() if forecast is None else levels_of(forecast["score_quantiles"]),
        observations=min((trace["observations"] for trace in known), default=0),
        eligible=entry.unranked is None,
        as_prescribed=entry.as_prescribed,
        better=cast(Better, "lower" if forecast is None else forecast.get("better", "lower")),
        least_step=LEAST_STEPS.get(unit, 1.0),
    )
