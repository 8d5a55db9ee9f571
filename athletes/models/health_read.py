"""Who read what is kept of an athlete's health."""

from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel


class HealthRead(TenantModel):
    """One request that read one kind of statement about one athlete, by somebody else. Never changes.

    It says that it was read and by whom, never what stood there. kind: of athletes.health_reads.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    kind = models.CharField(max_length=12)
    reader = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    request_id = models.UUIDField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "request_id", "athlete", "kind"], name="health_read_once")
        ]
        indexes = [models.Index(fields=["org", "-created_at", "-id"], name="health_read_newest")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.athlete_id} by {self.reader_id}"
