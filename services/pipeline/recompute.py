"""One change row in, its derived rows out; running it twice is running it once.

    claim the version  ->  hold the subject  ->  read, compute, write  ->  note the version as done

The claim is a transaction of its own, so that a change that kills its worker is counted too, and parked by the
claim that finds all tries begun and none ended. The rest is one transaction: results and the note that they are
done are stored together or not at all.
"""

from collections.abc import Callable
from time import perf_counter
from uuid import UUID

import structlog
from prometheus_client import Counter, Histogram

from services.changes.actions import Claim, claim, fail, finish, give_back, hold_subject, park
from services.pipeline import steps
from services.tenancy.context import tenant_transaction

log = structlog.get_logger(__name__)

RECOMPUTES = Counter("dosewright_recomputes", "Recomputes by kind and outcome", ["kind", "outcome"])
SECONDS = Histogram("dosewright_recompute_seconds", "Time of a recompute", ["kind"])

WORKER_DIED = "the worker died while doing this"

HANDLERS: dict[str, Callable[[Claim], None]] = {
    "athlete": steps.recompute_athlete,
    "session": steps.recompute_session,
    "location": steps.recompute_location,
    "ranking": steps.recompute_ranking,
    "birth_date": steps.recompute_eligibility,
    "absence": steps.recompute_eligibility,
}


def recompute_change(*, org_id: UUID, change_id: UUID) -> str:
    """Recompute what the change names; returns "done", "nothing", "held", "failed" or "parked".

    A failure is logged, kept on the row and tried again later by the relay; it is not raised to the broker.
    """
    with tenant_transaction(org_id):
        claimed = claim(change_id)
        if claimed is None:
            return "nothing"
    structlog.contextvars.bind_contextvars(change=str(change_id), kind=claimed.kind)
    started = perf_counter()
    try:
        outcome = _attempt(claimed)
    finally:
        structlog.contextvars.unbind_contextvars("change", "kind")
    RECOMPUTES.labels(claimed.kind, outcome).inc()
    SECONDS.labels(claimed.kind).observe(perf_counter() - started)
    return outcome


def _attempt(claimed: Claim) -> str:
    try:
        with tenant_transaction(claimed.org_id):
            outcome = _run(claimed)
    except Exception as error:
        with tenant_transaction(claimed.org_id):
            parked = fail(claimed, f"{type(error).__name__}: {error}")
        outcome = "parked" if parked else "failed"
        log.exception("recompute_failed", outcome=outcome, subject=str(claimed.subject), tries=claimed.tries)
    return outcome


def _run(claimed: Claim) -> str:
    if not hold_subject(claimed):
        give_back(claimed)
        return "held"
    if claimed.abandoned:
        park(claimed, WORKER_DIED)
        log.error("recompute_abandoned", subject=str(claimed.subject), tries=claimed.tries - 1)
        return "parked"
    HANDLERS[claimed.kind](claimed)
    finish(claimed)
    return "done"
