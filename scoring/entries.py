"""What the rankings of a session need of each athlete who has a result in it (a fixed number of queries)."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Final, TypeAlias
from uuid import UUID

from athletes.models import Athlete
from athletes.safeties import safeties
from programming.plans import SessionPlan
from scoring.believed import codes_of, is_believed
from scoring.models import Attempt, OfficialScore, Prescription, Review, SetLog
from scoring.sent import SETTINGS, told_with

DIVISIONS: Final = ("as_written", "own_version")
MINOR_AGE: Final = 18

# (work key, variation, load_kg, assistance_kg, height_cm)
Done: TypeAlias = tuple[Any, ...]


@dataclass(frozen=True)
class Entry:
    """One athlete's counting result. scores: by block; unranked: why the athlete has no place whatever was done."""

    athlete_id: UUID
    attempt: Attempt
    scores: Mapping[str, OfficialScore]
    unranked: str | None
    division: str
    as_prescribed: bool
    prescription: Prescription | None
    review: Review | None

    @property
    def key(self) -> str:
        return str(self.athlete_id)

    @property
    def left_out(self) -> str | None:
        """Why this result has no place.

        Minors and those who come back after an absence are not ranked; somebody refused the result; or what it
        says cannot be, and nobody has looked yet.
        """
        if self.unranked is not None or self.review is None:
            return self.unranked
        if self.review.accepted is False:
            return "not_accepted"
        return None if is_believed(self.review.accepted, codes_of(self.review)) else "under_review"


def entries_of(plan: SessionPlan) -> list[Entry]:
    """Everybody who has a score in the session, by id."""
    by_athlete: dict[UUID, list[OfficialScore]] = {}
    for score in OfficialScore.objects.filter(session_id=plan.session_id).select_related("attempt"):
        by_athlete.setdefault(score.athlete_id, []).append(score)
    attempts = {athlete: scores[0].attempt for athlete, scores in by_athlete.items()}
    prescriptions = Prescription.objects.in_bulk(
        [attempt.prescription_id for attempt in attempts.values() if attempt.prescription_id]
    )
    ids = [attempt.id for attempt in attempts.values()]
    reviews = {review.attempt_id: review for review in Review.objects.filter(attempt_id__in=ids)}
    done, written, unranked = _done(ids), _written(plan), _unranked(by_athlete, plan.local_date)
    found = []
    for athlete_id in sorted(by_athlete, key=str):
        attempt = attempts[athlete_id]
        given = prescriptions.get(attempt.prescription_id)
        logged = _with_totals(done.get(attempt.id), attempt, plan)
        found.append(
            Entry(
                athlete_id=athlete_id,
                attempt=attempt,
                scores={score.block: score for score in by_athlete[athlete_id]},
                unranked=unranked.get(athlete_id),
                division=_division(
                    None if logged is None else logged <= written, given, by_athlete[athlete_id]
                ),
                as_prescribed=_as_prescribed(plan, attempt, logged, given),
                prescription=given,
                review=reviews.get(attempt.id),
            )
        )
    return found


def _unranked(athlete_ids: Collection[UUID], day: dt.date) -> dict[UUID, str]:
    """Who is not ranked on the day: a ranking must push neither the young nor those who return to more."""
    born_on = Athlete.objects.filter(id__in=athlete_ids).values_list("id", "born_on")
    found = {athlete: "minor" for athlete, born in born_on if _is_minor(born, day)}
    for athlete, safety in safeties(list(athlete_ids), day).items():
        if safety.returning_week is not None:
            found.setdefault(athlete, "returning")
    return found


def _is_minor(born_on: dt.date | None, day: dt.date) -> bool:
    if born_on is None:
        return False
    return day.year - born_on.year - ((day.month, day.day) < (born_on.month, born_on.day)) < MINOR_AGE


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
        for block in plan.doc.blocks
        for item in block.items
        if item.as_written.variation in plan.variations
    }


def _done(attempt_ids: Collection[UUID]) -> dict[UUID, set[Done]]:
    """By attempt with a set log: what was done, each version of each work item once (one query)."""
    sets = SetLog.objects.filter(attempt_id__in=attempt_ids).values_list(
        "attempt_id", "work", "variation_version__variation_id", "load_kg", "assistance_kg", "height_cm"
    )
    found: dict[UUID, set[Done]] = {}
    for attempt_id, *done in sets:
        found.setdefault(attempt_id, set()).add(tuple(done))
    return found


def _with_totals(logged: set[Done] | None, attempt: Attempt, plan: SessionPlan) -> set[Done] | None:
    """With the versions that totals name, where all of them do; what the catalogue has no more is not as written."""
    told = {
        (
            entry["work"],
            plan.variations[entry["variation"]].variation_id
            if entry["variation"] in plan.variations
            else None,
            *(entry.get(name) for name in SETTINGS),
        )
        for entry in told_with(attempt.as_sent)
    }
    return (logged or set()) | told if told else logged


def _as_prescribed(
    plan: SessionPlan, attempt: Attempt, done: set[Done] | None, prescription: Prescription | None
) -> bool:
    """Whether the forecast is of what was done: every logged set as told, by a prescription there before it.

    Totals that do not say what was done are believed to be of the prescription that they name.
    """
    if done is None or prescription is None:
        return True
    return done <= told_to_do(prescription.content, plan) and prescription.issued_at <= attempt.performed_at


def told_to_do(content: Mapping[str, Any], plan: SessionPlan) -> set[Done]:
    """Each work item as a prescription tells it, and each attempt with its load."""
    return {
        (
            one["work"],
            plan.variations[one["variation"]].variation_id,
            one["load_kg"],
            one["assistance_kg"],
            one["height_cm"],
        )
        for one in (*content["work"], *content.get("attempts", []))
        if one["variation"] in plan.variations
    }


def _division(
    logged_as_written: bool | None, prescription: Prescription | None, scores: Collection[OfficialScore]
) -> str:
    """By what was done where sets or totals tell it, else by what was prescribed; unknown counts as one's own.

    Other amounts than were written are one's own version, whatever they were done with.
    """
    as_written = logged_as_written
    if as_written is None:
        as_written = (
            prescription is not None and prescription.feasible and bool(prescription.content["as_written"])
        )
    own_amounts = any(score.own_amounts for score in scores)
    return DIVISIONS[0] if as_written and not own_amounts else DIVISIONS[1]
