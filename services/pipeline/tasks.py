"""Every Celery task of the recompute. Ids in, one call, nothing out."""

from uuid import UUID

from celery import shared_task

from services.pipeline.recompute import recompute_change
from services.pipeline.refit import refit_organisations
from services.pipeline.sweep import sweep_organisations


@shared_task(name="services.pipeline.tasks.recompute")
def recompute(org_id: str, change_id: str) -> None:
    """Do what one change row asks for."""
    recompute_change(org_id=UUID(org_id), change_id=UUID(change_id))


@shared_task(name="services.pipeline.tasks.sweep")
def sweep() -> None:
    """What time alone makes due."""
    sweep_organisations()


@shared_task(name="services.pipeline.tasks.refit")
def refit() -> None:
    """Let each organisation's athletes move its priors."""
    refit_organisations()
