"""Reads of results and prescriptions; each starts at whom the actor may see, or receives in a session."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.fields.json import KeyTransform

from athletes.models import Athlete
from athletes.participation import sessions_with, takes_part, visible_in_sessions
from athletes.queries import athletes_visible_to
from programming.plans import session_plan
from scoring.models import (
    Attempt,
    AttemptNote,
    CheckSet,
    ForecastCheck,
    OfficialScore,
    Prescription,
    Ranking,
    Review,
)
from services.tenancy.actor import Actor
from services.tenancy.compiled import Given, any_of, compiled, compiled_sight


def attempts_visible_to(actor: Actor) -> QuerySet[Attempt]:
    """Every version of every result, each with `replaced_by`, the id of its correction."""
    rows = Attempt.objects.filter(visible_in_sessions(actor))
    return rows.annotate(replaced_by=Subquery(_corrections().values("id")[:1]))


def counting_attempts(actor: Actor, sessions: Collection[UUID]) -> QuerySet[Attempt]:
    """Of these sessions the version of each result that counts, so without `replaced_by`."""
    rows = Attempt.objects.filter(visible_in_sessions(actor), session__in=sessions)
    return rows.filter(~corrected(sessions))


@compiled_sight
def results_told(actor: Actor, sessions: Given) -> QuerySet[Attempt, tuple[Any, ...]]:
    """(result, athlete, the athlete's name, prescription, effort) of each that counts, by name."""
    rows = _counting(actor, sessions).order_by("athlete__name", "id")
    return rows.values_list("id", "athlete_id", "athlete__name", "prescription_id", "effort")


@compiled_sight
def results_counted(actor: Actor, sessions: Given) -> QuerySet[Attempt, tuple[UUID, int]]:
    """(session, how many results count)."""
    told = _counting(actor, sessions).order_by().values_list("session_id")
    return told.annotate(rows=Count("*"))


def _counting(actor: Actor, sessions: Given) -> QuerySet[Attempt]:
    rows = Attempt.objects.filter(visible_in_sessions(actor), session=any_of(sessions))
    return rows.filter(~corrected(any_of(sessions)))


def corrected(sessions: Collection[UUID] | Given | None = None) -> Exists:
    """Of attempts: whether there is a correction. sessions: all that are asked about, where that is known.

    Not by `replaced_by`, which is looked up row by row: a join tells it of thousands at once. Named in what the rows
    are compared with too, the sessions keep that from being all results of the organisation.
    """
    return Exists(_of_sessions(_corrections(), sessions))


def _corrections() -> QuerySet[Attempt]:
    """Those that replace the one of the outer query."""
    return Attempt.objects.filter(replaces=OuterRef("id"))


def scores_of(attempt: Attempt) -> tuple[list[OfficialScore], OfficialScore | None]:
    """(every block's, that of the ranked block), in the order of the session (four queries).

    A version that was replaced has none.
    """
    rows = {row.block: row for row in OfficialScore.objects.filter(attempt=attempt)}
    doc = session_plan(attempt.session_id).doc
    return [rows[block.key] for block in doc.blocks if block.key in rows], rows.get(doc.ranked_block.key)


def scores_by_attempt(attempts: Collection[UUID]) -> Mapping[UUID, list[OfficialScore]]:
    """Of each block, in no order (one query). A version that was replaced, or is not scored yet, has none."""
    found: dict[UUID, list[OfficialScore]] = {one: [] for one in attempts}
    for row in _scores(attempts=list(found)):
        found[row.attempt_id].append(row)
    return found


@compiled
def _scores(attempts: Given) -> QuerySet[OfficialScore]:
    return OfficialScore.objects.filter(attempt=any_of(attempts))


def under_review(attempts: Collection[UUID]) -> set[UUID]:
    """Those of these versions of results that wait for somebody to look at them (one query)."""
    rows = Review.objects.filter(attempt__in=attempts, resolved_at=None)
    return set(rows.values_list("attempt_id", flat=True))


def review_of(attempt: Attempt) -> Review | None:
    """Of this version of the result (one query); `open` tells whether somebody has yet to look."""
    review = Review.objects.filter(attempt=attempt).first()
    if review is not None:
        review.open = review.resolved_at is None  # type: ignore[attr-defined]
    return review


def forecast_checks_visible_to(actor: Actor) -> QuerySet[ForecastCheck]:
    """Those of the actor's own athletes; whoever receives somebody with a group has no page of theirs."""
    return ForecastCheck.objects.filter(athlete__in=athletes_visible_to(actor))


def notes_of(attempt: Attempt) -> QuerySet[AttemptNote]:
    """The notes on every version of the result."""
    rows = AttemptNote.objects.filter(
        attempt__session=attempt.session_id, attempt__athlete=attempt.athlete_id
    )
    return rows.select_related("author")


def prescriptions_visible_to(actor: Actor) -> QuerySet[Prescription]:
    """Every prescription, superseded ones too, each with `superseded_by`."""
    # By name: whoever receives an athlete with a group has no page of theirs to look the name up.
    rows = _prescriptions(actor).select_related("athlete")
    return rows.annotate(superseded_by=Subquery(_later_prescriptions().order_by("-number").values("id")[:1]))


def holding_prescriptions(actor: Actor, sessions: Collection[UUID]) -> QuerySet[Prescription]:
    """Those of these sessions that hold now, so without `superseded_by`."""
    return _prescriptions(actor).filter(holds_now(sessions), session__in=sessions)


def prescriptions_by_id(actor: Actor, ids: Collection[UUID]) -> QuerySet[Prescription]:
    """Whatever became of them since."""
    return _prescriptions(actor).filter(id__in=ids)


def _prescriptions(actor: Actor) -> QuerySet[Prescription]:
    return Prescription.objects.filter(visible_in_sessions(actor))


@compiled_sight
def prescriptions_told(actor: Actor, sessions: Given) -> QuerySet[Prescription, tuple[Any, ...]]:
    """(prescription, athlete, the athlete's name, feasible, content, chance of its aim), by name, of those that hold.

    Without the forecast and what else it rests on, which are long.
    """
    rows = _holding(actor, sessions).order_by("athlete__name", "id")
    columns = ("id", "athlete_id", "athlete__name", "feasible", "content")
    return rows.values_list(*columns, KeyTransform("p_all", "basis"))


@compiled_sight
def versions_counted(actor: Actor, sessions: Given) -> QuerySet[Prescription, tuple[UUID, bool, int]]:
    """(session, whether it is a version, how many of the prescriptions that hold now)."""
    told = _holding(actor, sessions).order_by().values_list("session_id", "feasible")
    # Not of a column: PostgreSQL then reads the index alone.
    return told.annotate(rows=Count("*"))


@compiled_sight
def without_version(actor: Actor, sessions: Given) -> QuerySet[Prescription, tuple[UUID, UUID, str]]:
    """(session, prescription, athlete's name) of those that hold now and give none, by name."""
    rows = _holding(actor, sessions).filter(feasible=False).order_by("athlete__name", "id")
    return rows.values_list("session_id", "id", "athlete__name")


def _holding(actor: Actor, sessions: Given) -> QuerySet[Prescription]:
    return _prescriptions(actor).filter(holds_now(any_of(sessions)), session=any_of(sessions))


def holds_now(sessions: Collection[UUID] | Given | None = None) -> Q:
    """Of prescriptions: not superseded, session not cancelled, athlete taking part; sessions as for `corrected`."""
    return ~Exists(_of_sessions(_later_prescriptions(), sessions)) & takes_part()


def _of_sessions(rows: QuerySet[Any], sessions: Collection[UUID] | Given | None) -> QuerySet[Any]:
    if sessions is None:
        return rows
    return rows.filter(session=sessions) if isinstance(sessions, Given) else rows.filter(session__in=sessions)


def _later_prescriptions() -> QuerySet[Prescription]:
    """Those that supersede the one of the outer query."""
    return Prescription.objects.filter(
        session=OuterRef("session"), athlete=OuterRef("athlete"), number__gt=OuterRef("number")
    )


def check_sets_visible_to(actor: Actor) -> QuerySet[CheckSet]:
    """Every version of every check set."""
    return CheckSet.objects.filter(visible_in_sessions(actor)).select_related("variation_version__variation")


def athletes_without_prescription(start: dt.datetime, end: dt.datetime) -> list[UUID]:
    """Active athletes who take part in a session in [start, end], and have no answer for it (one query)."""
    taking_part = sessions_with(athlete=OuterRef("id"), location=OuterRef("location"))
    sessions = taking_part.filter(starts_at__gte=start, starts_at__lte=end)
    answered = Prescription.objects.filter(session=OuterRef("id"), athlete=OuterRef(OuterRef("id")))
    rows = Athlete.objects.filter(Exists(sessions.filter(~Exists(answered))), is_active=True)
    return list(rows.order_by("id").values_list("id", flat=True))


def reviews_visible_to(actor: Actor) -> QuerySet[Review]:
    """Reviews of the latest versions only: a corrected result needs no review any more."""
    replaced = Attempt.objects.filter(replaces=OuterRef("attempt"))
    rows = Review.objects.filter(~Exists(replaced), attempt__athlete__in=athletes_visible_to(actor))
    return rows.select_related("attempt")


@compiled_sight
def open_reviews_counted(actor: Actor) -> QuerySet[Review, tuple[UUID, int]]:
    """(session, how many of its results somebody has to look at)."""
    told = reviews_visible_to(actor).filter(resolved_at=None).order_by().values_list("attempt__session_id")
    return told.annotate(rows=Count("*"))


def rankings_visible_to(actor: Actor) -> QuerySet[Ranking]:
    """Rankings are shown to every member, as on a gym's wall."""
    return Ranking.objects.all()


def name_rows(ranking: Ranking) -> None:
    """Give the rows the athletes' present names; leave out who is not known any more (one query)."""
    lists = [ranking.official, ranking.by_forecast["rows"], *(one["rows"] for one in ranking.by_block)]
    ids = {row["athlete"] for rows in lists for row in rows}
    names = {str(id_): name for id_, name in Athlete.objects.filter(id__in=ids).values_list("id", "name")}

    def named(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [{**row, "name": names[row["athlete"]]} for row in rows if row["athlete"] in names]

    ranking.official = named(ranking.official)
    ranking.by_forecast = {**ranking.by_forecast, "rows": named(ranking.by_forecast["rows"])}
    ranking.by_block = [{**one, "rows": named(one["rows"])} for one in ranking.by_block]


def sessions_with_score(athlete_id: UUID) -> list[UUID]:
    """Sessions whose ranking the athlete is in (one query)."""
    rows = OfficialScore.objects.filter(athlete_id=athlete_id)
    return list(rows.order_by("session_id").values_list("session_id", flat=True).distinct())
