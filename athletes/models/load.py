"""Training beside the programme, days of rest, and the load of days that follows from both and from results."""

from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class TrainingLog(VersionedModel):
    """Training that is no scheduled session: a run, a class, a sport. effort 0 to 10, of the whole of it.

    local_date is that of started_at by the athlete's clock, kept at write: a session across midnight belongs to the
    day on which it began.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    modality = models.CharField(max_length=12)
    effort = models.FloatField()
    minutes = models.FloatField()
    distance_m = models.FloatField(null=True)
    mean_heart_rate = models.FloatField(null=True)
    highest_heart_rate = models.FloatField(null=True)
    note = models.CharField(max_length=500, default="", blank=True)
    started_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="training_log_client_id_once"),
            models.CheckConstraint(
                condition=models.Q(effort__gte=0, effort__lte=10, minutes__gte=0, minutes__lte=1440),
                name="training_log_is_possible",
            ),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "local_date"], name="training_log_by_day"),
            models.Index(fields=["org", "athlete", "-started_at", "-id"], name="training_log_newest"),
        ]

    def __str__(self) -> str:
        return f"{self.modality} of {self.athlete_id} on {self.local_date}"


class RestDay(TenantModel):
    """Somebody says that there was no training on a day: its load is 0, not unknown."""

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    local_date = models.DateField()
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "athlete", "local_date"], name="rest_day_once")]

    def __str__(self) -> str:
        return f"rest of {self.athlete_id} on {self.local_date}"


class LoadDay(TenantModel):
    """The load of one local day, from the first to the last of which anything is known; derived.

    state: reported, rest, incomplete (a session without effort or minutes), unreported (nobody said anything).
    load_au: effort times minutes over all sessions; null where the state is one of the latter two. minutes: of
    sessions that told them. by_modality: [load in AU, minutes, sessions] of those with a load.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    local_date = models.DateField()
    state = models.CharField(max_length=10)
    load_au = models.FloatField(null=True)
    minutes = models.FloatField()
    sessions = models.PositiveSmallIntegerField()
    sessions_without_load = models.PositiveSmallIntegerField()
    by_modality = DocumentField()
    method_version = models.PositiveSmallIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "athlete", "local_date"], name="load_day_once")]

    def __str__(self) -> str:
        return f"{self.load_au} of {self.athlete_id} on {self.local_date}"


class LoadSummary(TenantModel):
    """What has come together up to a day, beside its LoadDay; derived. The rest is told from it on demand.

    days: since the first day with a known load. The four sums are the weighted means on their way
    (athletes.calc.running_load): with these and the last 28 days, one more day is all that one more day costs.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    local_date = models.DateField()
    days = models.PositiveIntegerField()
    acute_total = models.FloatField()
    acute_weight = models.FloatField()
    chronic_total = models.FloatField()
    chronic_weight = models.FloatField()
    method_version = models.PositiveSmallIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "athlete", "local_date"], name="load_summary_once")
        ]

    def __str__(self) -> str:
        return f"load of {self.athlete_id} up to {self.local_date}"
