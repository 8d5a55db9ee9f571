from django.db import models

from athletes.models.athlete import Athlete
from services.tenancy.models import TenantForeignKey, VersionedModel


class GroupMember(VersionedModel):
    """An athlete in a group from one day to another, both included; no last day: until further notice."""

    group = TenantForeignKey("programming.Group", models.PROTECT, related_name="+")
    athlete = TenantForeignKey(Athlete, models.CASCADE, related_name="+")
    from_date = models.DateField()
    until_date = models.DateField(null=True)
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(until_date=None) | models.Q(until_date__gte=models.F("from_date")),
                name="group_member_days_in_order",
            ),
            models.UniqueConstraint(
                fields=["org", "group", "athlete", "from_date"], name="group_member_once_per_first_day"
            ),
        ]
        indexes = [models.Index(fields=["org", "athlete", "group"], name="group_member_by_athlete")]

    def __str__(self) -> str:
        return f"{self.athlete_id} in {self.group_id}"
