from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel


class Prescription(TenantModel):
    """One athlete's version of a scheduled session, numbered; superseded by a higher number, never edited.

    `content` is what the athlete is told (rounded; the fingerprint is of it), `forecast` the frozen
    prediction that results are held against, `basis` the inputs that it can be traced to.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    number = models.PositiveIntegerField()
    feasible = models.BooleanField()
    content = DocumentField()
    forecast = DocumentField(null=True)
    basis = DocumentField()
    fingerprint = models.CharField(max_length=64)
    method_version = models.PositiveSmallIntegerField()
    issued_at = models.DateTimeField()

    class Meta:
        constraints = [
            # `feasible` stands beside the key, so that a day of thousands is counted without reading their rows.
            models.UniqueConstraint(
                fields=["org", "session", "athlete", "number"],
                include=["feasible"],
                name="prescription_number_once",
            )
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-issued_at", "-id"], name="prescription_by_athlete")
        ]

    def __str__(self) -> str:
        return f"{self.athlete_id} at {self.session_id} #{self.number}"
