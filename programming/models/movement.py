from django.db import models

from programming.calc.movement_prior import CAPACITY_KINDS, LOAD_REPETITION
from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class Movement(VersionedModel):
    """A movement of the organisation's catalogue: what capacity is kept for.

    `prior` holds what is known of people in general about a capacity of this kind (see
    programming.calc.movement_prior), empty where there is none; `origin` and `origin_hash` name the entry of
    the shipped catalogue that it was copied from.
    """

    key = models.SlugField(max_length=60)
    name = models.CharField(max_length=120)
    pattern = models.CharField(max_length=30)
    capacity_kind = models.CharField(max_length=20, default=LOAD_REPETITION)
    prior = DocumentField()
    origin = models.CharField(max_length=120, default="")
    origin_hash = models.CharField(max_length=64, default="")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "key"], name="movement_key_once_per_org"),
            models.CheckConstraint(
                condition=models.Q(capacity_kind__in=CAPACITY_KINDS), name="movement_capacity_kind_known"
            ),
        ]

    @property
    def curve_applies(self) -> bool:
        """Whether repetitions follow from the load; not for holds, cyclical work, jumps, skills."""
        return self.capacity_kind == LOAD_REPETITION

    def __str__(self) -> str:
        return self.key


class Variation(VersionedModel):
    """A way to do a movement; its data lives in immutable numbered versions."""

    movement = TenantForeignKey(Movement, models.PROTECT, related_name="variations")
    key = models.SlugField(max_length=60)
    name = models.CharField(max_length=120)
    current = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "key"], name="variation_key_once_per_org")]

    def __str__(self) -> str:
        return self.key


class VariationVersion(TenantModel):
    """The data of a variation as it was when something was prescribed or logged; never changes."""

    variation = TenantForeignKey(Variation, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    document = DocumentField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "variation", "number"], name="variation_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.variation_id} v{self.number}"


class LocationKit(VersionedModel):
    """What a location has, and the increments that can really be loaded there (programming.calc.kit)."""

    location = TenantForeignKey("tenancy.Location", models.CASCADE, related_name="kits")
    document = DocumentField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "location"], name="kit_once_per_location")]

    def __str__(self) -> str:
        return f"kit of {self.location_id}"
