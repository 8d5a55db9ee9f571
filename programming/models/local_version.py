from django.db import models

from programming.models.session import Revision, Template
from services.tenancy.models import TenantForeignKey, TenantModel


class LocalVersion(TenantModel):
    """What a location made of a shared revision, for its own equipment; never changes.

    `revision` is the location's own, `origin` the shared one of `template` that it was made from. The highest
    number of a location and template is the one in use; the others say who changed what before, and why.
    """

    location = TenantForeignKey("tenancy.Location", models.PROTECT, related_name="+")
    template = TenantForeignKey(Template, models.PROTECT, related_name="+")
    origin = TenantForeignKey(Revision, models.PROTECT, related_name="+")
    revision = TenantForeignKey(Revision, models.PROTECT, related_name="+")
    number = models.PositiveIntegerField()
    reason = models.CharField(max_length=500)
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "location", "template", "number"], name="local_version_number_once"
            ),
            models.UniqueConstraint(fields=["org", "revision"], name="local_version_once_per_revision"),
        ]

    def __str__(self) -> str:
        return f"{self.template_id} at {self.location_id} v{self.number}"
