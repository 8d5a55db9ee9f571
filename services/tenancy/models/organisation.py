from uuid import uuid4

from django.db import models

from services.tenancy.actor import Role
from services.tenancy.models.base import TenantForeignKey, TenantModel, VersionedModel

ROLE_CHOICES = [(role.value, role.value) for role in Role]


class Organisation(models.Model):
    """The tenant: one coaching team and its data."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(max_length=120)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    staff_second_factor = models.BooleanField(default=False)
    """Whether owners, coaches and staff of a location work here only with a second factor."""

    def __str__(self) -> str:
        return self.name


class Location(VersionedModel):
    """A gym, or "remote"; sessions there are in its zone."""

    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64)
    is_remote = models.BooleanField(default=False)
    freeze_minutes = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "name"], name="location_name_once_per_org")]

    def __str__(self) -> str:
        return self.name


class Membership(VersionedModel):
    """One person in one organisation, with one role."""

    person = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=20, choices=ROLE_CHOICES)
    is_active = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "person"], name="membership_once_per_org"),
            models.CheckConstraint(
                condition=models.Q(role__in=[role.value for role in Role]), name="membership_role_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.role}"


class MembershipLocation(TenantModel):
    """Where a member of the location staff works."""

    membership = TenantForeignKey(Membership, models.CASCADE, related_name="places")
    location = TenantForeignKey(Location, models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "membership", "location"], name="membership_place_once")
        ]

    def __str__(self) -> str:
        return f"{self.membership_id} at {self.location_id}"


class Invitation(TenantModel):
    """An offer of membership by a secret of which only the digest is kept."""

    email = models.EmailField()
    role = models.CharField(max_length=20, choices=ROLE_CHOICES)
    location_ids = models.JSONField(default=list)
    digest = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.email} as {self.role}"
