from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class Athlete(VersionedModel):
    """A person in one organisation, as somebody who trains there.

    `kit` is the athlete's own equipment, all of it (null: the location's): what their prescriptions are loaded
    with, save where they are a guest of the day in a gym. Nothing beyond a name is required.
    """

    person = models.ForeignKey("tenancy.Person", null=True, on_delete=models.SET_NULL, related_name="+")
    location = TenantForeignKey("tenancy.Location", models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    sex = models.CharField(max_length=10, default="", blank=True)
    born_on = models.DateField(null=True)
    zone = models.CharField(max_length=64)
    kit = DocumentField(null=True)
    trains_alone = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    client_id = models.CharField(max_length=80, null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="athlete_client_id_once"),
            models.UniqueConstraint(
                fields=["org", "person"],
                name="athlete_once_per_person",
                condition=models.Q(person__isnull=False),
            ),
        ]
        indexes = [models.Index(fields=["org", "location", "name", "id"], name="athlete_by_location")]

    def __str__(self) -> str:
        return self.name


class BodyMass(TenantModel):
    """A weighing; the latest on or before a date counts for that date."""

    athlete = TenantForeignKey(Athlete, models.CASCADE, related_name="body_masses")
    body_mass_kg = models.FloatField()
    measured_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="body_mass_client_id_once"),
            models.CheckConstraint(
                condition=models.Q(body_mass_kg__gte=20, body_mass_kg__lte=400), name="body_mass_is_human"
            ),
        ]
        indexes = [models.Index(fields=["org", "athlete", "-measured_at", "-id"], name="body_mass_latest")]

    def __str__(self) -> str:
        return f"{self.body_mass_kg} kg"


class Limitation(VersionedModel):
    """What an athlete must not be given: a hazard of movements (a joint, impact, overhead …)."""

    athlete = TenantForeignKey(Athlete, models.CASCADE, related_name="limitations")
    hazard = models.CharField(max_length=30)
    note = models.CharField(max_length=500, default="", blank=True)
    from_date = models.DateField()
    until_date = models.DateField(null=True)
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["org", "athlete", "from_date"], name="limitation_by_athlete")]

    def __str__(self) -> str:
        return self.hazard
