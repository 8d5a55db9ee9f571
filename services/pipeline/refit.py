"""The nightly refit of every organisation's priors."""

from uuid import UUID

import structlog
from celery.exceptions import SoftTimeLimitExceeded
from django.utils import timezone
from prometheus_client import Counter

from athletes.actions.priors import refit_priors
from athletes.curve_sights import fitted_curves, sights_to_fit
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
    """Curves are fitted between two transactions: that takes seconds, in which nothing should be held."""
    with tenant_transaction(org_id):
        sights = sights_to_fit(timezone.now().date())
    curves = fitted_curves(sights)
    with tenant_transaction(org_id):
        return "moved" if refit_priors(curves) else "kept"
