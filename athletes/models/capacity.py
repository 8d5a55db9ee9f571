from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel


class Assessment(TenantModel):
    """A test as it was sent; never changes, a correction is a new row that names the one it replaces.

    Counted in repetitions, in seconds held, or in metres or displayed kilocalories with the time they took.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="assessments")
    variation_version = TenantForeignKey("programming.VariationVersion", models.PROTECT, related_name="+")
    kind = models.CharField(max_length=20)
    load_kg = models.FloatField(null=True)
    assistance_kg = models.FloatField(null=True)
    height_cm = models.FloatField(null=True)
    repetitions = models.PositiveIntegerField(null=True)
    rir = models.PositiveSmallIntegerField(null=True)
    hold_s = models.FloatField(null=True)
    distance_m = models.FloatField(null=True)
    energy_kcal = models.FloatField(null=True)
    elapsed_s = models.FloatField(null=True)
    ended_by = models.CharField(max_length=10)
    performed_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    replaces = TenantForeignKey("self", models.PROTECT, null=True, related_name="+")
    reason = models.CharField(max_length=500, default="")
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="assessment_client_id_once"),
            models.UniqueConstraint(fields=["org", "replaces"], name="assessment_replaced_once"),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-performed_at", "-id"], name="assessment_by_athlete")
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.athlete_id}"


class Observation(TenantModel):
    """One thing seen of an athlete's capacity in a movement, from a test or a logged set.

    Replaced whenever its source is corrected. Holds what was done (variation and settings), not the
    effective load: that follows from the body mass of the date, which may be entered late. What is not counted in
    repetitions has its amount in `unit` (then repetitions is 0), a trial also the seconds it took. hour is
    that of local_date, 0 to 24 by the clock of where the athlete is. spent_*: of a set that failed after others, the
    repetitions that these had taken, by how quickly somebody tires (athletes.calc.tired); null of a fresh one.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="observations")
    movement = TenantForeignKey("programming.Movement", models.PROTECT, related_name="+")
    variation_version = TenantForeignKey("programming.VariationVersion", models.PROTECT, related_name="+")
    source = models.CharField(max_length=12)
    source_id = models.UUIDField()
    ordinal = models.PositiveIntegerField(default=0)
    local_date = models.DateField()
    hour = models.FloatField(default=12.0)
    kind = models.CharField(max_length=16)
    load_kg = models.FloatField(null=True)
    assistance_kg = models.FloatField(null=True)
    height_cm = models.FloatField(null=True)
    repetitions = models.FloatField()
    rir = models.FloatField(null=True)
    weight = models.FloatField(default=1.0)
    unit = models.CharField(max_length=12, default="repetitions")
    amount = models.FloatField(null=True)
    seconds = models.FloatField(null=True)
    spent_least = models.FloatField(null=True)
    spent_usual = models.FloatField(null=True)
    spent_most = models.FloatField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "source", "source_id", "ordinal"], name="observation_once")
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "movement", "local_date"], name="observation_history")
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.repetitions} x {self.load_kg}"


class PriorSnapshot(TenantModel):
    """What is taken to be true of people before anything is known of this one; numbered, never changes."""

    number = models.PositiveIntegerField()
    document = DocumentField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "number"], name="prior_number_once")]

    def __str__(self) -> str:
        return f"prior {self.number}"


class Capacity(TenantModel):
    """What an athlete can do in a movement, as a distribution (athletes.calc.capacity); derived.

    A function of its inputs alone: the observations (their fingerprint), the prior snapshot, the method.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="capacities")
    movement = TenantForeignKey("programming.Movement", models.PROTECT, related_name="+")
    state = DocumentField()
    observations = models.PositiveIntegerField()
    inputs = models.CharField(max_length=64)
    prior = TenantForeignKey(PriorSnapshot, models.PROTECT, related_name="+")
    method_version = models.PositiveSmallIntegerField()
    as_of = models.DateField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "athlete", "movement"], name="capacity_once_per_movement")
        ]

    def __str__(self) -> str:
        return f"{self.athlete_id} {self.movement_id}"


class Tiring(TenantModel):
    """How quickly an athlete tires for long, learned from logged sets (athletes.calc.multiplier); derived.

    ln m is normal: `median` is exp of its mean. sets: how many have told something, in `sessions`; none where the
    results that may tell something turned out not to. A function of its inputs alone, of which the fingerprint is
    kept.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="tirings")
    median = models.FloatField()
    log_sd = models.FloatField()
    sets = models.PositiveIntegerField()
    sessions = models.PositiveIntegerField()
    inputs = models.CharField(max_length=64)
    method_version = models.PositiveSmallIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "athlete"], name="tiring_once")]

    def __str__(self) -> str:
        return f"{self.athlete_id} {self.median:.2f}"


class Tempo(TenantModel):
    """How quickly an athlete works beside what is usual, learned from logged sets (athletes.calc.tempo); derived.

    The ln of the factor of the usual seconds is normal. movements: [mean, SD, sets] by the id of each that was timed;
    mean, log_sd: of every other one. A function of its inputs alone, of which the fingerprint is kept.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="tempos")
    mean = models.FloatField()
    log_sd = models.FloatField()
    movements = DocumentField()
    inputs = models.CharField(max_length=64)
    method_version = models.PositiveSmallIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "athlete"], name="tempo_once")]

    def __str__(self) -> str:
        return f"{self.athlete_id} {self.mean:+.2f}"
