"""What every table of an organisation has in common."""

from typing import Any
from uuid import uuid4

from django.db import models

from services.tenancy.context import current_org


class ScopedManager(models.Manager):
    """Sees the rows of the current tenant, and nothing at all outside of one."""

    def get_queryset(self) -> models.QuerySet:
        org_id = current_org()
        rows = super().get_queryset()
        return rows.none() if org_id is None else rows.filter(org_id=org_id)


class TenantForeignKey(models.ForeignKey):
    """A reference inside one organisation.

    The database constraint is the composite (org_id, x_id) -> (org_id, id) that
    `ProtectTables` adds, since PostgreSQL checks a plain one past row-level security.
    """

    def __init__(self, to: Any, on_delete: Any = models.PROTECT, **kwargs: Any) -> None:
        kwargs["db_constraint"] = False
        super().__init__(to, on_delete, **kwargs)


class TenantModel(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    org = models.ForeignKey("tenancy.Organisation", on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = ScopedManager()
    unscoped = models.Manager()

    class Meta:
        abstract = True


class VersionedModel(TenantModel):
    """An editable row: its version makes the ETag and is checked in the UPDATE."""

    version = models.PositiveIntegerField(default=1)

    class Meta(TenantModel.Meta):
        abstract = True
