"""The nightly refit of every organisation's priors."""

from uuid import UUID

import structlog
from celery.exceptions import SoftTimeLimitExceeded
from prometheus_client import Counter

from athletes.actions.priors import refit_priors
from services.changes.relay import organisation_ids
from services.tenancy.context import tenant_transaction

log = structlog.get_logger(__name__)

REFITTED = Counter(
    "dosewright_refitted_organisations", "Organisations whose priors were refitted, by outcome", ["outcome"]
)


def refit_organisations() -> int:
    """Refit each; returns how many took a new snapshot. What goes wrong in one is logged and stops no other."""
    moved = 0
    for org_id in organisation_ids():
        try:
            outcome = _refit(org_id)
        except SoftTimeLimitExceeded:
            raise
        except Exception:
            outcome = "failed"
            log.exception("refit_failed", organisation=str(org_id))
        REFITTED.labels(outcome).inc()
        moved += outcome == "moved"
    return moved


def _refit(org_id: UUID) -> str:
    with tenant_transaction(org_id):
        return "moved" if refit_priors() else "kept"
