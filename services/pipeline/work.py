"""What results say of work done, handed down to the athletes' questions of safety. Part of the recompute.

Results belong to scoring, safety to athletes: only here are both in sight.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from athletes.actions.work import AMOUNTS, FROM_ATTEMPT, WorkRow, amounts_of, replace_work
from athletes.catalogue import CatalogueVersion, versions
from athletes.models import WorkDone
from athletes.moments import hours_into
from programming.plans import PlanReader, SessionPlan
from scoring.actions.scores import latest_attempts
from scoring.believed import codes_of, is_believed
from scoring.blocks import find_item, ladder_of
from scoring.models import Attempt, Review, SetLog
from scoring.sent import BLOCKS, TOTALS, parts_of
from services.tenancy.compiled import Given, any_of, compiled, compiled_delete


def note_results(*, athlete_id: UUID, touched: Collection[UUID], plans: PlanReader) -> None:
    """Bring the work of the athlete's results up to date: of sessions scored just now, and what was never noted.

    One query when nothing is new; what a correction replaces goes when the correction comes. Every result leaves a
    row, also one that is not believed: there was training. What waits for somebody to look at it counts as work until
    they have.
    """
    due = _due(athlete=athlete_id, touched=list(touched))
    if any(attempt.replaces_id is not None for attempt in due):
        _drop_replaced(athlete=athlete_id)
    if not due:
        return
    unbelieved, doubted = _in_doubt(due)
    by_attempt = _set_rows(due)
    of_session = plans.read({attempt.session_id for attempt in due if attempt.kind in (TOTALS, BLOCKS)})
    rows: list[WorkRow] = []
    for attempt in due:
        listed = by_attempt.get(attempt.id, [])
        if attempt.kind in (TOTALS, BLOCKS):
            listed = _together([*listed, *_totals_rows(attempt, of_session[attempt.session_id])])
        if attempt.id in unbelieved or not listed:
            listed = [_bare(attempt)]
        rows += [replace(row, doubted=attempt.id in doubted) for row in listed]
    ids = [attempt.id for attempt in due]
    replace_work(athlete_id=athlete_id, source=FROM_ATTEMPT, source_ids=ids, rows=rows)


@compiled_delete
def _drop_replaced(athlete: Given) -> QuerySet[WorkDone]:
    """What results told that do not count any more."""
    counts = latest_attempts(athlete).filter(id=OuterRef("source_id"))
    return WorkDone.objects.filter(~Exists(counts), athlete_id=athlete, source=FROM_ATTEMPT)


@compiled
def _due(athlete: Given, touched: Given) -> QuerySet[Attempt]:
    noted = WorkDone.objects.filter(source=FROM_ATTEMPT, source_id=OuterRef("id"), athlete_id=athlete)
    return latest_attempts(athlete).filter(Q(session_id=any_of(touched)) | ~Exists(noted))


def _in_doubt(attempts: Sequence[Attempt]) -> tuple[set[UUID], set[UUID]]:
    """(results whose numbers nobody believes, those whose numbers wait for somebody to look at them); one query."""
    rows = _reviews(attempts=[attempt.id for attempt in attempts])
    doubted = [row for row in rows if not is_believed(row.accepted, codes_of(row))]
    return (
        {row.attempt_id for row in doubted if row.accepted is False},
        {row.attempt_id for row in doubted if row.accepted is None},
    )


@compiled
def _reviews(attempts: Given) -> QuerySet[Review]:
    return Review.objects.filter(attempt=any_of(attempts))


def _set_rows(attempts: Sequence[Attempt]) -> dict[UUID, list[WorkRow]]:
    """By attempt, a row for each movement that was done (two queries)."""
    by_id = {attempt.id: attempt for attempt in attempts}
    sets = _sets(attempts=list(by_id))
    known = versions({one.variation_version_id for one in sets})
    grouped: dict[UUID, dict[UUID, list[SetLog]]] = defaultdict(lambda: defaultdict(list))
    for one in sets:
        grouped[one.attempt_id][known[one.variation_version_id].movement_id].append(one)
    return {
        attempt_id: [
            _movement_row(by_id[attempt_id], movement_id, listed, known)
            for movement_id, listed in movements.items()
        ]
        for attempt_id, movements in grouped.items()
    }


@compiled
def _sets(attempts: Given) -> QuerySet[SetLog]:
    return SetLog.objects.filter(attempt=any_of(attempts)).order_by("attempt_id", "ordinal")


def _movement_row(
    attempt: Attempt, movement_id: UUID, sets: Sequence[SetLog], known: Mapping[UUID, CatalogueVersion]
) -> WorkRow:
    """Repetitions added up; how much of the work brakes a load is their mean."""
    counted = [(float(one.repetitions or 0), one) for one in sets]
    total = sum(done for done, _ in counted)
    braked = sum(done * known[one.variation_version_id].variation.eccentric for done, one in counted)
    return WorkRow(
        source_id=attempt.id,
        movement_id=movement_id,
        local_date=attempt.local_date,
        repetitions=total,
        failure_repetitions=sum(done for done, one in counted if one.ended_by == "failure"),
        eccentric=braked / total if total > 0 else 0.0,
        recorded_by_id=attempt.sent_by_id,
        hour=_hour(attempt),
        amounts=amounts_of(sets),
    )


def _totals_rows(attempt: Attempt, plan: SessionPlan) -> Iterator[WorkRow]:
    """Of a result without sets: the movement of each work item, how its sets ended is not known."""
    done: dict[UUID, float] = defaultdict(float)
    eccentric: dict[UUID, float] = {}
    amounts: dict[UUID, dict[str, float]] = defaultdict(dict)
    parts = parts_of(attempt.kind, attempt.as_sent[attempt.kind], plan)
    for entry in (row for part in parts if part.kind == TOTALS for row in part.data["work"]):
        found = find_item(plan, entry["work"])
        ladder = () if found is None else ladder_of(plan, found[1])
        if ladder:
            done[ladder[0].movement.id] += float(entry.get("repetitions") or 0)
            eccentric[ladder[0].movement.id] = ladder[0].variation.eccentric
            told = {unit: float(entry[unit]) for unit in AMOUNTS if entry.get(unit)}
            amounts[ladder[0].movement.id] = _added(amounts[ladder[0].movement.id], told)
    for movement_id, repetitions in done.items():
        yield WorkRow(
            attempt.id,
            movement_id,
            attempt.local_date,
            repetitions,
            0.0,
            eccentric[movement_id],
            attempt.sent_by_id,
            _hour(attempt),
            amounts[movement_id],
        )


def _added(one: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
    return {unit: one.get(unit, 0.0) + other.get(unit, 0.0) for unit in {**one, **other}}


def _together(rows: Sequence[WorkRow]) -> list[WorkRow]:
    """One row for each movement, also where one block has its sets and another one totals."""
    found: dict[UUID | None, WorkRow] = {}
    for row in rows:
        other = found.get(row.movement_id)
        if other is None:
            found[row.movement_id] = row
            continue
        total = other.repetitions + row.repetitions
        braked = other.repetitions * other.eccentric + row.repetitions * row.eccentric
        found[row.movement_id] = replace(
            other,
            repetitions=total,
            failure_repetitions=other.failure_repetitions + row.failure_repetitions,
            eccentric=braked / total if total > 0 else 0.0,
            amounts=_added(other.amounts, row.amounts),
        )
    return list(found.values())


def _bare(attempt: Attempt) -> WorkRow:
    return WorkRow(attempt.id, None, attempt.local_date, 0.0, 0.0, 0.0, attempt.sent_by_id, _hour(attempt))


def _hour(attempt: Attempt) -> float:
    return hours_into(attempt.local_date, attempt.performed_at, attempt.zone)
