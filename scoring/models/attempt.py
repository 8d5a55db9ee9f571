from django.db import models

from programming.calc.revision import UNITS
from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class Attempt(TenantModel):
    """What happened, kept as sent; never changes. A correction is a new row that replaces this one.

    effort, 0 to 10, and minutes are of the whole session, its rests and warm-up with it.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    prescription = TenantForeignKey("scoring.Prescription", models.PROTECT, null=True, related_name="+")
    kind = models.CharField(max_length=16)
    as_sent = DocumentField()
    elapsed_s = models.FloatField(null=True)
    performed_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    replaces = TenantForeignKey("self", models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=500, default="")
    client_id = models.CharField(max_length=80, null=True)
    note = models.CharField(max_length=2000, default="")
    effort = models.FloatField(null=True)
    minutes = models.FloatField(null=True)
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


def _one_amount() -> models.Q:
    """Exactly one of the amounts is there."""
    given = models.Q()
    for unit in UNITS:
        given |= models.Q(**{f"{other}__isnull": other != unit for other in UNITS})
    return given


class SetLog(TenantModel):
    """One set of an attempt; the reason it ended decides what it tells about capacity. Never changes."""

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="sets")
    ordinal = models.PositiveIntegerField()
    work = models.CharField(max_length=40)
    variation_version = TenantForeignKey("programming.VariationVersion", models.PROTECT, related_name="+")
    load_kg = models.FloatField(null=True)
    assistance_kg = models.FloatField(null=True)
    height_cm = models.FloatField(null=True)
    repetitions = models.PositiveIntegerField(null=True)
    hold_s = models.FloatField(null=True)
    distance_m = models.FloatField(null=True)
    energy_kcal = models.FloatField(null=True)
    rest_before_s = models.FloatField(null=True)
    duration_s = models.FloatField(null=True)
    rir = models.PositiveSmallIntegerField(null=True)
    ended_by = models.CharField(max_length=10)
    interval = models.PositiveSmallIntegerField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "attempt", "ordinal"], name="set_ordinal_once"),
            models.CheckConstraint(condition=_one_amount(), name="set_has_one_amount"),
        ]

    @property
    def unit(self) -> str:
        """What the set is counted in."""
        return next(unit for unit in UNITS if getattr(self, unit) is not None)

    @property
    def amount(self) -> float:
        """How much of it was done."""
        return float(getattr(self, self.unit))

    def __str__(self) -> str:
        return f"set {self.ordinal}: {self.amount:g}"


class AttemptNote(TenantModel):
    """A word on a result, by the athlete or by the staff; both read it, and it never changes."""

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="+")
    author = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    text = models.CharField(max_length=2000)
    client_id = models.CharField(max_length=80, null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="attempt_note_client_id_once")
        ]
        indexes = [models.Index(fields=["org", "attempt", "-created_at", "-id"], name="note_by_attempt")]

    def __str__(self) -> str:
        return f"note on {self.attempt_id}"


class OfficialScore(TenantModel):
    """Of one block by its rules, of the attempt that counts; derived. `Review` holds what did not add up.

    value is the score in `unit`, better in the direction of `better`; score_s the same where it is a time.
    own_amounts: by the amounts of the athlete's prescription, where these are other than written.
    review_version: of the review that was looked at, 0 without one; a newer one makes this row due again.
    """

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="+")
    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    block = models.CharField(max_length=40)
    rules_version = models.PositiveSmallIntegerField()
    value = models.FloatField(null=True)
    unit = models.CharField(max_length=16, null=True)
    better = models.CharField(max_length=6, null=True)
    score_s = models.FloatField(null=True)
    elapsed_s = models.FloatField(null=True)
    repetitions = models.PositiveIntegerField()
    breaks = models.PositiveIntegerField(null=True)
    penalty_s = models.FloatField(null=True)
    misses = models.PositiveIntegerField(null=True)
    split_s = models.FloatField(null=True)
    rounds_completed = models.PositiveIntegerField(null=True)
    last_round_amount = models.FloatField(null=True)
    aim = DocumentField(default=list)
    state = models.CharField(max_length=10)
    repetitions_by_work = DocumentField()
    amounts = DocumentField(default=list)
    own_amounts = models.BooleanField(default=False)
    review_version = models.PositiveIntegerField(default=0)
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "session", "athlete", "block"], name="score_once_per_athlete_and_block"
            )
        ]

    def __str__(self) -> str:
        return f"{self.block}: {self.value} {self.unit}"


class Review(VersionedModel):
    """A result that does not add up, waiting for somebody to look at it.

    `accepted` says, once resolved, whether the result is believed as sent; then it also tells of capacity.
    """

    attempt = TenantForeignKey(Attempt, models.CASCADE, related_name="+")
    findings = DocumentField()
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
    """The rankings of a scheduled session as written by the recompute; derived.

    by_block: the official ranking of each block that is scored, where a session has several of them.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    official = DocumentField()
    by_forecast = DocumentField()
    by_block = DocumentField(default=list)
    overall = models.CharField(max_length=8, default="block")
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "session"], name="ranking_once_per_session")]

    def __str__(self) -> str:
        return f"ranking of {self.session_id}"
