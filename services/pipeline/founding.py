"""A new organisation, ready to work: its first owner, its copy of the catalogue, its first prior snapshot."""

from django.db import transaction

from athletes.actions.priors import take_prior_snapshot
from programming.actions.catalogue import install_catalogue
from services.access.actions import found_organisation
from services.tenancy.context import tenant
from services.tenancy.models import Organisation


@transaction.atomic
def found_ready_organisation(
    *, name: str, owner_email: str, owner_name: str, password: str | None
) -> Organisation:
    """All of it or nothing."""
    org = found_organisation(name=name, owner_email=owner_email, owner_name=owner_name, password=password)
    with tenant(org.id):
        install_catalogue(org=org)
        take_prior_snapshot(org=org)
    return org
