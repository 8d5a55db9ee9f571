from django.db import models

from services.tenancy.models import TenantForeignKey, VersionedModel


class Group(VersionedModel):
    """Athletes who train to one plan, at one location or several, or remotely.

    `location` is where its sessions take place unless said otherwise. Who is in it is kept with the athletes.
    """

    name = models.CharField(max_length=120)
    location = TenantForeignKey("tenancy.Location", models.PROTECT, null=True, related_name="+")
    is_active = models.BooleanField(default=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "name"], name="group_name_once_per_org")]

    def __str__(self) -> str:
        return self.name
