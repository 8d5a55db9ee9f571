"""Both rankings of a scheduled session; part of the recompute."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, TypeAlias, cast
from uuid import UUID

from athletes.models import Athlete
from programming.queries import SessionPlan, session_plan
from scoring.actions.scores import WITHHELD
from scoring.calc.forecast import LEVELS
from scoring.calc.ranking import ForecastRow, OfficialRow, rank_by_forecast, rank_official
from scoring.calc.score import State
from scoring.models import Attempt, OfficialScore, Prescription, Ranking, Review, SetLog
from services.tenancy.context import required_org

DIVISIONS: Final = ("as_written", "own_version")
# A forecast made of less than this says more about people in general than about this athlete.
MIN_OBSERVATIONS: Final = 3
MINOR_AGE: Final = 18
FORECAST_NOTE: Final = (
    "By where the result lies in one's own forecast. Holding back earlier makes a forecast easy to beat, so this "
    "ranking never stands alone."
)

# (work key, variation, load_kg, assistance_kg, height_cm)
Done: TypeAlias = tuple[Any, ...]


@dataclass(frozen=True)
class Entry:
    """One athlete's counting result with what the rankings need."""

    score: OfficialScore
    is_minor: bool
    division: str
    as_prescribed: bool
    prescription: Prescription | None
    review: Review | None

    @property
    def left_out(self) -> str | None:
        """Why this result has no place: somebody refused it, or what it says cannot be and nobody has looked yet."""
        if self.review is None or self.review.accepted:
            return None
        if self.review.accepted is False:
            return "not_accepted"
        doubtful = any(found["code"] in WITHHELD for found in self.review.findings)
        return "under_review" if doubtful else None


def rank_session(*, session_id: UUID, now: dt.datetime) -> None:
    """Write the rankings (seven queries, whatever the number of results)."""
    plan = session_plan(session_id)
    entries = _entries(plan)
    Ranking.objects.bulk_create(
        [
            Ranking(
                org_id=required_org(),
                session_id=session_id,
                official=_official(entries, plan.block.rules.tie_break),
                by_forecast={"note": FORECAST_NOTE, "rows": _by_forecast(entries)},
                computed_at=now,
            )
        ],
        update_conflicts=True,
        unique_fields=["org", "session"],
        update_fields=["official", "by_forecast", "computed_at"],
    )


def _entries(plan: SessionPlan) -> list[Entry]:
    scores = list(OfficialScore.objects.filter(session_id=plan.session_id).select_related("attempt"))
    ids = [score.athlete_id for score in scores]
    born_on = dict(Athlete.objects.filter(id__in=ids).values_list("id", "born_on"))
    named = [score.attempt.prescription_id for score in scores if score.attempt.prescription_id]
    prescriptions = Prescription.objects.in_bulk(named)
    attempts = [score.attempt_id for score in scores]
    reviews = {review.attempt_id: review for review in Review.objects.filter(attempt_id__in=attempts)}
    done = _done(attempts)
    written = _written(plan)
    as_logged = {attempt_id: sets <= written for attempt_id, sets in done.items()}
    return [
        Entry(
            score=score,
            is_minor=_is_minor(born_on[score.athlete_id], plan.local_date),
            division=_division(score, as_logged, prescriptions),
            as_prescribed=_as_prescribed(
                plan,
                score.attempt,
                done.get(score.attempt_id),
                prescriptions.get(score.attempt.prescription_id),
            ),
            prescription=prescriptions.get(score.attempt.prescription_id),
            review=reviews.get(score.attempt_id),
        )
        for score in sorted(scores, key=lambda score: str(score.athlete_id))
    ]


def _written(plan: SessionPlan) -> set[Done]:
    """Each work item as the coach wrote it."""
    return {
        (
            item.key,
            plan.variations[item.as_written.variation].variation_id,
            item.as_written.load_kg,
            item.as_written.assistance_kg,
            item.as_written.height_cm,
        )
        for item in plan.block.work
    }


