from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel, VersionedModel


class Attempt(TenantModel):
    """What happened, kept as sent; never changes. A correction is a new row that replaces this one."""

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    prescription = TenantForeignKey("scoring.Prescription", models.PROTECT, null=True, related_name="+")
    kind = models.CharField(max_length=12)
    as_sent = models.JSONField()
    elapsed_s = models.FloatField(null=True)
    performed_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    replaces = TenantForeignKey("self", models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=500, default="")
    client_id = models.CharField(max_length=80, null=True)
    sent_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="attempt_client_id_once"),
            models.UniqueConstraint(fields=["org", "replaces"], name="attempt_replaced_once"),
            # The first version of a result is the only one that replaces nothing.
            models.UniqueConstraint(
                fields=["org", "session", "athlete"],
                name="attempt_once_per_athlete",
                condition=models.Q(replaces__isnull=True),
            ),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-performed_at", "-id"], name="attempt_by_athlete"),
            models.Index(fields=["org", "session", "athlete"], name="attempt_by_session"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.athlete_id} at {self.session_id}"


class SetLog(TenantModel):
    """One set of an attempt; the reason it ended decides what it tells about capacity. Never changes."""

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="sets")
    ordinal = models.PositiveIntegerField()
    work = models.CharField(max_length=40)
    variation_version = TenantForeignKey("programming.VariationVersion", models.PROTECT, related_name="+")
    load_kg = models.FloatField(null=True)
    assistance_kg = models.FloatField(null=True)
    height_cm = models.FloatField(null=True)
    repetitions = models.PositiveIntegerField()
    rest_before_s = models.FloatField(null=True)
    duration_s = models.FloatField(null=True)
    rir = models.PositiveSmallIntegerField(null=True)
    ended_by = models.CharField(max_length=10)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "attempt", "ordinal"], name="set_ordinal_once")]

    def __str__(self) -> str:
        return f"set {self.ordinal}: {self.repetitions}"


class OfficialScore(TenantModel):
    """By the block's rules, of the attempt that counts; derived. `Review` holds what did not add up.

    review_version: of the review that was looked at, 0 without one; a newer one makes this row due again.
    """

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="+")
    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    rules_version = models.PositiveSmallIntegerField()
    score_s = models.FloatField(null=True)
    elapsed_s = models.FloatField(null=True)
    repetitions = models.PositiveIntegerField()
    breaks = models.PositiveIntegerField(null=True)
    penalty_s = models.FloatField(null=True)
    aim = models.JSONField(default=list)
    state = models.CharField(max_length=10)
    repetitions_by_work = models.JSONField()
    review_version = models.PositiveIntegerField(default=0)
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "session", "athlete"], name="score_once_per_athlete")
        ]

    def __str__(self) -> str:
        return f"{self.score_s} s"


class Review(VersionedModel):
    """A result that does not add up, waiting for somebody to look at it.

    `accepted` says, once resolved, whether the result is believed as sent; then it also tells of capacity.
    """

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="+")
    findings = models.JSONField()
    accepted = models.BooleanField(null=True)
    resolved_at = models.DateTimeField(null=True)
    resolved_by = models.ForeignKey("tenancy.Person", null=True, on_delete=models.PROTECT, related_name="+")
    resolution = models.CharField(max_length=500, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "attempt"], name="review_once_per_attempt")]
        indexes = [models.Index(fields=["org", "-created_at", "-id"], name="review_queue")]

    def __str__(self) -> str:
        return f"review of {self.attempt_id}"


class Ranking(TenantModel):
    """Both rankings of a scheduled session as written by the recompute; derived."""

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    official = models.JSONField()
    by_forecast = models.JSONField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "session"], name="ranking_once_per_session")]

    def __str__(self) -> str:
        return f"ranking of {self.session_id}"
