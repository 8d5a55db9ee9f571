from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel


class CheckSet(TenantModel):
    """A set before or within the session that shows what the athlete can do today. Never changes.

    A mistyped one is replaced by a new row. `amount` is in `unit`.
    """

    prescription = TenantForeignKey("scoring.Prescription", models.PROTECT, related_name="+")
    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    work = models.CharField(max_length=40)
    variation_version = TenantForeignKey("programming.VariationVersion", models.PROTECT, related_name="+")
    load_kg = models.FloatField(null=True)
    assistance_kg = models.FloatField(null=True)
    height_cm = models.FloatField(null=True)
    amount = models.FloatField()
    unit = models.CharField(max_length=12)
    rir = models.PositiveSmallIntegerField(null=True)
    ended_by = models.CharField(max_length=10)
    performed_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    replaces = TenantForeignKey("self", models.PROTECT, null=True, related_name="+")
    client_id = models.CharField(max_length=80, null=True)
    sent_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="check_set_client_id_once"),
            models.UniqueConstraint(fields=["org", "replaces"], name="check_set_replaced_once"),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-performed_at", "-id"], name="check_set_by_athlete"),
            models.Index(fields=["org", "session", "athlete"], name="check_set_by_session"),
        ]

    def __str__(self) -> str:
        return f"{self.amount:g} {self.unit} of {self.work}"


class Override(TenantModel):
    """What a coach prescribes instead of what was worked out, and why. Never changes; `OverrideEnd` ends it.

    work: for every work item of the session variation, settings and amount; acknowledged: the codes of what
    speaks against it, each named by whoever made it; cost: the probability of each condition of the aim with it
    and with what it replaced, when it was made.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    against = TenantForeignKey("scoring.Prescription", models.PROTECT, related_name="+")
    work = DocumentField()
    acknowledged = DocumentField(default=list)
    cost = DocumentField()
    reason = models.CharField(max_length=500)
    client_id = models.CharField(max_length=80, null=True)
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "client_id"], name="override_client_id_once")]
        indexes = [
            models.Index(fields=["org", "session", "athlete"], name="override_by_session"),
            models.Index(fields=["org", "-created_at", "-id"], name="override_newest"),
        ]

    def __str__(self) -> str:
        return f"override for {self.athlete_id} at {self.session_id}"


class OverrideEnd(TenantModel):
    """An override stands no longer. Never changes.

    kind: withdrawn (by a person, with a reason), replaced (by a later override), fell (what it rests on has
    changed: `codes` say what; nobody did it).
    """

    override = TenantForeignKey(Override, models.CASCADE, related_name="ends")
    kind = models.CharField(max_length=10)
    codes = DocumentField(default=list)
    reason = models.CharField(max_length=500, default="")
    ended_by = models.ForeignKey("tenancy.Person", null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "override"], name="override_ended_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.override_id}"