def _done(attempt_ids: list[UUID]) -> dict[UUID, set[Done]]:
    """By attempt with a set log: what was done, each version of each work item once (one query)."""
    sets = SetLog.objects.filter(attempt_id__in=attempt_ids).values_list(
        "attempt_id", "work", "variation_version__variation_id", "load_kg", "assistance_kg", "height_cm"
    )
    found: dict[UUID, set[Done]] = {}
    for attempt_id, *done in sets:
        found.setdefault(attempt_id, set()).add(tuple(done))
    return found


def _as_prescribed(
    plan: SessionPlan, attempt: Attempt, done: set[Done] | None, prescription: Prescription | None
) -> bool:
    """Whether the forecast is of what was done: every logged set as told, by a prescription there before it.

    Totals do not say what was done; the prescription that they name is believed.
    """
    if done is None or prescription is None:
        return True
    told = {
        (
            one["work"],
            plan.variations[one["variation"]].variation_id,
            one["load_kg"],
            one["assistance_kg"],
            one["height_cm"],
        )
        for one in prescription.content["work"]
    }
    return done <= told and prescription.issued_at <= attempt.performed_at


def _division(
    score: OfficialScore, as_logged: Mapping[UUID, bool], prescriptions: Mapping[UUID, Prescription]
) -> str:
    """By what was done where sets were logged, else by what was prescribed; unknown counts as one's own."""
    logged = as_logged.get(score.attempt_id)
    named = score.attempt.prescription_id
    prescribed = None if named is None else prescriptions.get(named)
    if logged is None:
        logged = prescribed is not None and prescribed.feasible and bool(prescribed.content["as_written"])
    return DIVISIONS[0] if logged else DIVISIONS[1]


def _is_minor(born_on: dt.date | None, day: dt.date) -> bool:
    if born_on is None:
        return False
    return day.year - born_on.year - ((day.month, day.day) < (born_on.month, born_on.day)) < MINOR_AGE


def _official(entries: list[Entry], tie_break: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for division in DIVISIONS:
        members = {str(entry.score.athlete_id): entry for entry in entries if entry.division == division}
        ranked = rank_official(
            [
                OfficialRow(
                    key,
                    "unscored" if entry.left_out else cast(State, entry.score.state),
                    entry.score.score_s if entry.score.state == "finished" else entry.score.repetitions,
                    breaks=entry.score.breaks,
                )
                for key, entry in members.items()
            ],
            tie_break=tie_break,
        )
        rows += [_official_row(division, members[row.key], row.rank) for row in ranked]
    return rows


def _official_row(division: str, entry: Entry, rank: int | None) -> dict[str, Any]:
    score, review = entry.score, entry.review
    reason = None if rank is not None else (entry.left_out or score.state)
    return {
        "rank": rank,
        "rank_reason": reason,
        "division": division,
        "athlete": str(score.athlete_id),
        "attempt": str(score.attempt_id),
        "state": score.state,
        "score_s": score.score_s,
        "repetitions": score.repetitions,
        "breaks": score.breaks,
        "under_review": review is not None and review.resolved_at is None,
    }


def _by_forecast(entries: list[Entry]) -> list[dict[str, Any]]:
    members = {str(entry.score.athlete_id): entry for entry in entries}
    ranked = rank_by_forecast(
        [_forecast_row(key, entry) for key, entry in members.items()],
        levels=LEVELS,
        min_observations=MIN_OBSERVATIONS,
    )
    return [
        {
            "rank": row.rank,
            "athlete": row.key,
            "quantile": row.quantile,
            "notes": list(row.notes),
        }
        for row in ranked
    ]


def _forecast_row(key: str, entry: Entry) -> ForecastRow:
    prescription = entry.prescription
    forecast = None if prescription is None else prescription.forecast
    known = [] if prescription is None else prescription.basis["capacities"].values()
    return ForecastRow(
        key=key,
        score=None if entry.left_out else entry.score.score_s,
        quantiles=None if forecast is None else tuple(forecast["score_quantiles"]),
        observations=min((trace["observations"] for trace in known), default=0),
        eligible=not entry.is_minor,
        as_prescribed=entry.as_prescribed,
    )
