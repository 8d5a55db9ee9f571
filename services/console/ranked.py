"""The rankings of a session as a wall has them: by official score within a division, and by one's own forecast."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final
from uuid import UUID

from programming.calc.difference_words import plain
from scoring import queries
from scoring.api.ranking_serializers import ForecastRowOutput, OfficialRowOutput
from scoring.names import Names
from services.console import answers
from services.console.results import score_said
from services.console.words import DASH, percent
from services.tenancy.actor import Actor

DIVISIONS: Final = {
    "as_written": ("As the coach wrote it", ""),
    "own_version": (
        "Own version",
        "Each did what was found for them; loads and amounts differ, so a place tells little of who did more.",
    ),
}
OFFICIAL: Final = (
    *("rank", "rank_reason", "division", "name", "state", "value", "unit"),
    *("rounds_completed", "last_round", "under_review"),
)
NOT_SCORED: Final = "not_scored"
BY_FORECAST: Final = ("rank", "name", "quantile", "notes")
"""Of a row of each ranking, what is told of it."""


@dataclass(frozen=True)
class Place:
    """rank: DASH where there is none; told: why, or what else to know of the row."""

    rank: str
    name: str
    score: str
    told: str


@dataclass(frozen=True)
class Table:
    """note: what to keep in mind of its places, or "" for nothing."""

    title: str
    note: str
    rows: Sequence[Place]


@dataclass(frozen=True)
class Wall:
    """divisions: by official score; by_forecast: the share of one's own days that the result beats, with its note."""

    divisions: Sequence[Table]
    by_forecast: Sequence[Place]
    note: str


def ranking_of(actor: Actor, session: UUID, names: Names) -> Wall | None:
    """None before there is a result, and where nothing is scored."""
    stored = queries.rankings_visible_to(actor).filter(session_id=session).first()
    if stored is None:
        return None
    queries.name_rows(stored)
    official = answers.shown(OfficialRowOutput, stored.official, OFFICIAL)
    if all(row["state"] == NOT_SCORED for row in official):
        return None
    by_forecast = answers.shown(ForecastRowOutput, stored.by_forecast["rows"], BY_FORECAST)
    divisions = [
        Table(title, note, [_official(row, names) for row in official if row["division"] == key])
        for key, (title, note) in DIVISIONS.items()
    ]
    return Wall(
        divisions=[one for one in divisions if one.rows],
        by_forecast=[_by_forecast(row) for row in by_forecast],
        note=stored.by_forecast["note"],
    )


def _official(row: Mapping[str, Any], names: Names) -> Place:
    told = [plain(row["rank_reason"])] if row["rank_reason"] else []
    if row["under_review"]:
        told.append("waits to be looked at")
    if row["unit"] in ("places", "points") and row["value"] is not None:
        score = f"{row['value']:g} {row['unit']}"
    else:
        score = score_said({**row, "amounts": []}, names).rstrip("; ")
    return Place(_rank(row), row["name"], score, ", ".join(told))


def _by_forecast(row: Mapping[str, Any]) -> Place:
    beaten = DASH if row["quantile"] is None else percent(1.0 - row["quantile"])
    return Place(_rank(row), row["name"], beaten, ", ".join(plain(note) for note in row["notes"]))


def _rank(row: Mapping[str, Any]) -> str:
    return DASH if row["rank"] is None else str(row["rank"])
