"""One change row in, its derived rows out; running it twice is running it once.

    claim the version  ->  hold the subject  ->  read, compute, write  ->  each further part likewise  ->  done

Each is a transaction of its own. The claim, so that a change that kills its worker is counted too, and parked by the
claim that finds all tries begun and none ended. The parts (an athlete's prescriptions, a few sessions each), so that
no transaction is open for long, and so that one that fails takes nothing back of what the others have stored: where
one of several sessions fails, each of them is tried by itself. Every one of them holds the subject: who finds it held
by another worker leaves the rest to that one. Each ends by renewing the lease for the next, the last by noting the
version as done, when all of it is stored; a crash or a failure before means that all is done again, which changes
nothing of what is there.
"""

from collections import deque
from collections.abc import Callable, Sequence
from time import perf_counter
from uuid import UUID

import structlog
from celery.exceptions import SoftTimeLimitExceeded
from prometheus_client import Counter, Histogram

from services.changes.actions import (
    Claim,
    claim,
    fail,
    finish,
    give_back,
    hold_subject,
    park,
    renew_lease,
)
from services.pipeline import steps
from services.tenancy.context import tenant_transaction

log = structlog.get_logger(__name__)

RECOMPUTES = Counter("dosewright_recomputes", "Recomputes by kind and outcome", ["kind", "outcome"])
SECONDS = Histogram("dosewright_recompute_seconds", "Time of a recompute", ["kind"])

WORKER_DIED = "the worker died while doing this"

HANDLERS: dict[str, Callable[[Claim], Sequence[steps.Part] | None]] = {
    "athlete": steps.recompute_athlete,
    "session": steps.recompute_session,
    "location": steps.recompute_location,
    "ranking": steps.recompute_ranking,
    "birth_date": steps.recompute_eligibility,
    "absence": steps.recompute_eligibility,
    "import": steps.take_import,
    "export": steps.write_export,
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


class PartsFailedError(Exception):
    """Parts of a change that could not be done: each by its name, with its error."""


class HeldElsewhereError(Exception):
    """Another worker has the subject."""


def _attempt(claimed: Claim) -> str:
    try:
        return _run(claimed)
    except HeldElsewhereError:
        with tenant_transaction(claimed.org_id):
            give_back(claimed)
        return "held"
    except Exception as error:
        with tenant_transaction(claimed.org_id):
            parked = fail(claimed, f"{type(error).__name__}: {error}")
        outcome = "parked" if parked else "failed"
        log.exception("recompute_failed", outcome=outcome, subject=str(claimed.subject), tries=claimed.tries)
        return outcome


def _run(claimed: Claim) -> str:
    with tenant_transaction(claimed.org_id):
        _hold(claimed)
        if claimed.abandoned:
            park(claimed, WORKER_DIED)
            log.error("recompute_abandoned", subject=str(claimed.subject), tries=claimed.tries - 1)
            return "parked"
        parts = HANDLERS[claimed.kind](claimed) or ()
        if not parts:
            finish(claimed)
            return "done"
        renew_lease(claimed)
    _run_parts(claimed, parts)
    return "done"


def _run_parts(claimed: Claim, parts: Sequence[steps.Part]) -> None:
    """Do them one by one, whatever becomes of the others. Raises PartsFailedError at the end where one has failed."""
    failed: list[str] = []
    waiting = deque(parts)
    while waiting:
        part = waiting.popleft()
        try:
            with tenant_transaction(claimed.org_id):
                _hold(claimed)
                part.run()
                (renew_lease if failed or waiting else finish)(claimed)
        except (HeldElsewhereError, SoftTimeLimitExceeded):
            raise
        except Exception as error:
            if part.each:
                log.warning(
                    "recompute_part_split", subject=str(claimed.subject), part=part.name, error=str(error)
                )
                waiting.extendleft(reversed(part.each))
            else:
                log.exception("recompute_part_failed", subject=str(claimed.subject), part=part.name)
                failed.append(f"{part.name}: {type(error).__name__}: {error}")
            with tenant_transaction(claimed.org_id):
                renew_lease(claimed)  # what the part said of it was taken back
    if failed:
        raise PartsFailedError("; ".join(failed))


def _hold(claimed: Claim) -> None:
    if not hold_subject(claimed):
        raise HeldElsewhereError
