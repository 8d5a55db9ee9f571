from services.tenancy.models.base import ScopedManager, TenantForeignKey, TenantModel, VersionedModel
from services.tenancy.models.document import DocumentField
from services.tenancy.models.organisation import (
    Invitation,
    Location,
    Membership,
    MembershipLocation,
    Organisation,
)
from services.tenancy.models.person import Person

__all__ = [
    "DocumentField",
    "Invitation",
    "Location",
    "Membership",
    "MembershipLocation",
    "Organisation",
    "Person",
    "ScopedManager",
    "TenantForeignKey",
    "TenantModel",
    "VersionedModel",
]
