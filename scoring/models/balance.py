from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class SessionWork(TenantModel):
    """What a session was for one athlete, as training balance counts it (scoring.calc.balance); derived.

    origin: planned, of the prescription that stands, or done, of the result that counts. entries: lists in the order
    of the fields of an Entry; none with the reason why there are no sets.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    origin = models.CharField(max_length=8)
    entries = DocumentField()
    reason = models.CharField(max_length=40, default="")
    method_version = models.PositiveSmallIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "session", "athlete", "origin"], name="session_work_once_per_origin"
            )
        ]
        indexes = [models.Index(fields=["org", "athlete", "session"], name="session_work_by_athlete")]

    def __str__(self) -> str:
        return f"{self.origin} by {self.athlete_id} at {self.session_id}"


class BalanceTarget(VersionedModel):
    """The shares of training that a coach wants, of the organisation (no group) or of a group.

    shares: by sets_by_quality, sets_by_pattern and cyclical_by_quality, each {name: share} adding to 1, or empty.
    """

    group = TenantForeignKey("programming.Group", models.CASCADE, null=True, related_name="+")
    shares = DocumentField()
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "group"], name="balance_target_once", nulls_distinct=False)
        ]

    def __str__(self) -> str:
        return f"target of {self.group_id or self.org_id}"
