"""Scoring stored results: official score, review, and what the sets tell about capacity. Part of the recompute."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, cast
from uuid import UUID

from django.db.models import Exists, F, OuterRef, QuerySet
from django.utils import timezone

from athletes.actions.observations import FROM_ATTEMPT, replace_observations
from athletes.performed import MassHistory
from athletes.queries import mass_histories
from programming.queries import PlanReader, SessionPlan, variation_entries
from scoring.calc.aim import check_aim
from scoring.calc.attempt import EndedBy, SetEntry, Totals, totals_from
from scoring.calc.attempt import SetLog as Log
from scoring.calc.finding import Finding, pain_findings
from scoring.calc.forecast import BlockForecast
from scoring.calc.score import Score, official_score
from scoring.models import Attempt, OfficialScore, Review, SetLog
from scoring.observed import Logged, observations_of
from scoring.plausible import CODE as IMPLAUSIBLE
from scoring.plausible import surprise_findings
from scoring.timing import timing_findings
from services.tenancy.context import required_org

_SCORE_FIELDS = [
    "attempt",
    "state",
    "score_s",
    "elapsed_s",
    "repetitions",
    "repetitions_by_work",
    "breaks",
    "penalty_s",
    "rules_version",
    "review_version",
    "aim",
    "computed_at",
]
# After these a set does not tell how strong somebody is; a person decides first.
WITHHELD = frozenset({"impossible_speed", "too_many_repetitions", "unknown_work", IMPLAUSIBLE})
# No doubt about the result: its sets wait for the first weighing, whenever that comes, and tell then.
BODY_MASS_MISSING = "body_mass_missing"


@dataclass(frozen=True)
class Judged:
    """An attempt with its rows, as the recompute handles it."""

    attempt: Attempt
    logged: list[Logged]
    score: Score
    findings: tuple[Finding, ...]
    aim: list[dict[str, Any]]


def latest_attempts(athlete_id: UUID) -> QuerySet[Attempt]:
    """The version of each result that counts: the one that no correction replaces."""
    later = Attempt.objects.filter(replaces=OuterRef("id"))
    return Attempt.objects.filter(~Exists(later), athlete_id=athlete_id)


def score_attempts(*, athlete_id: UUID, plans: PlanReader | None = None) -> frozenset[UUID]:
    """Score what is not scored yet, or was reviewed since; the sessions whose ranking this touches.

    A stored score is never computed by other rules than its session's: only a correction changes it.
    Two queries when there is nothing to do, otherwise a fixed number for each new result.
    """
    _close_weighed(athlete_id)
    reviewed = Review.objects.filter(
        attempt_id=OuterRef("attempt_id"), version__gt=OuterRef("review_version")
    )
    settled = OfficialScore.objects.filter(~Exists(reviewed), attempt_id=OuterRef("id"))
    due = latest_attempts(athlete_id).filter(~Exists(settled)).select_related("prescription")
    attempts = list(due.order_by("performed_at", "id"))
    if not attempts:
        return frozenset()
    of_session = (plans or PlanReader()).read({attempt.session_id for attempt in attempts})
    masses = mass_histories([athlete_id])[athlete_id]
    for attempt in attempts:
        _write(_judge(attempt, of_session[attempt.session_id], masses))
    return frozenset(attempt.session_id for attempt in attempts)


def _close_weighed(athlete_id: UUID) -> None:
    """Close the reviews that asked for nothing but the body mass, once that is known."""
    asking = Review.objects.filter(
        resolved_at=None, attempt__athlete_id=athlete_id, findings__contains=[{"code": BODY_MASS_MISSING}]
    )
    only = [row.id for row in asking if {found["code"] for found in row.findings} == {BODY_MASS_MISSING}]
    if only and mass_histories([athlete_id])[athlete_id].days:
        Review.objects.filter(id__in=only, resolved_at=None).update(
            version=F("version") + 1,
            accepted=True,
            resolution="The athlete has been weighed since.",
            resolved_at=timezone.now(),
        )


def _judge(attempt: Attempt, plan: SessionPlan, masses: MassHistory) -> Judged:
    logged = _logged(attempt, plan)
    report: Log | Totals
    if attempt.kind == "set_log":
        report = Log(tuple(item.entry for item in logged), attempt.elapsed_s)
    else:
        totals = attempt.as_sent["totals"]
        by_work = {row["work"]: row["repetitions"] for row in totals["work"]}
        report = totals_from({**totals, "amounts": by_work})
    score = official_score(plan.block, report, rules_version=plan.rules_version)
    findings = score.findings + timing_findings(attempt.performed_at, plan)
    findings += pain_findings([item.entry for item in logged])
    findings += surprise_findings(logged, masses, attempt.local_date)
    if not masses.days and any(item.done.variation.body_mass_fraction > 0 for item in logged):
        detail = "Record the athlete's body mass: until then these sets tell nothing about capacity."
        findings += (Finding(BODY_MASS_MISSING, detail),)
    frozen = None if attempt.prescription is None else attempt.prescription.forecast
    outcomes = check_aim(
        plan.block, report, score, None if frozen is None else BlockForecast.from_json(frozen)
    )
    aim = [{**asdict(outcome), "sentence": outcome.sentence} for outcome in outcomes]
    return Judged(attempt, logged, score, findings, aim)


def _logged(attempt: Attempt, plan: SessionPlan) -> list[Logged]:
    """The sets with their variations as they were on the day, also when these have newer versions by now."""
    rows = list(SetLog.objects.filter(attempt=attempt).order_by("ordinal"))
    entries = {entry.version_id: entry for entry in plan.variations.values()}
    older = {row.variation_version_id for row in rows} - entries.keys()
    if older:
        entries |= variation_entries(older)
    return [Logged(_entry(row), entries[row.variation_version_id]) for row in rows]


def _entry(row: SetLog) -> SetEntry:
    return SetEntry(
        work=row.work,
        amount=row.repetitions,
        ended_by=cast(EndedBy, row.ended_by),
        rest_before_s=row.rest_before_s,
        duration_s=row.duration_s,
        rir=row.rir,
        load_kg=row.load_kg,
        assistance_kg=row.assistance_kg,
        height_cm=row.height_cm,
    )


def _write(judged: Judged) -> None:
    attempt, score = judged.attempt, judged.score
    review = _review(attempt, judged.findings)
    accepted = None if review is None else review.accepted
    OfficialScore.objects.bulk_create(
        [
            OfficialScore(
                org_id=attempt.org_id,
                session_id=attempt.session_id,
                athlete_id=attempt.athlete_id,
                attempt=attempt,
                state=score.state,
                score_s=score.score_s,
                elapsed_s=score.elapsed_s,
                repetitions=score.repetitions,
                repetitions_by_work=dict(score.repetitions_by_work),
                breaks=score.breaks,
                penalty_s=score.penalty_s,
                rules_version=score.rules_version,
                review_version=0 if review is None else review.version,
                aim=judged.aim,
                computed_at=timezone.now(),
            )
        ],
        update_conflicts=True,
        unique_fields=["org", "session", "athlete"],
        update_fields=_SCORE_FIELDS,
    )
    write_observations(attempt, judged.logged, judged.findings, accepted)


def _review(attempt: Attempt, findings: Sequence[Finding]) -> Review | None:
    """Queue the attempt when something does not add up; its review, also when somebody has closed it already."""
    known = Review.objects.filter(attempt=attempt).first()
    if known is None and findings:
        known = Review(org_id=required_org(), attempt=attempt, findings=[asdict(found) for found in findings])
        known.save(force_insert=True)
    return known


def write_observations(
    attempt: Attempt, logged: Sequence[Logged], findings: Sequence[Finding], accepted: bool | None
) -> None:
    """What this version of the result tells; the versions that it replaced tell nothing any more."""
    doubtful = bool(WITHHELD & {found.code for found in findings}) and accepted is not True
    rows = [] if doubtful or accepted is False else observations_of(logged, attempt.local_date)
    replace_observations(athlete_id=attempt.athlete_id, source=FROM_ATTEMPT, source_id=attempt.id, rows=rows)
    replaced = attempt.replaces_id
    while replaced is not None:
        replace_observations(athlete_id=attempt.athlete_id, source=FROM_ATTEMPT, source_id=replaced, rows=[])
        replaced = Attempt.objects.values_list("replaces_id", flat=True).get(id=replaced)
