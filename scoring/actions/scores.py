"""Scoring stored results: official score, review, and what the sets tell about capacity. Part of the recompute."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from athletes.actions.observations import FROM_ATTEMPT, replace_observations
from athletes.moments import Moment, hours_into
from athletes.performed import MassHistory
from athletes.queries import mass_histories
from athletes.states import CapacityState
from programming.plans import PlanReader, SessionPlan
from scoring.actions.forecast_checks import write_checks
from scoring.actions.session_work import book_done
from scoring.actions.weighed import settle_weighed, unweighed_findings
from scoring.aim_concluded import concluded
from scoring.available import MIDDLE, available_of
from scoring.believed import is_believed
from scoring.calc.aim import check_aim
from scoring.calc.attempt import SetLog as Log
from scoring.calc.attempt import Totals
from scoring.calc.finding import Finding, pain_findings, reserve_findings
from scoring.calc.score import Score, official_score
from scoring.frozen import frozen_forecast
from scoring.held import Scored
from scoring.known_now import multiplier_known, states_known
from scoring.logged import logged_sets
from scoring.models import Attempt, OfficialScore, Review
from scoring.names import Names, names_of
from scoring.observed import Logged, observations_of
from scoring.own_version import own_block
from scoring.plausible import surprises
from scoring.sent import TOTALS, Part, parts_of, totals_of
from scoring.timing import timing_findings
from services.tenancy.compiled import Given, any_of, compiled, compiled_delete
from services.tenancy.context import required_org
from services.tenancy.inserted import insert

_KEPT = ("id", "org", "session", "athlete", "block", "created_at")
_SCORE_FIELDS = tuple(field.name for field in OfficialScore._meta.fields if field.name not in _KEPT)
_PLAIN = (
    "state",
    "value",
    "unit",
    "better",
    "score_s",
    "elapsed_s",
    "repetitions",
    "breaks",
    "penalty_s",
    "misses",
    "split_s",
    "rounds_completed",
    "last_round_amount",
    "rules_version",
)


@dataclass(frozen=True)
class BlockScore:
    """One block of an attempt, scored and held against its aim; `held`: with its frozen forecast."""

    key: str
    score: Score
    aim: list[dict[str, Any]]
    own_amounts: bool
    held: Scored


@dataclass(frozen=True)
class Judged:
    """An attempt with its rows, as the recompute handles it."""

    attempt: Attempt
    plan: SessionPlan
    logged: list[Logged]
    blocks: list[BlockScore]
    findings: tuple[Finding, ...]


def latest_attempts(athlete_id: UUID | Given) -> QuerySet[Attempt]:
    """The version of each result that counts: the one that no correction replaces."""
    later = Attempt.objects.filter(replaces=OuterRef("id"))
    return Attempt.objects.filter(~Exists(later), athlete_id=athlete_id)


def score_attempts(*, athlete_id: UUID, plans: PlanReader | None = None) -> frozenset[UUID]:
    """Score what is not scored yet, or was reviewed since; the sessions whose ranking this touches.

    A stored score is never computed by other rules than its session's: only a correction changes it.
    Two queries when there is nothing to do, otherwise a fixed number for each new result, and two for all of them
    where an aim speaks of what was available.
    """
    plans = plans or PlanReader()
    settle_weighed(athlete_id, plans)
    attempts = _due(athlete=athlete_id)
    if not attempts:
        return frozenset()
    of_session = plans.read({attempt.session_id for attempt in attempts})
    masses = mass_histories([athlete_id])[athlete_id]
    known = _known(athlete_id, attempts, of_session)
    for attempt in attempts:
        _write(_judge(attempt, of_session[attempt.session_id], masses, known))
    return frozenset(attempt.session_id for attempt in attempts)


@compiled
def _due(athlete: Given) -> QuerySet[Attempt]:
    reviewed = Review.objects.filter(
        attempt_id=OuterRef("attempt_id"), version__gt=OuterRef("review_version")
    )
    # Of this athlete's results alone: what it costs must not grow with the organisation.
    settled = OfficialScore.objects.filter(
        ~Exists(reviewed), attempt_id=OuterRef("id"), attempt__athlete_id=athlete
    )
    due = latest_attempts(athlete).filter(~Exists(settled)).select_related("prescription")
    return due.order_by("performed_at", "id")


@dataclass(frozen=True)
class _Known:
    """What is known of the athlete before the results that are scored: capacity by movement, slow fatigue."""

    states: Mapping[UUID, CapacityState]
    multiplier: float


def _known(athlete_id: UUID, attempts: Sequence[Attempt], plans: Mapping[UUID, SessionPlan]) -> _Known | None:
    """None where no aim asks for it (two queries)."""
    asked = any(
        one.kind == "share_of_available"
        for attempt in attempts
        for block in plans[attempt.session_id].doc.blocks
        for one in block.aim.conditions
    )
    return _Known(states_known(athlete_id), multiplier_known(athlete_id)) if asked else None


def _judge(attempt: Attempt, plan: SessionPlan, masses: MassHistory, known: _Known | None) -> Judged:
    logged = logged_sets(attempt, plan)
    parts = parts_of(attempt.kind, attempt.as_sent[attempt.kind], plan)
    there: dict[int, float] = {}
    if known is not None:
        levels = available_of(logged, known.states, masses.on(attempt.local_date), known.multiplier)
        there = {place: told[MIDDLE] for place, told in levels.items()}
    blocks = [_judge_block(part, attempt, plan, logged, there) for part in parts]
    findings = _of_blocks(blocks, names_of(plan)) + timing_findings(attempt.performed_at, plan)
    entries = [item.entry for item in logged]
    findings += pain_findings(entries) + reserve_findings(entries)
    findings += surprises(logged, masses, attempt.local_date) + unweighed_findings(logged, masses)
    return Judged(attempt, plan, logged, blocks, findings)


def _judge_block(
    part: Part, attempt: Attempt, plan: SessionPlan, logged: Sequence[Logged], available: Mapping[int, float]
) -> BlockScore:
    """Score a block by the athlete's own amounts, where the prescription changed them; available: before each set, by
    its place in the log, as far as it is known.

    Somebody may have done what was written all the same: the report counts as what it adds up under, and as one's
    own where it does under both, or under neither.
    """
    report: Log | Totals
    places = [place for place, item in enumerate(logged) if part.block.index_of(item.entry.work) is not None]
    if part.kind == TOTALS:
        report = totals_of(part)
    else:
        sets = tuple(logged[place].entry for place in places)
        report = Log(sets, part.data.get("elapsed_s"), part.data.get("split_s"))
    block, given = part.block, attempt.prescription
    score = official_score(block, report, rules_version=plan.rules_version)
    own = block if given is None else own_block(block, given.content)
    if own != block:
        by_own = official_score(own, report, rules_version=plan.rules_version)
        if len(by_own.findings) <= len(score.findings):
            block, score = own, by_own
    frozen = None if given is None else frozen_forecast(given, plan.doc, block.key)
    there = {own: available[place] for own, place in enumerate(places) if place in available}
    outcomes = check_aim(block, report, score, frozen, effort=attempt.effort, available=there)
    aim = [{**asdict(outcome), "sentence": outcome.sentence} for outcome in outcomes]
    held = Scored(block, score, frozen, as_prescribed=block == own)
    return BlockScore(block.key, score, aim, block is not part.block, held)


def _of_blocks(blocks: Sequence[BlockScore], names: Names) -> tuple[Finding, ...]:
    """The findings of all blocks by the names of the work; which block is meant is said where there are several."""
    return tuple(
        Finding(found.code, _of_block(one.key, found.said(names.works), names))
        for one in blocks
        for found in one.score.findings
    )


def _of_block(key: str, detail: str, names: Names) -> str:
    return f"In {names.block(key)}: {detail}" if len(names.blocks) > 1 else detail


def _write(judged: Judged) -> None:
    attempt = judged.attempt
    review = _review(attempt, judged.findings)
    accepted = None if review is None else review.accepted
    believed = is_believed(accepted, [found.code for found in judged.findings])
    blocks = [one.key for one in judged.blocks]
    _drop_left_out(session=attempt.session_id, athlete=attempt.athlete_id, blocks=blocks)
    insert(
        [
            _score_row(
                attempt,
                one,
                0 if review is None else review.version,
                concluded(one.aim, [found.code for found in one.score.findings], accepted, believed=believed),
            )
            for one in judged.blocks
        ],
        key=("org", "session", "athlete", "block"),
        written=_SCORE_FIELDS,
    )
    write_observations(attempt, judged.logged, judged.findings, accepted)
    book_done(attempt, judged.plan, judged.logged, believed=believed)
    held = [one.held for one in judged.blocks]
    again = review is not None or attempt.replaces_id is not None
    write_checks(attempt, judged.plan, judged.logged, held, believed=believed, again=again)


@compiled_delete
def _drop_left_out(session: Given, athlete: Given, blocks: Given) -> QuerySet[OfficialScore]:
    """Scores of blocks that a correction left out."""
    mine = OfficialScore.objects.filter(session_id=session, athlete_id=athlete)
    return mine.exclude(block=any_of(blocks))


def _score_row(
    attempt: Attempt, one: BlockScore, review_version: int, aim: list[dict[str, Any]]
) -> OfficialScore:
    score = one.score
    return OfficialScore(
        org_id=attempt.org_id,
        session_id=attempt.session_id,
        athlete_id=attempt.athlete_id,
        attempt=attempt,
        block=one.key,
        repetitions_by_work=dict(score.repetitions_by_work),
        amounts=_amounts(score),
        aim=aim,
        own_amounts=one.own_amounts,
        review_version=review_version,
        computed_at=timezone.now(),
        **{name: getattr(score, name) for name in _PLAIN},
    )


def _amounts(score: Score) -> list[dict[str, Any]]:
    """What counts of each item, and what of it is beyond whole rounds, where the score is told in rounds."""
    last = {work: amount for work, amount, _ in score.last_round}
    return [
        {"work": work, "amount": amount, "unit": unit, "last_round": last.get(work)}
        for work, amount, unit in score.amounts
    ]


def _review(attempt: Attempt, findings: Sequence[Finding]) -> Review | None:
    """Queue the attempt when something does not add up; its review, also when somebody has closed it already."""
    known = _review_of.first(attempt=attempt.id)
    if known is None and findings:
        known = Review(
            org_id=required_org(), attempt=attempt, findings=[found.to_json() for found in findings]
        )
        known.save(force_insert=True)
    return known


@compiled
def _review_of(attempt: Given) -> QuerySet[Review]:
    return Review.objects.filter(attempt=attempt)


def write_observations(
    attempt: Attempt, logged: Sequence[Logged], findings: Sequence[Finding], accepted: bool | None
) -> None:
    """What this version of the result tells; the versions that it replaced tell nothing any more."""
    at = Moment(attempt.local_date, hours_into(attempt.local_date, attempt.performed_at, attempt.zone))
    believed = is_believed(accepted, [found.code for found in findings])
    rows = observations_of(logged, at) if believed else []
    replace_observations(athlete_id=attempt.athlete_id, source=FROM_ATTEMPT, source_id=attempt.id, rows=rows)
    replaced = attempt.replaces_id
    while replaced is not None:
        replace_observations(athlete_id=attempt.athlete_id, source=FROM_ATTEMPT, source_id=replaced, rows=[])
        replaced = Attempt.objects.values_list("replaces_id", flat=True).get(id=replaced)
