"""The steps of each kind of change, in the order in which their results depend on one another."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from uuid import UUID

from django.utils import timezone

from athletes.actions.work import note_tests
from athletes.participation import athlete_ids_of_session
from programming.horizon import PRESCRIBED_AHEAD
from programming.plans import PlanReader
from programming.queries import session_ids_between
from scoring.actions.desk import Desk
from scoring.actions.learning import learn_from_rows
from scoring.actions.prescriptions import issue_prescriptions
from scoring.actions.rankings import rank_session
from scoring.actions.scores import score_attempts
from scoring.queries import sessions_with_score
from services.changes.actions import Claim, record_change, record_changes
from services.changes.queries import mark_of
from services.exchange.actions.exports import STEPS, write_next
from services.exchange.actions.imports import Work
from services.pipeline.loads import note_load
from services.pipeline.work import note_results

# Thirty results of one class arrive within minutes; their ranking may gather for a moment.
RANKING_DELAY_S = 2.0
# So many prescriptions of an athlete are stored together: what a transaction costs, and the wait for its end, are
# then paid once for a week, and it is not open for much longer than one long session takes to be worked out.
SESSIONS_AT_ONCE = 5


@dataclass(frozen=True)
class Part:
    """Something more that belongs to a change, in a transaction of its own: what it is about, and what does it.

    each: what it is made of, where it is several things; should it fail, each of them is tried by itself.
    """

    name: str
    run: Callable[[], object]
    each: tuple["Part", ...] = ()


def recompute_athlete(claimed: Claim) -> list[Part]:
    """Scores, what was done and what has to be asked, capacity, load; then the prescriptions of the next seven days.

    A prescription costs a second or two where all else is a few milliseconds, and one that cannot be worked out must
    not take back what was learned from a result, nor the athlete's other sessions.
    """
    now = timezone.now()
    plans = PlanReader()
    touched = score_attempts(athlete_id=claimed.subject, plans=plans)
    note_tests(athlete_id=claimed.subject)
    note_results(athlete_id=claimed.subject, touched=touched, plans=plans)
    learn_from_rows(athlete_id=claimed.subject, now=now)
    note_load(athlete_id=claimed.subject, from_date=claimed.from_date)
    for session_id in sorted(touched):
        record_change(kind="ranking", subject=session_id, priority=claimed.priority, delay_s=RANKING_DELAY_S)
    desk = Desk(claimed.subject, now, lambda: mark_of(kind=claimed.kind, subject=claimed.subject).version)

    def prescribing(*sessions: UUID) -> Part:
        run = partial(issue_prescriptions, athlete_id=claimed.subject, now=now, desk=desk, only=set(sessions))
        each = tuple(map(prescribing, sessions)) if len(sessions) > 1 else ()
        return Part(", ".join(f"session {session_id}" for session_id in sessions), run, each)

    ids = desk.session_ids()
    return [
        prescribing(*ids[first : first + SESSIONS_AT_ONCE]) for first in range(0, len(ids), SESSIONS_AT_ONCE)
    ]


def recompute_eligibility(claimed: Claim) -> None:
    """A birth date or an absence decides on who has a place in a ranking: ask for all that the athlete is in."""
    record_changes(kind="ranking", subjects=sessions_with_score(claimed.subject), priority=1)


def recompute_session(claimed: Claim) -> None:
    """A session was placed, moved or cancelled, or its kit changed: ask for everybody who takes part.

    After results, which somebody waits for; and what may wait itself asks for nothing that may not.
    """
    priority = max(1, claimed.priority)
    record_changes(kind="athlete", subjects=athlete_ids_of_session(claimed.subject), priority=priority)


def recompute_location(claimed: Claim) -> None:
    """The zone or the freeze of a location was changed: ask for everybody in its coming sessions."""
    now = timezone.now()
    coming = session_ids_between(now, now + PRESCRIBED_AHEAD, location_id=claimed.subject)
    record_changes(kind="session", subjects=coming, priority=max(1, claimed.priority))


def take_import(claimed: Claim) -> list[Part]:
    """The next rows of a table on its way in, piece by piece; the last piece asks for what is left after these."""
    work = Work(claimed.subject, timezone.now())
    return [
        Part(f"rows {first + 1} to {behind}", partial(work.take, first, behind))
        for first, behind in work.pieces()
    ]


def write_export(claimed: Claim) -> list[Part]:
    """The next sheets of an export, piece by piece; the last piece asks for what is left after these."""
    now = timezone.now()
    return [
        Part(f"piece {step}", partial(write_next, claimed.subject, now, is_last=step == STEPS))
        for step in range(1, STEPS + 1)
    ]


def recompute_ranking(claimed: Claim) -> None:
    """Both rankings of one scheduled session."""
    rank_session(session_id=claimed.subject, now=timezone.now())
